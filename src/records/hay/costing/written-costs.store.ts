import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { CostingMethod } from '../../../core/stock/costing-entries.js';
import type { CostingState } from '../../../core/stock/costing-state.js';
import type { OperationBooks, Words } from '../../../platform/database/types.js';

/** One kind of hay in the books of one method. */
export interface CostedKind {
  method: CostingMethod;
  hayKind: Words['FeedKind'];
}

export interface DueCosts extends CostedKind {
  /** The first day whose costs are not written. */
  from: string;
  /** The last of the notes that say so. */
  last: string;
}

export interface CostedRow {
  entryId: string;
  on: string;
  herdId: string | null;
  kilograms: string;
  amount: string;
  variance: string | null;
}

export interface KeptState {
  until: string;
  state: CostingState;
}

const ROWS_AT_ONCE = 2000;
/** Besides the last one of every month, the states after this many last days with entries are kept. */
export const LATEST_DAYS_KEPT = 4;

/** The costs of the hay ledger as they are kept; the core's replay computes them. */
@Injectable()
export class WrittenCostsStore {
  /**
   * Lets this transaction, until it ends, read the money of the ledger and write costs, one transaction of an operation
   * at a time. The last lock that it takes.
   */
  async begin({ db, operationId }: OperationBooks): Promise<void> {
    await sql`SELECT set_config('rickyard.costing', 'yes', true),
      pg_advisory_xact_lock(hashtextextended(${operationId}, 731))`.execute(db);
  }

  /** What is due under a method, by kind; of other methods one note each is kept, the earliest. */
  async due({ db, operationId }: OperationBooks, method: CostingMethod): Promise<DueCosts[]> {
    const { rows } = await sql<DueCosts>`
      WITH repeated AS (
        DELETE FROM costing_due d
         WHERE d.operation_id = ${operationId} AND d.costing_method <> ${method} AND EXISTS (
           SELECT 1 FROM costing_due e
            WHERE e.operation_id = d.operation_id AND e.costing_method = d.costing_method AND e.hay_kind = d.hay_kind
              AND (e.from_on, e.sequence) < (d.from_on, d.sequence)))
      SELECT costing_method AS method, hay_kind AS "hayKind", min(from_on) AS from, max(sequence) AS last
        FROM costing_due WHERE operation_id = ${operationId} AND costing_method = ${method} GROUP BY 1, 2
       ORDER BY 2`.execute(db);
    return rows;
  }

  /** All that is written under a method. */
  async rows({ db, operationId }: OperationBooks, method: CostingMethod): Promise<CostedRow[]> {
    const { rows } = await sql<CostedRow>`
      SELECT entry_id AS "entryId", effective_on AS "on", herd_id AS "herdId", kilograms::text, amount::text,
        variance::text
        FROM costed_entry WHERE operation_id = ${operationId} AND costing_method = ${method}`.execute(db);
    return rows;
  }

  /** What was known before a day. */
  async stateBefore(
    { db, operationId }: OperationBooks,
    { method, hayKind }: CostedKind,
    day: string,
  ): Promise<KeptState | undefined> {
    const row = await db
      .selectFrom('costing_state')
      .select(['until_on', 'state'])
      .where('operation_id', '=', operationId)
      .where('costing_method', '=', method)
      .where('hay_kind', '=', hayKind)
      .where('until_on', '<', day)
      .orderBy('until_on', 'desc')
      .limit(1)
      .executeTakeFirst();
    return row && { until: row.until_on, state: row.state as CostingState };
  }

  /** Puts these costs and states in place of all from a day on; nothing of it is due any more. */
  async replace(
    { db, operationId }: OperationBooks,
    { method, hayKind, from, last }: DueCosts,
    rows: readonly CostedRow[],
    states: readonly KeptState[],
  ): Promise<void> {
    const ofKind = sql`operation_id = ${operationId} AND costing_method = ${method} AND hay_kind = ${hayKind}`;
    await sql`
      WITH written AS (DELETE FROM costing_due WHERE ${ofKind} AND sequence <= ${last}),
      standing AS (
        SELECT until_on, row_number() OVER (ORDER BY until_on DESC) AS age,
          row_number() OVER (PARTITION BY date_trunc('month', until_on) ORDER BY until_on DESC) AS age_in_month
          FROM costing_state WHERE ${ofKind} AND until_on < ${from}::date),
      outdated AS (
        DELETE FROM costing_state WHERE ${ofKind} AND (until_on >= ${from}::date OR until_on IN (
          SELECT until_on FROM standing WHERE age > ${LATEST_DAYS_KEPT} AND age_in_month > 1)))
      DELETE FROM costed_entry WHERE ${ofKind} AND effective_on >= ${from}::date`.execute(db);
    for (let start = 0; start < rows.length || start === 0; start += ROWS_AT_ONCE)
      await sql`
        WITH known AS (
          INSERT INTO costing_state (operation_id, costing_method, hay_kind, until_on, state)
          SELECT ${operationId}, ${method}, ${hayKind}, x.until, x.state
            FROM jsonb_to_recordset(${JSON.stringify(start === 0 ? states : [])}::jsonb)
              AS x (until date, state jsonb))
        INSERT INTO costed_entry (operation_id, costing_method, hay_kind, entry_id, effective_on, herd_id, kilograms,
          amount, variance)
        SELECT ${operationId}, ${method}, ${hayKind}, x."entryId", x."on", x."herdId", x.kilograms, x.amount, x.variance
          FROM jsonb_to_recordset(${JSON.stringify(rows.slice(start, start + ROWS_AT_ONCE))}::jsonb)
            AS x ("entryId" uuid, "on" date, "herdId" uuid, kilograms numeric, amount numeric, variance numeric)
      `.execute(db);
  }
}
