import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { OperationTenant, Words } from '../../platform/database/types.js';
import { CHANGED_KIND_CODES, type ChangedKind } from './changed-kinds.data.js';

export interface ChangeRow {
  sequence: string;
  recorded_at: string;
  action: string;
  subject_kind: ChangedKind;
  record_ids: string[];
  reversal_id: string | null;
}

export interface ChangedMovementRow {
  /** The record, or its reversal, that the movement came with. */
  cause: string;
  id: string;
  kind: Words['MovementKind'];
  effective_on: string;
  hay_lot_id: string;
  hay_kind: string;
  kilograms: string;
  herd_id: string | null;
  reverses_id: string | null;
}

/** What else of the journal hangs on a record: its day, and the kind of hay if it is of one. */
export interface JournalDay {
  cause: string;
  on: string;
  hay_kind: string | null;
}

@Injectable()
export class ChangeRead {
  /** In the order of the operation's chain: those after a number. */
  async after({ db, operationId }: OperationTenant, since: string, most: number): Promise<ChangeRow[]> {
    const { rows } = await sql<ChangeRow>`
      SELECT c.sequence::text, c.recorded_at, c.action, c.subject_kind, c.record_ids::text[], c.reversal_id
        FROM rickyard.record_changes(${operationId}::uuid, ${CHANGED_KIND_CODES}::text[], ${since}::bigint, ${most}) c
       ORDER BY c.sequence`.execute(db);
    return rows;
  }

  /**
   * The lines of the hay ledger that these records and reversals wrote, and with them the counts of their lots that
   * were restated in the same go.
   */
  async movements({ db, operationId }: OperationTenant, causes: readonly string[]): Promise<ChangedMovementRow[]> {
    if (causes.length === 0) return [];
    const { rows } = await sql<ChangedMovementRow>`
      WITH caused AS (
        SELECT m.*, m.source_id AS cause FROM stock_movement m
         WHERE m.operation_id = ${operationId} AND m.source_id = ANY (${causes}::uuid[])),
      moved AS (
        SELECT * FROM caused
        UNION
        SELECT r.*, c.cause FROM caused c
          JOIN stock_movement r ON r.operation_id = c.operation_id AND r.hay_lot_id = c.hay_lot_id
           AND r.effective_at >= c.effective_at AND r.source_kind = 'stock-count' AND r.recorded_at = c.recorded_at
           AND r.recorded_by = c.recorded_by AND r.sequence > c.sequence
         -- One writer at a time holds a lot, so what restated a count is what was written to its lot before it.
         WHERE NOT EXISTS (SELECT 1 FROM stock_movement x WHERE x.operation_id = c.operation_id
           AND x.hay_lot_id = c.hay_lot_id AND x.sequence > c.sequence AND x.sequence < r.sequence
           AND x.source_id <> c.source_id AND x.source_kind <> 'stock-count'))
      SELECT m.cause, m.id, m.kind, m.effective_on, m.hay_lot_id, l.hay_kind, m.kilograms::text, m.herd_id,
        m.reverses_id
        FROM moved m JOIN hay_lot l ON l.operation_id = ${operationId} AND l.id = m.hay_lot_id
       ORDER BY m.sequence`.execute(db);
    return rows;
  }

  /** Which record each of these was entered in place of. */
  async corrected({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<Map<string, string>> {
    if (ids.length === 0) return new Map();
    const { rows } = await sql<{ id: string; corrects: string }>`
      SELECT subject_id AS id, corrects_id AS corrects FROM entry_correction
       WHERE operation_id = ${operationId} AND subject_id = ANY (${ids}::uuid[])
      UNION
      -- What an earlier release kept of it.
      SELECT subject_id, corrects_id FROM late_posting
       WHERE operation_id = ${operationId} AND subject_id = ANY (${ids}::uuid[]) AND corrects_id IS NOT NULL
    `.execute(db);
    return new Map(rows.map(({ id, corrects }) => [id, corrects]));
  }

  /** The herd of each of these head changes and events, under whose address they are read. */
  async herdsOf({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<Map<string, string>> {
    if (ids.length === 0) return new Map();
    const { rows } = await sql<{ id: string; herd: string }>`
      SELECT id, herd_id AS herd FROM head_change
       WHERE operation_id = ${operationId} AND id = ANY (${ids}::uuid[])
      UNION ALL
      SELECT id, herd_id FROM herd_event
       WHERE operation_id = ${operationId} AND id = ANY (${ids}::uuid[])`.execute(db);
    return new Map(rows.map(({ id, herd }) => [id, herd]));
  }

  /** Days from which later bills, head changes, yardage rates and other costs of herds are in the books. */
  async journalDays({ db, operationId }: OperationTenant, causes: readonly string[]): Promise<JournalDay[]> {
    if (causes.length === 0) return [];
    const { rows } = await sql<JournalDay>`
      SELECT c.source_id AS cause, c.effective_on AS "on", l.hay_kind
        FROM stock_cost c JOIN hay_lot l ON l.operation_id = c.operation_id AND l.id = c.hay_lot_id
       WHERE c.operation_id = ${operationId} AND c.source_id = ANY (${causes}::uuid[])
      UNION ALL
      SELECT h.id, LEAST(h.happened_on, o.happened_on), NULL
        FROM head_change h LEFT JOIN head_change o ON o.operation_id = h.operation_id AND o.id = h.reverses_id
       WHERE h.operation_id = ${operationId} AND h.id = ANY (${causes}::uuid[])
      UNION ALL
      SELECT y.id, y.from_on, NULL FROM yardage_rate y
       WHERE y.operation_id = ${operationId} AND y.id = ANY (${causes}::uuid[])
      UNION ALL
      SELECT c.id, c.happened_on, NULL FROM herd_cost c
       WHERE c.operation_id = ${operationId} AND c.id = ANY (${causes}::uuid[])`.execute(db);
    return rows;
  }
}
