import { Injectable } from '@nestjs/common';
import { type RawBuilder, sql } from 'kysely';
import type { CostingMethod } from '../../../core/stock/costing-entries.js';
import type { MovementKind } from '../../../core/stock/movement-kinds.data.js';
import type { OperationBooks, OperationTenant } from '../../../platform/database/types.js';
import { toldInPlace } from '../../kit/told-in-place.read.js';

/** One row of the ledger with all that costing needs: a movement, or a later bill. */
export interface LedgerRow {
  /** Within a day: reversed bills (0), movements (1), later bills (2). */
  rank: number;
  id: string;
  kind: MovementKind | 'late-cost';
  hay_lot_id: string;
  hay_kind: string;
  category: string;
  kilograms: string;
  effective_on: string;
  effective_at: string;
  sequence: string;
  ranch_id: string;
  place_id: string | null;
  herd_id: string | null;
  source_kind: string;
  source_id: string;
  reverses_id: string | null;
  reason: string | null;
  recorded_at: string;
  treatment: string | null;
  cost: string;
  freight: string;
  proceeds: string | null;
  /** For a later bill: the movement that brought the hay. */
  receipt_id: string | null;
}

/** What is read of the written costs. */
export interface WrittenCosts {
  movements: number;
  variances: WrittenVariance[];
  /** Signed as the ledger is: feeding takes hay out. */
  fed: { herdId: string; hayKind: string; on: string; kilograms: string; amount: string }[];
  /** Feedings whose reversal is of these days, signed in the same way. */
  reversed: WrittenReversal[];
  /** Feedings of these days that were posted late in place of others and stand at their end, signed in the same way. */
  inPlace: WrittenInPlace[];
}

export interface WrittenVariance {
  entryId: string;
  on: string;
  amount: string;
}

export interface WrittenReversal {
  herdId: string;
  hayKind: string;
  reversedOn: string;
  reversalOn: string;
  kilograms: string;
  amount: string;
}

export interface WrittenInPlace {
  herdId: string;
  hayKind: string;
  on: string;
  /** The day that was given. */
  of: string;
  kilograms: string;
  amount: string;
}

/** Of an entry with a variance: the lot that its bill or receipt is about, and when the hay of it came. */
export interface VarianceOrigin {
  entryId: string;
  lotId: string;
  hayKind: string;
  receivedOn: string;
}

/** An entry that takes back a record, or was posted late in place of one. */
export interface PutsRight {
  entryId: string;
  /** Day of that record; of one that was posted late in place of another, the day that was given. */
  of: string;
}

/** A closing in force. */
export interface ClosedDays {
  id: string;
  /** Its last day. */
  until: string;
  method: CostingMethod;
  recordedAt: string;
}

/** A movement of a lot, as far as it tells who ate of it. */
export interface MovementOfLot {
  id: string;
  on: string;
  reversesId: string | null;
  lotId: string;
  hayKind: string;
  kilograms: string;
  herdId: string | null;
  toLotId: string | null;
  takesCost: boolean;
}

/** A condition on the day of a row. */
type OfDay = (day: RawBuilder<unknown>) => RawBuilder<unknown>;

@Injectable()
export class CostingRead {
  /** The closings in force, or at an instant, which follow each other, with the method that each was closed under. */
  async closings({ db, operationId }: OperationTenant, at?: string): Promise<ClosedDays[]> {
    const { rows } = await sql<ClosedDays>`${closingsInForce(operationId, at)} ORDER BY until`.execute(db);
    return rows;
  }

  /**
   * Movements up to the end of a day as known at an instant, in the order in which they count. One statement, so that
   * it sees one state of the books.
   */
  ledger(books: OperationBooks, until: string, knownAt: string | undefined): Promise<LedgerRow[]> {
    const known = knownAt === undefined ? sql`true` : sql`x.recorded_at <= ${knownAt}::timestamptz`;
    return this.#rows(books, (day) => sql`${day} <= ${until}::date`, known, sql``);
  }

  /**
   * What herds were fed over some days at its written cost, by herd, kind and day or month, with the variances of these
   * days and the count of all movements up to the last of them, under the method in force on that; and the closings in
   * force. One statement, so that it sees one state of the books; without costs where those of these books are not
   * written up to that day.
   */
  async written(
    { db, operationId, operation }: OperationTenant,
    { from, until, by }: { from: string; until: string; by: 'day' | 'month' },
  ): Promise<{ method: CostingMethod; closings: ClosedDays[]; costs: WrittenCosts | undefined }> {
    const date = by === 'day' ? sql`effective_on` : sql`date_trunc('month', effective_on)::date`;
    const method = sql<CostingMethod>`(SELECT method FROM in_force)`;
    const { rows } = await sql<WrittenCosts & { due: boolean; method: CostingMethod; closings: ClosedDays[] }>`
      WITH closing AS MATERIALIZED (${closingsInForce(operationId)}),
      in_force AS MATERIALIZED (
        SELECT COALESCE((SELECT method FROM closing WHERE until >= ${until}::date ORDER BY until LIMIT 1),
          ${operation.costingMethod}) AS method),
      known AS MATERIALIZED (
        SELECT p.hay_kind, COALESCE(s.until_on, '-infinity'::date) AS until_on, s.movements
          FROM costing_pool p
          LEFT JOIN LATERAL (
            SELECT until_on, (state #>> '{totals,movements}')::int AS movements FROM costing_state c
             WHERE c.operation_id = p.operation_id AND c.costing_method = p.costing_method
               AND c.hay_kind = p.hay_kind AND c.until_on <= ${until}::date
             ORDER BY until_on DESC LIMIT 1) s ON true
         WHERE p.operation_id = ${operationId} AND p.costing_method = ${method}),
      reversal_of AS MATERIALIZED (
        SELECT id, reverses_id, effective_at, sequence, herd_id FROM stock_movement
         WHERE operation_id = ${operationId} AND reverses_id IS NOT NULL
           AND effective_on BETWEEN ${from}::date AND ${until}::date)
      SELECT ${method} AS method, ${isDue(operationId, method, until)} AS due,
        COALESCE((SELECT json_agg(c ORDER BY until) FROM closing c), '[]') AS closings,
        -- Counted since the last day whose totals are kept, of each kind. What was reversed at its own instant has no
        -- cost and counts as if it had never happened; what was moved has two rows, and one cost.
        (SELECT COALESCE(sum(movements), 0)::int FROM known)
        + (SELECT COALESCE(sum(CASE WHEN 'transfer-out' IN (m.kind, m.reversed_kind) THEN 2 ELSE 1 END), 0)::int
           FROM known k
           CROSS JOIN LATERAL (
             SELECT e.entry_id FROM costed_entry e
              WHERE e.operation_id = ${operationId} AND e.costing_method = ${method} AND e.hay_kind = k.hay_kind
                AND e.effective_on > k.until_on AND e.effective_on <= ${until}::date OFFSET 0) e
           CROSS JOIN LATERAL (
             SELECT kind, (SELECT o.kind FROM stock_movement o
                 WHERE o.operation_id = ${operationId} AND o.id = n.reverses_id) AS reversed_kind
               FROM stock_movement n WHERE n.operation_id = ${operationId} AND n.id = e.entry_id LIMIT 1) m)
          AS movements,
        ${variancesWithin(operationId, method, { from, until })} AS variances,
        COALESCE((SELECT json_agg(x) FROM (
          SELECT e.herd_id AS "herdId", e.hay_kind AS "hayKind", o.effective_on AS "reversedOn",
            e.effective_on AS "reversalOn", (-e.kilograms)::text AS kilograms,
            (-(e.amount + COALESCE(e.variance, 0)))::text AS amount
            FROM reversal_of m
            JOIN ${costOfEntry(operationId, method, sql`m.id`)} e ON e.entry_id = m.id
            CROSS JOIN LATERAL (
              SELECT effective_on FROM stock_movement
               WHERE operation_id = ${operationId} AND id = m.reverses_id LIMIT 1) o
           WHERE m.herd_id IS NOT NULL
           ORDER BY e.effective_on, o.effective_on, m.effective_at, m.sequence) x), '[]') AS reversed,
        ${inPlaceWithin(operationId, method, { from, until })} AS "inPlace",
        COALESCE((SELECT json_agg(x) FROM (
          SELECT herd_id AS "herdId", hay_kind AS "hayKind", ${date} AS "on", sum(kilograms)::text AS kilograms,
            -- A feeding is reversed at what it was charged; what its hay comes back at besides is a variance.
            sum(amount + COALESCE(variance, 0))::text AS amount
            FROM costed_entry
           WHERE operation_id = ${operationId} AND costing_method = ${method} AND herd_id IS NOT NULL
             AND effective_on BETWEEN ${from}::date AND ${until}::date
           GROUP BY 1, 2, 3) x), '[]') AS fed`.execute(db);
    const [row] = rows;
    if (row === undefined) throw new RangeError('PostgreSQL answered nothing');
    const { method: inForce, closings, due, ...costs } = row;
    return {
      method: inForce,
      closings: closings.map((one) => ({ ...one, recordedAt: new Date(one.recordedAt).toISOString() })),
      costs: due ? undefined : costs,
    };
  }

  /** Variances of the entries of some days; undefined as `writtenOf` is. */
  async variances(
    { db, operationId }: OperationTenant,
    method: CostingMethod,
    span: { from: string; until: string },
  ): Promise<WrittenVariance[] | undefined> {
    const { rows } = await sql<{ due: boolean; variances: WrittenVariance[] }>`
      SELECT ${isDue(operationId, method, span.until)} AS due,
        ${variancesWithin(operationId, method, span)} AS variances`.execute(db);
    const [row] = rows;
    return row === undefined || row.due ? undefined : row.variances;
  }

  /** What bills and reversals are about. A receipt that was posted late in place of another came on the day told. */
  async originsOf({ db, operationId }: OperationTenant, entryIds: readonly string[]): Promise<VarianceOrigin[]> {
    const { rows } = await sql<VarianceOrigin>`
      SELECT x."entryId", x."lotId", l.hay_kind AS "hayKind", x."receivedOn" FROM (
        SELECT c.id AS "entryId", c.hay_lot_id AS "lotId",
          COALESCE(${toldInPlace('r', 'source_id')}, r.effective_on) AS "receivedOn"
          FROM stock_cost c
          -- What takes a bill back names the bill alone.
          LEFT JOIN stock_cost b ON b.operation_id = c.operation_id AND b.id = c.reverses_id
          JOIN stock_movement r ON r.operation_id = c.operation_id
           AND r.id = COALESCE(c.stock_movement_id, b.stock_movement_id)
         WHERE c.operation_id = ${operationId} AND c.id = ANY (${entryIds}::uuid[])
        UNION ALL
        SELECT m.id, m.hay_lot_id, COALESCE(${toldInPlace('o', 'source_id')}, o.effective_on)
          FROM stock_movement m
          JOIN stock_movement o ON o.operation_id = m.operation_id AND o.id = m.reverses_id
         WHERE m.operation_id = ${operationId} AND m.id = ANY (${entryIds}::uuid[])
      ) x JOIN hay_lot l ON l.operation_id = ${operationId} AND l.id = x."lotId"`.execute(db);
    return rows;
  }

  /** Those of the entries with these ids that take back a record, or were posted late in place of one. */
  async puttingRight({ db, operationId }: OperationTenant, entryIds: readonly string[]): Promise<PutsRight[]> {
    const among = (table: 'stock_movement' | 'stock_cost'): RawBuilder<unknown> => sql`
      SELECT e.id, o.effective_on, COALESCE(o.source_id, e.source_id) AS record_id FROM ${sql.table(table)} e
        LEFT JOIN ${sql.table(table)} o ON o.operation_id = e.operation_id AND o.id = e.reverses_id
       WHERE e.operation_id = ${operationId} AND e.id = ANY (${entryIds}::uuid[])`;
    const { rows } = await sql<PutsRight>`
      SELECT e.id AS "entryId", COALESCE(l.told_on, e.effective_on) AS "of"
        FROM (${among('stock_movement')} UNION ALL ${among('stock_cost')}) e
        LEFT JOIN late_posting l ON l.operation_id = ${operationId} AND l.subject_id = e.record_id
         AND l.corrects_id IS NOT NULL
       WHERE COALESCE(l.told_on, e.effective_on) IS NOT NULL`.execute(db);
    return rows;
  }

  /** The entries of some days that were posted late in place of a record, with the days that were given. */
  async postedInPlace(
    { db, operationId }: OperationTenant,
    { from, until }: { from: string; until: string },
  ): Promise<PutsRight[]> {
    const { rows } = await sql<PutsRight>`
      SELECT e.id AS "entryId", l.told_on AS "of" FROM late_posting l
        JOIN (
          SELECT operation_id, id, source_id, reverses_id FROM stock_movement
          UNION ALL SELECT operation_id, id, source_id, reverses_id FROM stock_cost
        ) e ON e.operation_id = l.operation_id AND e.source_id = l.subject_id AND e.reverses_id IS NULL
       WHERE l.operation_id = ${operationId} AND l.corrects_id IS NOT NULL
         AND l.posted_on BETWEEN ${from}::date AND ${until}::date`.execute(db);
    return rows;
  }

  /** Every movement of the lots of some kinds of hay over some days, oldest first, and every reversal after them. */
  async movementsOfKinds(
    { db, operationId }: OperationTenant,
    hayKinds: readonly string[],
    { from, until }: { from: string; until: string },
  ): Promise<MovementOfLot[]> {
    const { rows } = await sql<MovementOfLot>`
      SELECT m.id, m.effective_on AS "on", m.reverses_id AS "reversesId", m.hay_lot_id AS "lotId",
        l.hay_kind AS "hayKind", m.kilograms::text, m.herd_id AS "herdId", arrival.hay_lot_id AS "toLotId",
        m.kind IN ('feed', 'sale') OR COALESCE(sc.treatment, ss.treatment) = 'expense' AS "takesCost"
        FROM hay_lot l
        JOIN stock_movement m ON m.operation_id = l.operation_id AND m.hay_lot_id = l.id
         AND m.effective_on >= ${from}::date AND (m.effective_on <= ${until}::date OR m.reverses_id IS NOT NULL)
        LEFT JOIN stock_movement arrival ON m.kind = 'transfer-out' AND arrival.operation_id = m.operation_id
         AND arrival.source_id = m.source_id AND arrival.kind = 'transfer-in'
        LEFT JOIN stock_count sc ON m.source_kind = 'stock-count' AND sc.operation_id = m.operation_id
         AND sc.id = m.source_id
        LEFT JOIN storage_shrink ss ON m.source_kind = 'storage-shrink' AND ss.operation_id = m.operation_id
         AND ss.id = m.source_id
       WHERE l.operation_id = ${operationId} AND l.hay_kind = ANY (${hayKinds}::text[])
       ORDER BY m.effective_on, m.effective_at, m.sequence`.execute(db);
    return rows;
  }

  /**
   * What entries of some days cost, as written: some, or those of a lot. One statement; undefined where costs of these
   * books are not written up to the last of them.
   */
  async writtenOf(
    { db, operationId }: OperationTenant,
    method: CostingMethod,
    { from, until }: { from: string; until: string },
    of: { entryIds: readonly string[] } | { lotId: string },
  ): Promise<{ entryId: string; kilograms: string; amount: string }[] | undefined> {
    const ids =
      'lotId' in of
        ? sql`SELECT id FROM stock_movement WHERE operation_id = ${operationId} AND hay_lot_id = ${of.lotId}
            UNION ALL SELECT id FROM stock_cost WHERE operation_id = ${operationId} AND hay_lot_id = ${of.lotId}`
        : sql`SELECT unnest(${of.entryIds}::uuid[])`;
    const { rows } = await sql<{ due: boolean; costs: { entryId: string; kilograms: string; amount: string }[] }>`
      SELECT ${isDue(operationId, method, until)} AS due,
        COALESCE((SELECT json_agg(x) FROM (
          SELECT e.entry_id AS "entryId", e.kilograms::text, e.amount::text FROM (${ids}) AS asked (id)
            JOIN ${costOfEntry(operationId, method, sql`asked.id`)} e ON e.entry_id = asked.id
           WHERE e.effective_on BETWEEN ${from}::date AND ${until}::date) x), '[]') AS costs`.execute(db);
    const [row] = rows;
    return row === undefined || row.due ? undefined : row.costs;
  }

  /** The last feeding of each of these lots on some days that cost something; undefined as `writtenOf` is. */
  async lastFed(
    { db, operationId }: OperationTenant,
    method: CostingMethod,
    { from, until }: { from: string; until: string },
    lotIds: readonly string[],
  ): Promise<{ lotId: string; kilograms: string; amount: string }[] | undefined> {
    const { rows } = await sql<{ due: boolean; fed: { lotId: string; kilograms: string; amount: string }[] }>`
      SELECT ${isDue(operationId, method, until)} AS due,
        COALESCE((SELECT json_agg(x) FROM (
          SELECT DISTINCT ON (m.hay_lot_id) m.hay_lot_id AS "lotId", e.kilograms::text, e.amount::text
            FROM stock_movement m
            JOIN costed_entry e ON e.operation_id = m.operation_id AND e.costing_method = ${method}
             AND e.entry_id = m.id
           WHERE m.operation_id = ${operationId} AND m.hay_lot_id = ANY (${lotIds}::uuid[]) AND m.kind = 'feed'
             AND m.effective_on BETWEEN ${from}::date AND ${until}::date AND e.kilograms <> 0 AND e.amount <> 0
           ORDER BY m.hay_lot_id, m.effective_on DESC, m.effective_at DESC, m.sequence DESC) x), '[]') AS fed
      `.execute(db);
    const [row] = rows;
    return row === undefined || row.due ? undefined : row.fed;
  }

  /** Later bills of a lot, and their reversals, up to the end of a day. */
  laterBills(books: OperationBooks, lotId: string, until: string): Promise<LedgerRow[]> {
    return this.#rows(
      books,
      (day) => sql`${day} <= ${until}::date`,
      sql`x.hay_lot_id = ${lotId} AND x.rank <> 1`,
      sql``,
    );
  }

  /** The whole of a kind's ledger after a day, but no more rows than `most`. */
  ledgerOfKind(books: OperationBooks, hayKind: string, after: string | undefined, most: number): Promise<LedgerRow[]> {
    const later: OfDay = (day) => (after === undefined ? sql`true` : sql`${day} > ${after}::date`);
    return this.#rows(books, later, sql`l.hay_kind = ${hayKind}`, Number.isFinite(most) ? sql`LIMIT ${most}` : sql``);
  }

  /** The ledger of some kinds, each from a day of its own on, up to the end of a day. */
  ledgerOfKinds(books: OperationBooks, firstDays: ReadonlyMap<string, string>, until: string): Promise<LedgerRow[]> {
    const first = [...firstDays.values()].reduce((one, other) => (one < other ? one : other));
    const firstOfKind = sql`(${JSON.stringify(Object.fromEntries(firstDays))}::jsonb ->> l.hay_kind)::date`;
    return this.#rows(
      books,
      (day) => sql`${day} BETWEEN ${first}::date AND ${until}::date`,
      sql`x.effective_on >= ${firstOfKind}`,
      sql``,
    );
  }

  /** The whole ledger of some days. */
  ledgerOfDays(books: OperationBooks, { from, until }: { from: string; until: string }): Promise<LedgerRow[]> {
    return this.#rows(books, (day) => sql`${day} BETWEEN ${from}::date AND ${until}::date`, sql`true`, sql``);
  }

  /** The first day of any of these entries. */
  async firstDayOf({ db, operationId }: OperationBooks, entryIds: readonly string[]): Promise<string | undefined> {
    const { rows } = await sql<{ first: string | null }>`
      SELECT min(x.effective_on) AS first FROM (
        SELECT effective_on FROM stock_movement WHERE operation_id = ${operationId} AND id = ANY (${entryIds}::uuid[])
        UNION ALL
        SELECT effective_on FROM stock_cost WHERE operation_id = ${operationId} AND id = ANY (${entryIds}::uuid[])
      ) x`.execute(db);
    return rows[0]?.first ?? undefined;
  }

  /**
   * What a movement cost is looked up for each by itself. Joined as one sum of the days, it was summed again for each
   * of them where the tables were just filled, since the planner took them for all but empty.
   */
  async #rows(
    { db, operationId }: OperationBooks,
    days: OfDay,
    which: RawBuilder<unknown>,
    limit: RawBuilder<unknown>,
  ): Promise<LedgerRow[]> {
    const { rows } = await sql<LedgerRow>`
      SELECT x.*, l.hay_kind, l.category FROM (
        SELECT 1 AS rank, m.id, m.kind, m.hay_lot_id, m.kilograms, m.effective_on, m.effective_at, m.sequence,
          m.ranch_id, m.place_id, m.herd_id, m.source_kind, m.source_id, m.reverses_id, m.reason, m.recorded_at,
               COALESCE(sc.treatment, ss.treatment) AS treatment,
               COALESCE(money.cost, 0) AS cost, COALESCE(money.freight, 0) AS freight, p.proceeds_amount AS proceeds,
                 NULL::uuid AS receipt_id
          FROM stock_movement m
          LEFT JOIN stock_count sc ON m.source_kind = 'stock-count' AND sc.operation_id = m.operation_id
            AND sc.id = m.source_id
          LEFT JOIN storage_shrink ss ON m.source_kind = 'storage-shrink' AND ss.operation_id = m.operation_id
            AND ss.id = m.source_id
          LEFT JOIN hay_sale_price p ON m.source_kind = 'hay-sale' AND p.operation_id = m.operation_id
            AND p.hay_sale_id = m.source_id
          LEFT JOIN LATERAL (
            SELECT sum(c.amount) FILTER (WHERE c.kind <> 'freight') AS cost,
              sum(c.amount) FILTER (WHERE c.kind = 'freight') AS freight
              FROM stock_cost c WHERE c.operation_id = ${operationId} AND c.stock_movement_id = m.id
                AND c.kind NOT IN ('late-freight', 'late-charges') AND ${days(sql`c.effective_on`)}
          ) money ON m.kind <> 'feed'
         WHERE m.operation_id = ${operationId} AND ${days(sql`m.effective_on`)}
        UNION ALL
        SELECT CASE WHEN c.reverses_id IS NULL THEN 2 ELSE 0 END, c.id,
          CASE WHEN c.reverses_id IS NULL THEN 'late-cost' ELSE 'reversal' END, c.hay_lot_id, 0, c.effective_on,
               c.recorded_at, c.sequence, NULL, NULL, NULL, c.source_kind, c.source_id, c.reverses_id, r.reason,
                 c.recorded_at, NULL,
               CASE WHEN c.kind = 'late-charges' THEN c.amount ELSE 0 END,
                 CASE WHEN c.kind = 'late-freight' THEN c.amount ELSE 0 END, NULL, c.stock_movement_id
          FROM stock_cost c
          LEFT JOIN reversal r ON c.source_kind = 'reversal' AND r.operation_id = c.operation_id AND r.id = c.source_id
         WHERE c.operation_id = ${operationId} AND c.kind IN ('late-freight', 'late-charges')
           AND ${days(sql`c.effective_on`)}
      ) x JOIN hay_lot l ON l.operation_id = ${operationId} AND l.id = x.hay_lot_id
      WHERE ${which}
      ORDER BY x.effective_on, x.rank, x.effective_at, x.sequence ${limit}`.execute(db);
    return rows;
  }
}

/**
 * What one entry cost, to be joined by its id. Looked for as the first from its id on, since the planner knows nothing
 * of a table that was just filled, and would take an index for it in which all entries of the operation are alike.
 */
function costOfEntry(
  operationId: string,
  method: CostingMethod | RawBuilder<CostingMethod>,
  id: RawBuilder<unknown>,
): RawBuilder<unknown> {
  return sql`LATERAL (
    SELECT * FROM costed_entry c WHERE c.operation_id = ${operationId} AND c.costing_method = ${method}
       AND c.entry_id >= ${id} ORDER BY c.entry_id LIMIT 1)`;
}

/** The closings that were not reopened, now or at an instant, in no order. */
function closingsInForce(operationId: string, at?: string): RawBuilder<unknown> {
  const inForce =
    at === undefined
      ? sql`r.recorded_at IS NULL`
      : sql`c.recorded_at <= ${at}::timestamptz AND (r.recorded_at IS NULL OR r.recorded_at > ${at}::timestamptz)`;
  return sql`SELECT c.id, c.until_on AS until, c.costing_method AS method, c.recorded_at AS "recordedAt"
    FROM book_closing c
    LEFT JOIN book_reopening r ON r.operation_id = c.operation_id AND r.book_closing_id = c.id
   WHERE c.operation_id = ${operationId} AND ${inForce}`;
}

/** As a list: what bills and reversals of some days changed of hay that had left. */
function variancesWithin(
  operationId: string,
  method: CostingMethod | RawBuilder<CostingMethod>,
  { from, until }: { from: string; until: string },
): RawBuilder<WrittenVariance[]> {
  return sql`COALESCE((SELECT json_agg(x) FROM (
    SELECT e.entry_id AS "entryId", e.effective_on AS "on", e.variance::text AS amount
      FROM costed_entry e
     WHERE e.operation_id = ${operationId} AND e.costing_method = ${method} AND e.variance IS NOT NULL
       AND e.effective_on BETWEEN ${from}::date AND ${until}::date
     ORDER BY e.effective_on, e.entry_id) x), '[]')`;
}

/** As a list: feedings of some days that were posted late in place of others, and stand at the end of these days. */
function inPlaceWithin(
  operationId: string,
  method: RawBuilder<CostingMethod>,
  { from, until }: { from: string; until: string },
): RawBuilder<WrittenInPlace[]> {
  return sql`COALESCE((SELECT json_agg(x) FROM (
    SELECT e.herd_id AS "herdId", e.hay_kind AS "hayKind", e.effective_on AS "on", l.told_on AS "of",
      e.kilograms::text, (e.amount + COALESCE(e.variance, 0))::text AS amount
      FROM late_posting l
      JOIN stock_movement m ON m.operation_id = l.operation_id AND m.source_id = l.subject_id AND m.kind = 'feed'
      JOIN ${costOfEntry(operationId, method, sql`m.id`)} e ON e.entry_id = m.id
     WHERE l.operation_id = ${operationId} AND l.subject_kind = 'feeding' AND l.corrects_id IS NOT NULL
       AND l.posted_on BETWEEN ${from}::date AND ${until}::date AND NOT EXISTS (
         SELECT 1 FROM stock_movement r WHERE r.operation_id = ${operationId} AND r.reverses_id = m.id
            AND r.effective_on <= ${until}::date)
     ORDER BY e.effective_on, m.sequence) x), '[]')`;
}

/** Whether something up to a day is not written, or is kept under another method only. */
function isDue(
  operationId: string,
  method: CostingMethod | RawBuilder<CostingMethod>,
  until: string,
): RawBuilder<boolean> {
  return sql`(EXISTS (SELECT 1 FROM costing_due WHERE operation_id = ${operationId} AND costing_method = ${method}
      AND from_on <= ${until}::date) OR EXISTS (
    SELECT 1 FROM costing_pool p WHERE p.operation_id = ${operationId} AND NOT EXISTS (
      SELECT 1 FROM costing_pool q WHERE q.operation_id = p.operation_id AND q.hay_kind = p.hay_kind
         AND q.costing_method = ${method})))`;
}
