import { Injectable } from '@nestjs/common';
import { type ChangedRow, type NewRow, thingStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { Problem } from '../../../platform/http/problem.js';
import type { HerdRow } from './herd.read.js';

/** Class and place are kept in the herd's events. */
type Stored = Omit<HerdRow, 'cattle_class' | 'place_id'>;

@Injectable()
export class HerdStore {
  async insert(tenant: OperationTenant, herd: NewRow<'herd'>): Promise<Stored> {
    return tenant.db
      .insertInto('herd')
      .values({ ...herd, ...thingStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** @throws Problem changed-meanwhile where somebody else changed it first. */
  async change(
    { db, operationId }: OperationTenant,
    { id, version }: { id: string; version: number },
    changes: ChangedRow<'herd'>,
  ): Promise<Stored> {
    const after = await db
      .updateTable('herd')
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
