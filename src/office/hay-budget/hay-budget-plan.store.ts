import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { z } from 'zod';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { notFound } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { planIn, type PlanIn } from './hay-budget.schema.js';
import type * as api from './hay-budget.schema.js';

type Row = Selectable<DB['hay_budget_plan']>;
type PriceRow = Selectable<DB['hay_budget_plan_price']>;
type Answer = AnswerOf<typeof api.getHayBudgetPlan>;

/** Saved plans: only added, never changed. */
@Injectable()
export class HayBudgetPlanStore {
  async add(
    tenant: OperationTenant,
    { name, ...plan }: InputOf<typeof api.createHayBudgetPlan>['body'],
  ): Promise<Answer> {
    const { prices, ...kept } = plan;
    const row = await tenant.db
      .insertInto('hay_budget_plan')
      .values({
        operation_id: tenant.operationId,
        id: newId(),
        name,
        from_on: plan.from,
        until_on: plan.until,
        plan: JSON.stringify(kept),
        recorded_at: tenant.moment.toISOString(),
        recorded_by: tenant.personId,
      })
      .returningAll()
      .executeTakeFirstOrThrow();
    const priced = (prices ?? []).map((price) => ({
      operation_id: tenant.operationId,
      hay_budget_plan_id: row.id,
      hay_kind: price.hayKind,
      price_value: price.amount,
      price_unit: price.per,
      currency: tenant.operation.currency,
    }));
    if (priced.length > 0) await tenant.db.insertInto('hay_budget_plan_price').values(priced).execute();
    await tenant.audit({
      action: 'hay-budget-plan.create',
      subjectKind: 'hay-budget-plan',
      subjectId: row.id,
      after: row,
    });
    return answerFrom(tenant, row, priced);
  }

  async list(
    tenant: OperationTenant,
    { limit, cursor }: { limit: number; cursor?: string | undefined },
  ): Promise<AnswerOf<typeof api.listHayBudgetPlans>> {
    let select = tenant.db
      .selectFrom('hay_budget_plan')
      .selectAll()
      .where('operation_id', '=', tenant.operationId)
      .orderBy('id', 'desc')
      .limit(limit + 1);
    if (cursor !== undefined) select = select.where('id', '<', readCursor(cursor, z.tuple([z.uuid()]))[0]);
    const rows = await select.execute();
    const prices = await this.#prices(
      tenant,
      rows.map((row) => row.id),
    );
    return pageOf(
      rows,
      limit,
      (row) =>
        answerFrom(
          tenant,
          row,
          prices.filter((price) => price.hay_budget_plan_id === row.id),
        ),
      (row) => [row.id],
    );
  }

  async one(tenant: OperationTenant, id: string): Promise<{ answer: Answer; name: string; plan: PlanIn }> {
    const row = await tenant.db
      .selectFrom('hay_budget_plan')
      .selectAll()
      .where('operation_id', '=', tenant.operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('hay budget plan');
    const prices = await this.#prices(tenant, [id]);
    const plan = planIn.parse({
      ...(row.plan as object),
      prices: prices.map((price) => ({ hayKind: price.hay_kind, amount: price.price_value, per: price.price_unit })),
    });
    return { answer: answerFrom(tenant, row, prices), name: row.name, plan };
  }

  async #prices({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<PriceRow[]> {
    if (ids.length === 0) return [];
    return db
      .selectFrom('hay_budget_plan_price')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('hay_budget_plan_id', 'in', [...ids])
      .orderBy('hay_kind')
      .execute();
  }
}

function answerFrom(tenant: OperationTenant, row: Row, prices: readonly PriceRow[]): Answer {
  return {
    id: row.id,
    name: row.name,
    from: row.from_on,
    until: row.until_on,
    plan: row.plan as Answer['plan'],
    prices: tenant.may('prices', tenant.operationId)
      ? prices.map((price) => ({
          hayKind: price.hay_kind,
          amount: price.price_value,
          per: price.price_unit,
        }))
      : null,
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
