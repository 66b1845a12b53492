import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { OperationTenant } from '../../platform/database/types.js';

/** What people wrote with the record behind an entry; of a reversal, with the record that it undoes. */
export interface EntryWords {
  vendor: string | null;
  buyer: string | null;
  memo: string | null;
}

@Injectable()
export class EntryWordsRead {
  /** By the ids of the ledger's entries: movements and later bills. */
  async of({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<ReadonlyMap<string, EntryWords>> {
    if (ids.length === 0) return new Map();
    const { rows } = await sql<EntryWords & { id: string }>`
      WITH entry AS (
        SELECT m.id, m.reason, COALESCE(o.source_kind, m.source_kind) AS kind,
          COALESCE(o.source_id, m.source_id) AS source
          FROM stock_movement m
          LEFT JOIN stock_movement o ON o.operation_id = m.operation_id AND o.id = m.reverses_id
         WHERE m.operation_id = ${operationId} AND m.id = ANY (${ids}::uuid[])
        UNION ALL
        SELECT c.id, r.reason, COALESCE(o.source_kind, c.source_kind), COALESCE(o.source_id, c.source_id)
          FROM stock_cost c
          LEFT JOIN stock_cost o ON o.operation_id = c.operation_id AND o.id = c.reverses_id
          LEFT JOIN reversal r ON c.source_kind = 'reversal' AND r.operation_id = c.operation_id AND r.id = c.source_id
         WHERE c.operation_id = ${operationId} AND c.id = ANY (${ids}::uuid[]))
      SELECT e.id, COALESCE(p.vendor, b.biller) AS vendor, s.buyer,
        NULLIF(concat_ws(': ', 'Ticket ' || COALESCE(p.ticket_number, s.ticket_number),
          COALESCE(e.reason, p.note, b.note, s.note, h.note, f.note, w.note, w.reason, n.reason)), '') AS memo
        FROM entry e
        LEFT JOIN hay_purchase p ON e.kind = 'hay-purchase' AND p.operation_id = ${operationId} AND p.id = e.source
        LEFT JOIN late_cost b ON e.kind = 'late-cost' AND b.operation_id = ${operationId} AND b.id = e.source
        LEFT JOIN hay_sale s ON e.kind = 'hay-sale' AND s.operation_id = ${operationId} AND s.id = e.source
        LEFT JOIN harvest h ON e.kind = 'harvest' AND h.operation_id = ${operationId} AND h.id = e.source
        LEFT JOIN feeding f ON e.kind = 'feeding' AND f.operation_id = ${operationId} AND f.id = e.source
        LEFT JOIN storage_shrink w ON e.kind = 'storage-shrink' AND w.operation_id = ${operationId} AND w.id = e.source
        LEFT JOIN stock_count n ON e.kind = 'stock-count' AND n.operation_id = ${operationId}
         AND n.id = e.source`.execute(db);
    return new Map(rows.map(({ id, ...words }) => [id, words]));
  }
}
