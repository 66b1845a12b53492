import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { CostingMethod } from '../../../core/stock/costing-entries.js';
import { type CostingState, togetherKnown } from '../../../core/stock/costing-state.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { together } from '../../../platform/database/together.js';
import { CostingRead, type LedgerRow } from './costing.read.js';

/** Where a ledger may be taken up: what was known then, and the rows that follow. */
export interface KeptBooks {
  after: CostingState;
  rows: LedgerRow[];
}

/** One kind of hay, as far as its costs are written. */
interface KindStart {
  hayKind: string;
  version: string | null;
  /** Something up to the last day is not written, or the kind was never costed under this method. */
  due: boolean;
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
      const [rows, now] =
        firstDays.size === 0
          ? [[], starts]
          : await together(
              this.ledger.ledgerOfKinds(tenant, firstDays, until),
              this.#starts(tenant, method, { entriesFrom, until, earlier }),
            );
      if (versions(starts) !== versions(now)) return undefined;
      const here = new Set(rows.map((row) => row.id));
      const named = rows.filter((row) =>
        [row.reverses_id ?? row.receipt_id].some((id) => id !== null && !here.has(id)),
      );
      if (named.length === 0)
        return { after: togetherKnown(starts.flatMap(({ state }) => (state === null ? [] : [state]))), rows };
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

  async #starts(
    { db, operationId }: OperationTenant,
    method: CostingMethod,
    span: { entriesFrom: string; until: string; earlier: ReadonlyMap<string, string> },
  ): Promise<KindStart[]> {
    const earlier = JSON.stringify(Object.fromEntries(span.earlier));
    const { rows } = await sql<KindStart>`
      SELECT k.hay_kind AS "hayKind", p.version::text AS version, s.state,
        p.version IS NULL OR EXISTS (
          SELECT 1 FROM costing_due d WHERE d.operation_id = ${operationId} AND d.costing_method = ${method}
             AND d.hay_kind = k.hay_kind AND d.from_on <= ${span.until}::date) AS due,
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

function versions(starts: readonly KindStart[]): string {
  return starts.map(({ hayKind, version, due }) => `${hayKind} ${version} ${due}`).join();
}
