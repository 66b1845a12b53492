import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { Database } from '../../platform/database/database.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { notFound, Problem } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { changedFields } from '../changed-fields.js';
import { nameCursor } from '../name-order.js';
import type * as api from './ranch.schema.js';

@Injectable()
export class RanchService {
  constructor(private readonly database: Database) {}

  async create({ asker, params, body }: CallOf<typeof api.createRanch>): Promise<AnswerOf<typeof api.getRanch>> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      const row = await tenant.db.insertInto('ranch').values({
        operation_id: tenant.operationId, id: newId(), name: body.name, time_zone: body.timeZone ?? tenant.operation.timeZone, created_at: tenant.moment.toISOString(),
      }).returningAll().executeTakeFirstOrThrow();
      await tenant.audit({ action: 'ranch.create', subjectKind: 'ranch', subjectId: row.id, after: row });
      return writtenRanch(row);
    });
  }

  async list({ asker, params, query }: CallOf<typeof api.listRanches>): Promise<AnswerOf<typeof api.listRanches>> {
    return this.database.readIn(asker, params.operationId, async ({ db, operationId }) => {
      const after = nameCursor(query.cursor);
      let rows = db.selectFrom('ranch').selectAll().where('operation_id', '=', operationId).orderBy('name').orderBy('id').limit(query.limit + 1);
      if (after !== undefined) rows = rows.where((e) => e.or([e('name', '>', after.name), e.and([e('name', '=', after.name), e('id', '>', after.id)])]));
      return pageOf(await rows.execute(), query.limit, writtenRanch, (row) => [row.name, row.id]);
    });
  }

  async get({ asker, params }: CallOf<typeof api.getRanch>): Promise<AnswerOf<typeof api.getRanch>> {
    return this.database.readIn(asker, params.operationId, async (tenant) => writtenRanch(await this.#ranch(tenant, params.ranchId)));
  }

  async change({ asker, params, body, expectedVersion }: CallOf<typeof api.changeRanch>): Promise<AnswerOf<typeof api.getRanch>> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      const before = await this.#ranch(tenant, params.ranchId);
      const after = await tenant.db.updateTable('ranch')
        .set((e) => ({ ...changedFields({ name: body.name, time_zone: body.timeZone }), version: e('version', '+', 1) }))
        .where('operation_id', '=', tenant.operationId).where('id', '=', params.ranchId).where('version', '=', expectedVersion).returningAll().executeTakeFirst();
      if (after === undefined) throw new Problem('changed-meanwhile');
      await tenant.audit({ action: 'ranch.change', subjectKind: 'ranch', subjectId: after.id, before, after });
      return writtenRanch(after);
    });
  }

  async createPlace({ asker, params, body }: CallOf<typeof api.createPlace>): Promise<AnswerOf<typeof api.getPlace>> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      await this.#ranch(tenant, body.ranchId);
      const row = await tenant.db.insertInto('place').values({
        operation_id: tenant.operationId, id: newId(), ranch_id: body.ranchId, name: body.name, kind: body.kind,
        bunk_length_value: body.bunkLength?.value ?? null, bunk_length_unit: body.bunkLength?.unit ?? null, created_at: tenant.moment.toISOString(),
      }).returningAll().executeTakeFirstOrThrow();
      await tenant.audit({ action: 'place.create', subjectKind: 'place', subjectId: row.id, after: row });
      return writtenPlace(row);
    });
  }

  async listPlaces({ asker, params, query }: CallOf<typeof api.listPlaces>): Promise<AnswerOf<typeof api.listPlaces>> {
    return this.database.readIn(asker, params.operationId, async ({ db, operationId }) => {
      const after = nameCursor(query.cursor);
      let rows = db.selectFrom('place').selectAll().where('operation_id', '=', operationId).orderBy('name').orderBy('id').limit(query.limit + 1);
      if (query.ranchId !== undefined) rows = rows.where('ranch_id', '=', query.ranchId);
      if (after !== undefined) rows = rows.where((e) => e.or([e('name', '>', after.name), e.and([e('name', '=', after.name), e('id', '>', after.id)])]));
      return pageOf(await rows.execute(), query.limit, writtenPlace, (row) => [row.name, row.id]);
    });
  }

  async getPlace({ asker, params }: CallOf<typeof api.getPlace>): Promise<AnswerOf<typeof api.getPlace>> {
    return this.database.readIn(asker, params.operationId, async (tenant) => writtenPlace(await this.#place(tenant, params.placeId)));
  }

  async changePlace({ asker, params, body, expectedVersion }: CallOf<typeof api.changePlace>): Promise<AnswerOf<typeof api.getPlace>> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      const before = await this.#place(tenant, params.placeId);
      const length = body.bunkLength;
      const after = await tenant.db.updateTable('place')
        .set((e) => ({
          ...changedFields({
            name: body.name, kind: body.kind,
            bunk_length_value: length === undefined ? undefined : (length?.value ?? null), bunk_length_unit: length === undefined ? undefined : (length?.unit ?? null),
          }),
          version: e('version', '+', 1),
        }))
        .where('operation_id', '=', tenant.operationId).where('id', '=', params.placeId).where('version', '=', expectedVersion).returningAll().executeTakeFirst();
      if (after === undefined) throw new Problem('changed-meanwhile');
      await tenant.audit({ action: 'place.change', subjectKind: 'place', subjectId: after.id, before, after });
      return writtenPlace(after);
    });
  }

  async #ranch({ db, operationId }: OperationTenant, id: string): Promise<Selectable<DB['ranch']>> {
    const row = await db.selectFrom('ranch').selectAll().where('operation_id', '=', operationId).where('id', '=', id).executeTakeFirst();
    if (row === undefined) throw notFound('ranch');
    return row;
  }

  async #place({ db, operationId }: OperationTenant, id: string): Promise<Selectable<DB['place']>> {
    const row = await db.selectFrom('place').selectAll().where('operation_id', '=', operationId).where('id', '=', id).executeTakeFirst();
    if (row === undefined) throw notFound('place');
    return row;
  }
}

function writtenRanch(row: Selectable<DB['ranch']>): AnswerOf<typeof api.getRanch> {
  return { id: row.id, name: row.name, timeZone: row.time_zone, createdAt: row.created_at, version: row.version };
}

function writtenPlace(row: Selectable<DB['place']>): AnswerOf<typeof api.getPlace> {
  const bunkLength = row.bunk_length_value === null || row.bunk_length_unit === null ? null : { value: row.bunk_length_value, unit: row.bunk_length_unit as 'ft' };
  return { id: row.id, ranchId: row.ranch_id, name: row.name, kind: row.kind as 'pen', bunkLength, createdAt: row.created_at, version: row.version };
}
