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
  /** The notes that say so. */
  notes: string[];
  /** Of what is written now. */
  version: string;
}

/** Where an entry stands in the ledger. */
export interface LedgerPlace {
  on: string;
  /** As in `LedgerRow`. */
  rank: number;
  at: string;
}

/** What is known after the last entry of a kind, of which nothing is due. */
export interface KindTip {
  hayKind: string;
  lots: string[];
  version: string;
  place: LedgerPlace;
  state: CostingState;
}

/** Entries of a kind that come after all that are written. */
export interface AppendedCosts {
  hayKind: string;
  /** Of what was known when they were costed. */
  version: string;
  place: LedgerPlace;
  state: CostingState;
  rows: readonly CostedRow[];
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

interface PutInPlace {
  until: string | undefined;
  rows: readonly CostedRow[];
  states: readonly KeptState[];
  last: LedgerPlace | undefined;
}

const ROWS_AT_ONCE = 2000;
/** Besides the last one of every month, the states after this many last days with entries are kept. */
export const LATEST_DAYS_KEPT = 4;

/** The costs of the hay ledger as they are kept; the core's replay computes them. */
@Injectable()
export class WrittenCostsStore {
  /** Lets this transaction, until it ends, read the money of the ledger and change what is written of it. */
  async begin({ db }: OperationBooks): Promise<void> {
    await sql`SELECT set_config('rickyard.costing', 'yes', true)`.execute(db);
  }

  /** Waits for the entries under way and keeps others out until this transaction ends, which changes the method. */
  async changeMethod({ db, operationId }: Pick<OperationBooks, 'db' | 'operationId'>): Promise<void> {
    await sql`SELECT pg_advisory_xact_lock(hashtextextended(${operationId}, 731))`.execute(db);
  }

  /** Begins to keep the costs of every kind under a method, where they were kept under another; all of it is due. */
  async open({ db, operationId }: OperationBooks, method: CostingMethod): Promise<void> {
    await sql`
      WITH opened AS (
        INSERT INTO costing_pool (operation_id, costing_method, hay_kind)
        SELECT DISTINCT ${operationId}::uuid, ${method}, hay_kind FROM costing_pool WHERE operation_id = ${operationId}
            ON CONFLICT DO NOTHING RETURNING hay_kind)
      INSERT INTO costing_due (operation_id, costing_method, hay_kind, from_on, transaction_number)
      SELECT ${operationId}, ${method}, hay_kind, DATE '0001-01-01', 0 FROM opened`.execute(db);
  }

  /** What is due under a method, by kind. */
  async due({ db, operationId }: OperationBooks, method: CostingMethod): Promise<DueCosts[]> {
    const { rows } = await sql<DueCosts>`
      SELECT d.costing_method AS method, d.hay_kind AS "hayKind", min(d.from_on) AS from,
        array_agg(d.sequence::text) AS notes, p.version::text AS version
        FROM costing_due d
        JOIN costing_pool p ON p.operation_id = d.operation_id AND p.costing_method = d.costing_method
          AND p.hay_kind = d.hay_kind
       WHERE d.operation_id = ${operationId} AND d.costing_method = ${method}
       GROUP BY d.costing_method, d.hay_kind, p.version
       ORDER BY d.hay_kind`.execute(db);
    return rows;
  }

  /** What is known after the last entry of each kind of these lots; nothing of a kind of which something is due. */
  async tips({ db, operationId }: OperationBooks, lotIds: readonly string[]): Promise<KindTip[]> {
    const { rows } = await sql<Omit<KindTip, 'place'> & LedgerPlace>`
      SELECT hay_kind AS "hayKind", hay_lots AS lots, version::text, last_on AS "on", last_rank AS rank, last_at AS at,
        state
        FROM rickyard.costing_tips(${operationId}::uuid, ${lotIds}::uuid[])`.execute(db);
    return rows.map(({ on, rank, at, ...tip }) => ({ ...tip, place: { on, rank, at } }));
  }

  /**
   * Writes costs that come after all others of their kinds, and takes back this transaction's notes that they are due:
   * where nobody has written others meanwhile. In two statements that may be sent with COMMIT.
   * @returns the kinds that were written; the others stay due.
   */
  async append(books: OperationBooks, method: CostingMethod, costs: readonly AppendedCosts[]): Promise<string[]> {
    const { db, operationId } = books;
    const begun = this.begin(books);
    const written = sql<{ hay_kind: string }>`
      WITH told AS (
        SELECT * FROM jsonb_to_recordset(${JSON.stringify(costs)}::jsonb)
          AS x ("hayKind" text, version bigint, place jsonb, state jsonb, rows jsonb)),
      claimed AS (
        UPDATE costing_pool p SET version = p.version + 1, last_on = (x.place->>'on')::date,
            last_rank = (x.place->>'rank')::int, last_at = (x.place->>'at')::timestamptz
          FROM told x
         WHERE p.operation_id = ${operationId} AND p.costing_method = ${method} AND p.hay_kind = x."hayKind"
           AND p.version = x.version
        RETURNING x."hayKind" AS hay_kind, p.last_on, x.state, x.rows),
      known AS (
        INSERT INTO costing_state AS s (operation_id, costing_method, hay_kind, until_on, state)
        SELECT ${operationId}, ${method}, hay_kind, last_on, state FROM claimed
            ON CONFLICT (operation_id, costing_method, hay_kind, until_on) DO UPDATE SET state = EXCLUDED.state),
      standing AS (
        SELECT s.hay_kind, s.until_on, row_number() OVER (PARTITION BY s.hay_kind ORDER BY s.until_on DESC) AS age,
          row_number() OVER (PARTITION BY s.hay_kind, date_trunc('month', s.until_on) ORDER BY s.until_on DESC)
            AS age_in_month
          FROM claimed c
          JOIN costing_state s ON s.operation_id = ${operationId} AND s.costing_method = ${method}
            AND s.hay_kind = c.hay_kind AND s.until_on < c.last_on),
      outdated AS (
        DELETE FROM costing_state s USING standing o
         WHERE s.operation_id = ${operationId} AND s.costing_method = ${method} AND s.hay_kind = o.hay_kind
           AND s.until_on = o.until_on AND o.age > ${LATEST_DAYS_KEPT} AND o.age_in_month > 1),
      settled AS (
        DELETE FROM costing_due d USING claimed c
         WHERE d.operation_id = ${operationId} AND d.costing_method = ${method} AND d.hay_kind = c.hay_kind
           AND d.transaction_number = pg_current_xact_id()::text::bigint),
      entered AS (
        INSERT INTO costed_entry (operation_id, costing_method, hay_kind, entry_id, effective_on, herd_id, kilograms,
          amount, variance)
        SELECT ${operationId}, ${method}, c.hay_kind, x."entryId", x."on", x."herdId", x.kilograms, x.amount, x.variance
          FROM claimed c, jsonb_to_recordset(c.rows)
            AS x ("entryId" uuid, "on" date, "herdId" uuid, kilograms numeric, amount numeric, variance numeric))
      SELECT hay_kind FROM claimed`.execute(db);
    await begun;
    return (await written).rows.map((row) => row.hay_kind);
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

  /**
   * Puts these costs and states in place of all from a day on; nothing of it is due any more, or what comes after
   * `until`.
   * @returns false, and nothing is changed, where somebody has written others since what is due was read
   */
  async replace(
    { db, operationId }: OperationBooks,
    { method, hayKind, from, notes, version }: DueCosts,
    { until, rows, states, last }: PutInPlace,
  ): Promise<boolean> {
    const ofKind = sql`operation_id = ${operationId} AND costing_method = ${method} AND hay_kind = ${hayKind}`;
    const claimed = await sql`
      UPDATE costing_pool SET version = version + 1, last_on = ${last?.on ?? null}::date,
          last_rank = ${last?.rank ?? null}::int, last_at = ${last?.at ?? null}::timestamptz
       WHERE ${ofKind} AND version = ${version}::bigint`.execute(db);
    if (claimed.numAffectedRows !== 1n) return false;
    await sql`
      WITH written AS (DELETE FROM costing_due WHERE ${ofKind} AND sequence = ANY (${notes}::bigint[])),
      left_due AS (
        INSERT INTO costing_due (operation_id, costing_method, hay_kind, from_on, transaction_number)
        SELECT ${operationId}, ${method}, ${hayKind}, x.until + 1, 0 FROM (SELECT ${until ?? null}::date AS until) x
         WHERE x.until IS NOT NULL),
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
    return true;
  }
}
