import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { asCurrency } from '../../../platform/wire/quantity.schema.js';
import { HerdRead } from '../../cattle/herds/herd.read.js';
import { YardageRateRead, type YardageRateRow } from './yardage-rate.read.js';
import type * as api from './yardage-rate.schema.js';
import { YardageRateStore } from './yardage-rate.store.js';

@Injectable()
export class YardageRateService {
  constructor(
    private readonly herds: HerdRead,
    private readonly rates: YardageRateRead,
    private readonly store: YardageRateStore,
  ) {}

  async create(
    tenant: OperationTenant,
    { body }: InputOf<typeof api.createYardageRate>,
  ): Promise<AnswerOf<typeof api.getYardageRate>> {
    return this.record(tenant, body);
  }

  /** Writes one rate inside an open transaction. */
  async record(
    tenant: OperationTenant,
    body: InputOf<typeof api.createYardageRate>['body'],
  ): Promise<AnswerOf<typeof api.getYardageRate>> {
    if (body.herdId !== undefined) await this.herds.one(tenant, body.herdId);
    const row = await this.store.insert(tenant, {
      herd_id: body.herdId ?? null,
      from_on: body.fromOn,
      amount: body.perHeadDay,
      currency: tenant.operation.currency,
    });
    await tenant.audit({ action: 'yardage-rate.create', subjectKind: 'yardage-rate', subjectId: row.id, after: row });
    return answerFrom(row);
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listYardageRates>,
  ): Promise<AnswerOf<typeof api.listYardageRates>> {
    return pageOf(await this.rates.page(tenant, query), query.limit, answerFrom, (row) => [row.id]);
  }

  async get(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.getYardageRate>,
  ): Promise<AnswerOf<typeof api.getYardageRate>> {
    return answerFrom(await this.rates.one(tenant, params.yardageRateId));
  }
}

function answerFrom(row: YardageRateRow): AnswerOf<typeof api.getYardageRate> {
  return {
    id: row.id,
    herdId: row.herd_id,
    fromOn: row.from_on,
    perHeadDay: { amount: row.amount, currency: asCurrency(row.currency) },
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
