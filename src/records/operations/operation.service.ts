import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { Database } from '../../platform/database/database.js';
import type { DB, Tenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { notFound, Problem } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import type { Asker } from '../../platform/http/asker.js';
import { changedFields } from '../changed-fields.js';
import { nameCursor } from '../name-order.js';
import type * as api from './operation.schema.js';

type Body = CallOf<typeof api.createOperation>['body'];

@Injectable()
export class OperationService {
  constructor(private readonly database: Database) {}

  async create({ asker, body }: CallOf<typeof api.createOperation>): Promise<AnswerOf<typeof api.getOperation>> {
    return this.open(asker, body, false);
  }

  /** Opens the books of a business and makes the one asking its owner. `invented` marks demo data. */
  async open(asker: Asker, body: Body, invented: boolean): Promise<AnswerOf<typeof api.getOperation>> {
    if (asker.apiKeyId !== undefined) throw new Problem('not-permitted', 'An API key cannot open an operation.');
    return this.database.write(asker, async (tenant) => {
      const id = newId();
      await sql`SELECT rickyard.found(${id}::uuid)`.execute(tenant.db);
      const row = await tenant.db.insertInto('operation').values({
        id, name: body.name, unit_preference: body.unitPreference, currency: body.currency, time_zone: body.timeZone,
        costing_method: body.costingMethod, invented, created_at: asker.moment.toISOString(),
      }).returningAll().executeTakeFirstOrThrow();
      await tenant.db.insertInto('membership').values({
        operation_id: id, id: newId(), person_id: asker.personId, role: 'owner', sees_prices: true, from_at: asker.moment.toISOString(),
      }).execute();
      return written(row, { role: 'owner', seesPrices: true });
    });
  }

  async list({ asker, query }: CallOf<typeof api.listOperations>): Promise<AnswerOf<typeof api.listOperations>> {
    return this.database.read(asker, async (tenant) => {
      const after = nameCursor(query.cursor);
      let rows = tenant.db.selectFrom('operation').selectAll().orderBy('name').orderBy('id').limit(query.limit + 1);
      if (after !== undefined) {
        rows = rows.where((e) => e.or([e('name', '>', after.name), e.and([e('name', '=', after.name), e('id', '>', after.id)])]));
      }
      return pageOf(await rows.execute(), query.limit, (row) => written(row, roleIn(tenant, row.id)), (row) => [row.name, row.id]);
    });
  }

  async get({ asker, params }: CallOf<typeof api.getOperation>): Promise<AnswerOf<typeof api.getOperation>> {
    return this.database.readIn(asker, params.operationId, async (tenant) => written(await this.#row(tenant, params.operationId), roleIn(tenant, params.operationId)));
  }

  async change({ asker, params, body, expectedVersion }: CallOf<typeof api.changeOperation>): Promise<AnswerOf<typeof api.getOperation>> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      const before = await this.#row(tenant, params.operationId);
      const after = await tenant.db.updateTable('operation')
        .set((e) => ({
          ...changedFields({ name: body.name, unit_preference: body.unitPreference, time_zone: body.timeZone, costing_method: body.costingMethod }),
          version: e('version', '+', 1),
        }))
        .where('id', '=', params.operationId).where('version', '=', expectedVersion).returningAll().executeTakeFirst();
      if (after === undefined) throw new Problem('changed-meanwhile');
      await tenant.audit({ action: 'operation.change', subjectKind: 'operation', subjectId: params.operationId, before, after });
      return written(after, roleIn(tenant, params.operationId));
    });
  }

  async #row(tenant: Tenant, operationId: string): Promise<Selectable<DB['operation']>> {
    const row = await tenant.db.selectFrom('operation').selectAll().where('id', '=', operationId).executeTakeFirst();
    if (row === undefined) throw notFound('operation');
    return row;
  }
}

function roleIn(tenant: Tenant, operationId: string): { role: string; seesPrices: boolean } {
  const membership = tenant.memberships.find((one) => one.operationId === operationId);
  return { role: membership?.role ?? '', seesPrices: tenant.may('prices', operationId) };
}

function written(row: Selectable<DB['operation']>, as: { role: string; seesPrices: boolean }): AnswerOf<typeof api.getOperation> {
  return {
    id: row.id, name: row.name, unitPreference: row.unit_preference as 'us', currency: row.currency as 'USD', timeZone: row.time_zone,
    costingMethod: row.costing_method as 'fifo', invented: row.invented, ...as, createdAt: row.created_at, version: row.version,
  };
}
