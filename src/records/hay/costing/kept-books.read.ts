import { Injectable } from '@nestjs/common';
import { type RawBuilder, sql } from 'kysely';
import type { CostingMethod } from '../../../core/stock/costing-entries.js';
import { type CostingState, togetherKnown } from '../../../core/stock/costing-state.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { together } from '../../../platform/database/together.js';
import { CostingRead, type LedgerRow } from './costing.read.js';

/** Where a ledger may be taken up: what was known then, and the rows that follow. */
export interface KeptBooks {
  after: CostingState;
  rows: LedgerRow[];
  as: BooksAsRead;
}

/** In which state the books were read; what another reading found goes on with it only if they still are. */
export interface BooksAsRead {
  /** Of each kind of hay, the version of its written costs; undefined where some were not written. */
  written: string | undefined;
  /** Read in one snapshot, so that nothing can have changed. */
  fixed: boolean;
}

/** One kind of hay, as far as its costs are written. */
interface KindAsRead {
  hayKind: string;
  version: string | null;
  /** Something up to the last day is not written, or the kind was never costed under this method. */
  due: boolean;
  fixed: boolean;
}

interface KindStart extends KindAsRead {
  state: CostingState | null;
  /** Of its first entry after that state. */
  first: string | null;
}

/** What is kept of the hay books at some days' ends, and the little of the ledger that follows. */
@Injectable()
export class KeptBooksRead {
  constructor(private readonly ledger: CostingRead) {}

  /**
   * The last states before `entriesFrom`, and before whatever later rows reverse or bill, with every row after them up
   * to the end of a day. Never more than that and a month of each kind's ledger.
   * @returns undefined where costs up to that day are not written, or were being written meanwhile.
   */
  async before(
    tenant: OperationTenant,
    method: CostingMethod,
    { entriesFrom, until }: { entriesFrom: string; until: string },
  ): Promise<KeptBooks | undefined> {
    for (const earlier = new Map<string, string>(); ;) {
      const starts = await this.#starts(tenant, method, { entriesFrom, until, earlier });
      if (starts.some((one) => one.due)) return undefined;
      const firstDays = new Map(starts.flatMap(({ hayKind, first }) => (first === null ? [] : [[hayKind, first]])));
      // Statements see what has committed when each of them begins.
      const [rows, as] =
        firstDays.size === 0
          ? [[], booksAsRead(starts)]
          : await together(this.ledger.ledgerOfKinds(tenant, firstDays, until), this.asRead(tenant, method, until));
      if (as.written !== booksAsRead(starts).written) return undefined;
      const here = new Set(rows.map((row) => row.id));
      const named = rows.filter((row) =>
        [row.reverses_id ?? row.receipt_id].some((id) => id !== null && !here.has(id)),
      );
      if (named.length === 0)
        return { after: togetherKnown(starts.flatMap(({ state }) => (state === null ? [] : [state]))), rows, as };
      for (const hayKind of new Set(named.map((row) => row.hay_kind))) {
        const ids = named
          .filter((row) => row.hay_kind === hayKind)
          .flatMap((row) => row.reverses_id ?? row.receipt_id ?? []);
        const first = await this.ledger.firstDayOf(tenant, ids);
        if (first === undefined) return undefined;
        earlier.set(hayKind, first);
      }
    }
  }

  /**
   * The rows of some days that follow those after which `known` was known.
   * @returns undefined where the books have changed since, and where a row reverses or bills what came before them.
   */
  async following(
    tenant: OperationTenant,
    method: CostingMethod,
    known: BooksAsRead,
    span: { from: string; until: string },
  ): Promise<{ rows: LedgerRow[]; as: BooksAsRead } | undefined> {
    const [rows, as] = await together(
      this.ledger.ledgerOfDays(tenant, span),
      known.fixed ? Promise.resolve(known) : this.asRead(tenant, method, span.until),
    );
    const same = known.fixed || (known.written !== undefined && known.written === as.written);
    const here = new Set(rows.map((row) => row.id));
    return same && rows.every((row) => here.has(row.reverses_id ?? row.receipt_id ?? row.id))
      ? { rows, as }
      : undefined;
  }

  /** In which state the books are up to a day. */
  async asRead({ db, operationId }: OperationTenant, method: CostingMethod, until: string): Promise<BooksAsRead> {
    const { rows } = await sql<KindAsRead>`
      SELECT k.hay_kind AS "hayKind", p.version::text AS version, ${isDue(operationId, method, until)} AS due,
        ${IS_SNAPSHOT} AS fixed
        FROM (SELECT DISTINCT hay_kind FROM costing_pool WHERE operation_id = ${operationId}) k
        LEFT JOIN costing_pool p ON p.operation_id = ${operationId} AND p.costing_method = ${method}
          AND p.hay_kind = k.hay_kind
       ORDER BY k.hay_kind`.execute(db);
    return booksAsRead(rows);
  }

  async #starts(
    { db, operationId }: OperationTenant,
    method: CostingMethod,
    span: { entriesFrom: string; until: string; earlier: ReadonlyMap<string, string> },
  ): Promise<KindStart[]> {
    const earlier = JSON.stringify(Object.fromEntries(span.earlier));
    const { rows } = await sql<KindStart>`
      SELECT k.hay_kind AS "hayKind", p.version::text AS version, s.state,
        ${isDue(operationId, method, span.until)} AS due, ${IS_SNAPSHOT} AS fixed,
        (SELECT e.effective_on FROM costed_entry e
          WHERE e.operation_id = ${operationId} AND e.costing_method = ${method} AND e.hay_kind = k.hay_kind
            AND e.effective_on > COALESCE(s.until_on, '-infinity'::date) AND e.effective_on <= ${span.until}::date
          ORDER BY e.effective_on LIMIT 1) AS first
        FROM (SELECT DISTINCT hay_kind FROM costing_pool WHERE operation_id = ${operationId}) k
        LEFT JOIN costing_pool p ON p.operation_id = ${operationId} AND p.costing_method = ${method}
          AND p.hay_kind = k.hay_kind
        LEFT JOIN LATERAL (
          SELECT until_on, state FROM costing_state
           WHERE operation_id = ${operationId} AND costing_method = ${method} AND hay_kind = k.hay_kind
             AND until_on < LEAST(${span.entriesFrom}::date, (${earlier}::jsonb ->> k.hay_kind)::date)
           ORDER BY until_on DESC LIMIT 1) s ON true
       ORDER BY k.hay_kind`.execute(db);
    return rows;
  }
}

/** Whether a kind `k` with its pool `p` was never costed under this method, or something of it is not written. */
function isDue(operationId: string, method: CostingMethod, until: string): RawBuilder<boolean> {
  return sql`(p.version IS NULL OR EXISTS (
    SELECT 1 FROM costing_due d WHERE d.operation_id = ${operationId} AND d.costing_method = ${method}
       AND d.hay_kind = k.hay_kind AND d.from_on <= ${until}::date))`;
}

const IS_SNAPSHOT = sql<boolean>`current_setting('transaction_isolation') = 'repeatable read'`;

function booksAsRead(kinds: readonly KindAsRead[]): BooksAsRead {
  const isDue = kinds.some((one) => one.due);
  return {
    written: isDue ? undefined : kinds.map(({ hayKind, version }) => `${hayKind} ${version}`).join(),
    fixed: kinds[0]?.fixed === true,
  };
}
