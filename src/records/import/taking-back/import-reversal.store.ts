import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { insertedRows, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { ImportReversalRow } from './import-reversal.read.js';

type New = Pick<ImportReversalRow, 'data_import_id' | 'effective_on' | 'reason' | 'record_count'>;

@Injectable()
export class ImportReversalStore {
  async insert(tenant: OperationTenant, row: New): Promise<ImportReversalRow> {
    const [written] = await insertedRows(tenant.db, 'data_import_reversal', [{ ...recordStamp(tenant), ...row }]);
    if (written === undefined) throw new RangeError('The reversal that was just written did not come back');
    return written;
  }

  /** Locks the lots, then the herds, of these records until the transaction ends, in the order of their ids. */
  async holdTouched({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<void> {
    const { rows } = await sql<{ id: string; space: number }>`
      SELECT DISTINCT hay_lot_id AS id, 727 AS space FROM stock_movement
       WHERE operation_id = ${operationId}::uuid AND source_id = ANY (${[...ids]}::uuid[])
      UNION SELECT unnest(ARRAY[herd_id, other_herd_id]), 728 FROM head_change
       WHERE operation_id = ${operationId}::uuid AND id = ANY (${[...ids]}::uuid[])
      ORDER BY space, id`.execute(db);
    for (const { id, space } of rows)
      if (id !== null) await sql`SELECT pg_advisory_xact_lock(hashtextextended(${id}, ${space}))`.execute(db);
  }
}
