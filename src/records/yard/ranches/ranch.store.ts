import { Injectable } from '@nestjs/common';
import { type ChangedRow, type NewRow, thingStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { Problem } from '../../../platform/http/problem.js';
import type { RanchRow } from './ranch.read.js';

@Injectable()
export class RanchStore {
  async insert(tenant: OperationTenant, ranch: NewRow<'ranch'>): Promise<RanchRow> {
    return tenant.db
      .insertInto('ranch')
      .values({ ...ranch, ...thingStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** @throws Problem changed-meanwhile where somebody else changed it first. */
  async change(
    { db, operationId }: OperationTenant,
    { id, version }: { id: string; version: number },
    changes: ChangedRow<'ranch'>,
  ): Promise<RanchRow> {
    const after = await db
      .updateTable('ranch')
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
