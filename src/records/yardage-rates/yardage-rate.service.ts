import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { z } from 'zod';
import { decimal, decimalText } from '../../core/units/decimal.js';
import { Database } from '../../platform/database/database.js';
import type { DB } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { notFound } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { asCurrency } from '../../platform/wire/quantity.schema.js';
import { HerdRead } from '../herds/herd.read.js';
import type * as api from './yardage-rate.schema.js';

@Injectable()
export class YardageRateService {
  constructor(private readonly database: Database, private readonly herds: HerdRead) {}

  async create({ asker, params, body }: CallOf<typeof api.createYardageRate>): Promise<AnswerOf<typeof api.getYardageRate>> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      if (body.herdId !== undefined) await this.herds.one(tenant, body.herdId);
      const row = await tenant.db.insertInto('yardage_rate').values({
        operation_id: tenant.operationId, id: newId(), herd_id: body.herdId ?? null, from_on: body.fromOn, amount: body.perHeadDay, currency: tenant.operation.currency,
        recorded_at: tenant.moment.toISOString(), recorded_by: tenant.personId,
      }).returningAll().executeTakeFirstOrThrow();
      await tenant.audit({ action: 'yardage-rate.create', subjectKind: 'yardage-rate', subjectId: row.id, after: row });
      return written(row);
    });
  }

  async list({ asker, params, query }: CallOf<typeof api.listYardageRates>): Promise<AnswerOf<typeof api.listYardageRates>> {
    return this.database.readIn(asker, params.operationId, async ({ db, operationId }) => {
      let rows = db.selectFrom('yardage_rate').selectAll().where('operation_id', '=', operationId).orderBy('id').limit(query.limit + 1);
      if (query.cursor !== undefined) rows = rows.where('id', '>', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
      return pageOf(await rows.execute(), query.limit, written, (row) => [row.id]);
    });
  }

  async get({ asker, params }: CallOf<typeof api.getYardageRate>): Promise<AnswerOf<typeof api.getYardageRate>> {
    return this.database.readIn(asker, params.operationId, async ({ db, operationId }) => {
      const row = await db.selectFrom('yardage_rate').selectAll().where('operation_id', '=', operationId).where('id', '=', params.yardageRateId).executeTakeFirst();
      if (row === undefined) throw notFound('yardage rate');
      return written(row);
    });
  }
}

function written(row: Selectable<DB['yardage_rate']>): AnswerOf<typeof api.getYardageRate> {
  return { id: row.id, herdId: row.herd_id, fromOn: row.from_on, perHeadDay: { amount: decimalText(decimal(row.amount)), currency: asCurrency(row.currency) }, recordedAt: row.recorded_at, recordedBy: row.recorded_by };
}
