import { Injectable } from '@nestjs/common';
import { type RawBuilder, type Selectable, sql } from 'kysely';
import { z } from 'zod';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { type PageAsked, readCursor } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';

export type BudgetEntryRow = Selectable<DB['budget_entry']> & { revision: number; is_current: boolean };

@Injectable()
export class MoneyBudgetRead {
  async one(tenant: OperationTenant, id: string): Promise<BudgetEntryRow> {
    const [row] = await this.#rows(tenant, sql`x.id = ${id}`, sql``);
    if (row === undefined) throw notFound('budget entry', id);
    return row;
  }

  /** By their ids, which is the order of entry. */
  page(
    tenant: OperationTenant,
    query: PageAsked & { herdId?: string | undefined; current: boolean },
  ): Promise<BudgetEntryRow[]> {
    const after = query.cursor === undefined ? undefined : readCursor(query.cursor, z.tuple([z.uuid()]))[0];
    const which = sql`(${query.herdId ?? null}::uuid IS NULL OR x.herd_id = ${query.herdId ?? null}::uuid)
      AND (NOT ${query.current}::boolean OR x.is_current)
      AND (${after ?? null}::uuid IS NULL OR x.id > ${after ?? null}::uuid)`;
    return this.#rows(tenant, which, sql`LIMIT ${query.limit + 1}`);
  }

  /** The latest revisions of some months, first days of which are given, that were not taken back. */
  async current(
    tenant: OperationTenant,
    { from, until }: { from: string; until: string },
  ): Promise<(BudgetEntryRow & { amount: string })[]> {
    const rows = await this.#rows(
      tenant,
      sql`x.is_current AND x.month_on BETWEEN ${from}::date AND ${until}::date`,
      sql``,
    );
    return rows.filter((row): row is BudgetEntryRow & { amount: string } => row.amount !== null);
  }

  async #rows(
    { db, operationId }: OperationTenant,
    which: RawBuilder<unknown>,
    limit: RawBuilder<unknown>,
  ): Promise<BudgetEntryRow[]> {
    const { rows } = await sql<BudgetEntryRow>`
      SELECT x.* FROM (
        SELECT e.*,
          (row_number() OVER (PARTITION BY e.herd_id, e.month_on, e.line ORDER BY e.recorded_at, e.id))::int
            AS revision,
          lead(e.id) OVER (PARTITION BY e.herd_id, e.month_on, e.line ORDER BY e.recorded_at, e.id) IS NULL
            AS is_current
          FROM budget_entry e WHERE e.operation_id = ${operationId}
      ) x WHERE ${which} ORDER BY x.id ${limit}`.execute(db);
    return rows;
  }
}
