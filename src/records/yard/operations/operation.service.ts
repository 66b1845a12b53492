import { Injectable } from '@nestjs/common';
import { hasSecondFactor } from '../../../platform/database/second-factor.read.js';
import type { OperationTenant, Tenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../../platform/http/problem.js';
import { hasSecondLook } from '../../../platform/http/second-look.js';
import { CostWriting } from '../../hay/costing/cost-writing.js';
import { changedFields } from '../../kit/changed-fields.js';
import { OperationRead, type OperationRow } from './operation.read.js';
import type * as api from './operation.schema.js';
import { OperationStore } from './operation.store.js';

type Body = InputOf<typeof api.createOperation>['body'];

@Injectable()
export class OperationService {
  constructor(
    private readonly operations: OperationRead,
    private readonly store: OperationStore,
    private readonly costs: CostWriting,
  ) {}

  async create(
    tenant: Tenant,
    { body }: InputOf<typeof api.createOperation>,
  ): Promise<AnswerOf<typeof api.getOperation>> {
    return this.open(tenant, body, false);
  }

  /** Opens the books of a business and makes the person asking its owner. `invented` marks demo data. */
  async open(tenant: Tenant, body: Body, invented: boolean): Promise<AnswerOf<typeof api.getOperation>> {
    if (tenant.apiKeyId !== undefined) throw new Problem('not-permitted', 'An API key cannot open an operation.');
    const row = await this.store.found(tenant, {
      name: body.name,
      unit_preference: body.unitPreference,
      currency: body.currency,
      time_zone: body.timeZone,
      costing_method: body.costingMethod,
      invented,
    });
    await tenant.auditIn(row.id, {
      action: 'operation.open',
      subjectKind: 'operation',
      subjectId: row.id,
      after: row,
    });
    return answerFrom(row, { role: 'owner', seesPrices: true });
  }

  async list(
    tenant: Tenant,
    { query }: InputOf<typeof api.listOperations>,
  ): Promise<AnswerOf<typeof api.listOperations>> {
    return pageOf(
      await this.operations.page(tenant, query),
      query.limit,
      (row) => answerFrom(row, roleIn(tenant, row.id)),
      (row) => [row.name, row.id],
    );
  }

  async get(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.getOperation>,
  ): Promise<AnswerOf<typeof api.getOperation>> {
    return answerFrom(await this.operations.one(tenant, params.operationId), roleIn(tenant, params.operationId));
  }

  async change(
    tenant: OperationTenant,
    { params, body, expectedVersion }: InputOf<typeof api.changeOperation>,
  ): Promise<AnswerOf<typeof api.getOperation>> {
    if (body.costingMethod !== undefined) await this.costs.beforeOtherMethod(tenant);
    if (body.accessPolicy !== undefined && !hasSecondLook(tenant.asker)) throw new Problem('second-look-needed');
    const { secondFactor, keyDaysMost, consultantHoursMost } = body.accessPolicy ?? {};
    if (secondFactor === 'required') await this.#refuseLockingOut(tenant);
    const before = await this.operations.one(tenant, params.operationId);
    const after = await this.store.change(
      tenant,
      expectedVersion,
      changedFields({
        name: body.name,
        unit_preference: body.unitPreference,
        time_zone: body.timeZone,
        costing_method: body.costingMethod,
        second_factor_required: secondFactor === undefined ? undefined : secondFactor === 'required',
        key_days_most: keyDaysMost,
        consultant_hours_most: consultantHoursMost,
      }),
    );
    if (after.costing_method !== before.costing_method) this.costs.withOtherMethod(tenant, after.costing_method);
    await tenant.audit({
      action: 'operation.change',
      subjectKind: 'operation',
      subjectId: params.operationId,
      before,
      after,
    });
    return answerFrom(after, roleIn(tenant, params.operationId));
  }

  /** Who asks others for a second factor and has none would be the first to stand outside. */
  async #refuseLockingOut(tenant: OperationTenant): Promise<void> {
    if (await hasSecondFactor(tenant.db, tenant.personId)) return;
    throw ruleBroken(
      '#/accessPolicy/secondFactor',
      'no-second-factor-yourself',
      'required',
      'optional, until you have set up one-time codes or a passkey of your own',
      'Set up one-time codes at POST /v1/me/second-factor, or a passkey at /yard/account, first: without you could ' +
        'not come in any more.',
    );
  }
}

function roleIn(tenant: Tenant, operationId: string): { role: string; seesPrices: boolean } {
  const membership = tenant.memberships.find((one) => one.operationId === operationId);
  return { role: membership?.role ?? '', seesPrices: tenant.may('prices', operationId) };
}

function answerFrom(row: OperationRow, as: { role: string; seesPrices: boolean }): AnswerOf<typeof api.getOperation> {
  return {
    id: row.id,
    name: row.name,
    unitPreference: row.unit_preference,
    currency: row.currency,
    timeZone: row.time_zone,
    costingMethod: row.costing_method,
    accessPolicy: {
      secondFactor: row.second_factor_required ? 'required' : 'optional',
      keyDaysMost: row.key_days_most,
      consultantHoursMost: row.consultant_hours_most,
    },
    invented: row.invented,
    ...as,
    createdAt: row.created_at,
    version: row.version,
  };
}
