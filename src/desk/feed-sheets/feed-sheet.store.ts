import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { ConfirmationRow, ConfirmedLotRow } from './feed-sheet.read.js';

export type NewConfirmedLot = Omit<ConfirmedLotRow, 'operation_id' | 'confirmation_id'>;

@Injectable()
export class FeedSheetStore {
  /** A sheet that was fed, with what was drawn from each lot and what is left over for the next. */
  async insert(
    tenant: OperationTenant,
    confirmation: NewRow<'feed_sheet_confirmation'>,
    lots: readonly NewConfirmedLot[],
  ): Promise<{ row: ConfirmationRow; lots: ConfirmedLotRow[] }> {
    const row = await tenant.db
      .insertInto('feed_sheet_confirmation')
      .values({ ...confirmation, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
    const kept = await tenant.db
      .insertInto('feed_sheet_lot')
      .values(lots.map((lot) => ({ ...lot, operation_id: row.operation_id, confirmation_id: row.id })))
      .returningAll()
      .execute();
    return { row, lots: kept };
  }
}
