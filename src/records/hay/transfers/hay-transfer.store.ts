import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { HayTransferRow } from './hay-transfer.read.js';

@Injectable()
export class HayTransferStore {
  /** Under an id that a count confirmed with it already refers to. */
  async insert(tenant: OperationTenant, id: string, transfer: NewRow<'hay_transfer'>): Promise<HayTransferRow> {
    return tenant.db
      .insertInto('hay_transfer')
      .values({ ...transfer, ...recordStamp(tenant, id) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }
}
