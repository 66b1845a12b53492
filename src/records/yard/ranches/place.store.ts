import { Injectable } from '@nestjs/common';
import { type ChangedRow, type NewRow, thingStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { Problem } from '../../../platform/http/problem.js';
import type { PlaceRow } from './place.read.js';

@Injectable()
export class PlaceStore {
  async insert(tenant: OperationTenant, place: NewRow<'place'>): Promise<PlaceRow> {
    return tenant.db
      .insertInto('place')
      .values({ ...place, ...thingStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** @throws Problem changed-meanwhile where somebody else changed it first. */
  async change(
    { db, operationId }: OperationTenant,
    { id, version }: { id: string; version: number },
    changes: ChangedRow<'place'>,
  ): Promise<PlaceRow> {
    const after = await db
      .updateTable('place')
      .set((e) => ({ ...changes, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .where('version', '=', version)
      .returningAll()
      .executeTakeFirst();
    if (after === undefined) throw new Problem('changed-meanwhile');
    return after;
  }
}
