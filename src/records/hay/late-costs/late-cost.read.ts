import { counted } from '../../../core/units/counted.js';
import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { Money } from '../../../core/units/money.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { notFound, Problem } from '../../../platform/http/problem.js';
import { asCurrency } from '../../../platform/wire/quantity.schema.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';

export type LateCostRow = Selectable<DB['late_cost']>;

/** What a bill came to, and as it was typed; null in bills entered before that was kept. */
export interface BillAmount {
  amount: Money;
  typed: string | null;
}

@Injectable()
export class LateCostRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<LateCostRow> {
    const row = await db
      .selectFrom('late_cost')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('later bill', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { receiptId?: string | undefined },
  ): Promise<LateCostRow[]> {
    let select = db.selectFrom('late_cost').selectAll().where('operation_id', '=', operationId);
    if (query.receiptId !== undefined) select = select.where('receipt_id', '=', query.receiptId);
    return newestFirst(select, query).execute();
  }

  /** The amount of each bill, where the person asking may see it. */
  async amounts(
    { db, operationId }: OperationTenant,
    ids: readonly string[],
  ): Promise<ReadonlyMap<string, BillAmount>> {
    if (ids.length === 0) return new Map();
    const costs = await db
      .selectFrom('stock_cost')
      .select(['source_id', 'amount', 'amount_value', 'currency'])
      .where('operation_id', '=', operationId)
      .where('source_kind', '=', 'late-cost')
      .where('source_id', 'in', [...ids])
      .execute();
    return new Map(
      costs.map((cost) => [
        cost.source_id,
        { amount: Money.of(cost.amount, asCurrency(cost.currency)), typed: cost.amount_value },
      ]),
    );
  }

  /** Bills of these receipts with the day on which each was reversed, where it was. */
  async of(
    { db, operationId }: OperationTenant,
    receiptIds: readonly string[],
  ): Promise<(LateCostRow & { reversed_on: string | null })[]> {
    return db
      .selectFrom('late_cost')
      .leftJoin('reversal', (join) =>
        join
          .onRef('reversal.operation_id', '=', 'late_cost.operation_id')
          .onRef('reversal.subject_id', '=', 'late_cost.id'),
      )
      .selectAll('late_cost')
      .select('reversal.effective_on as reversed_on')
      .where('late_cost.operation_id', '=', operationId)
      .where('late_cost.receipt_id', '=', sql<string>`ANY (${[...receiptIds]}::uuid[])`)
      .orderBy('late_cost.id')
      .execute();
  }

  /** A receipt cannot be reversed while it has bills: they go first. */
  async refuseWhileStanding(tenant: OperationTenant, receiptId: string, on: string): Promise<void> {
    await this.refuseWhileAnyStands(tenant, new Map([[receiptId, on]]));
  }

  /** The same of several receipts, each with the day of its reversal. */
  async refuseWhileAnyStands(tenant: OperationTenant, receipts: ReadonlyMap<string, string>): Promise<void> {
    const dayOf = (bill: LateCostRow): string => receipts.get(bill.receipt_id) ?? '';
    const standing = (await this.of(tenant, [...receipts.keys()])).filter(
      (bill) => bill.reversed_on === null || bill.reversed_on > dayOf(bill),
    );
    const [first] = standing;
    if (first === undefined) return;
    throw new Problem(
      'conflict',
      `${counted(standing.length, 'later bill of this receipt is', 'later bills of this receipt are')} still in ` +
        `force on ${dayOf(first)}; reverse every one first, on that day or before.`,
      standing.map((bill) => ({
        code: 'late-costs-stand',
        given: bill.id,
        allowed:
          bill.reversed_on === null
            ? `reversed on or before ${dayOf(bill)}`
            : `effectiveOn ${bill.reversed_on} or later, when that bill no longer stands`,
        message:
          bill.reversed_on === null
            ? `The bill of ${bill.biller} of ${bill.happened_on} was not reversed.`
            : `The bill of ${bill.biller} of ${bill.happened_on} stood until ${bill.reversed_on}.`,
      })),
    );
  }
}
