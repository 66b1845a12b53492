import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { type ChangedRow, type NewRow, recordStamp, thingStamp } from '../../platform/database/rows.js';
import type { OperationTenant, Words } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';
import type { RationLayerRow, RationRow } from '../facts/ration-content.js';
import type { RationNoteRow } from './ration-note.read.js';

export type NewRationLayer = Omit<RationLayerRow, 'operation_id' | 'ration_id' | 'revision'>;

@Injectable()
export class RationStore {
  async insert(tenant: OperationTenant, ration: Omit<NewRow<'ration'>, 'created_by'>): Promise<RationRow> {
    return tenant.db
      .insertInto('ration')
      .values({ ...ration, ...thingStamp(tenant), created_by: tenant.personId })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** The layers of this revision; those of earlier ones stay. */
  async insertLayers(
    { db, operationId }: OperationTenant,
    { id, revision }: Pick<RationRow, 'id' | 'revision'>,
    layers: readonly NewRationLayer[],
  ): Promise<RationLayerRow[]> {
    return db
      .insertInto('ration_layer')
      .values(layers.map((layer) => ({ ...layer, operation_id: operationId, ration_id: id, revision })))
      .returningAll()
      .execute();
  }

  /** `rewritten` where new layers follow. @throws Problem changed-meanwhile where somebody was quicker. */
  async change(
    { db, operationId }: OperationTenant,
    { id, version }: { id: string; version: number },
    changes: ChangedRow<'ration'>,
    { rewritten = false } = {},
  ): Promise<RationRow> {
    const after = await db
      .updateTable('ration')
      .set((e) => ({
        ...changes,
        ...(rewritten ? { revision: e('revision', '+', 1) } : {}),
        version: e('version', '+', 1),
      }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .where('version', '=', version)
      .returningAll()
      .executeTakeFirst();
    if (after === undefined) throw new Problem('changed-meanwhile');
    return after;
  }

  /** Locks the herd, so that nobody else puts a ration of it into use until the transaction ends. */
  async holdHerd({ db }: OperationTenant, herdId: string): Promise<void> {
    await sql`SELECT pg_advisory_xact_lock(hashtextextended(${herdId}, 730))`.execute(db);
  }

  /** Sets the days of use of a ration whose herd is locked. */
  async use(
    { db, operationId }: OperationTenant,
    id: string,
    days: Pick<ChangedRow<'ration'>, 'in_use_from' | 'in_use_until'>,
  ): Promise<RationRow> {
    return db
      .updateTable('ration')
      .set((e) => ({ ...days, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  async note(
    tenant: OperationTenant,
    rationId: string,
    kind: Words['RationNoteKind'],
    words: string,
  ): Promise<RationNoteRow> {
    return tenant.db
      .insertInto('ration_note')
      .values({ ration_id: rationId, kind, words, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }
}
