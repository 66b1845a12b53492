import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { addDays } from '../../core/time/calendar-day.js';
import type { OperationTenant } from '../../platform/database/types.js';

@Injectable()
export class JournalRead {
  /**
   * The first day with an entry of the hay ledger, not before one day and not after another, and the last of the days
   * from it on that have so many movements at most; it alone, if it has more. Undefined where there is none.
   */
  async nextDays(
    { db, operationId }: OperationTenant,
    { from, until }: { from: string; until: string },
    movements: number,
  ): Promise<{ first: string; last: string } | undefined> {
    const days = sql`operation_id = ${operationId} AND effective_on BETWEEN ${from}::date AND ${until}::date`;
    const { rows } = await sql<{ first: string | null; beyond: string | null }>`
      SELECT LEAST((SELECT min(effective_on) FROM stock_movement WHERE ${days}),
          (SELECT min(effective_on) FROM stock_cost WHERE kind IN ('late-freight', 'late-charges') AND ${days}))
          AS first,
        (SELECT effective_on FROM stock_movement WHERE ${days} ORDER BY effective_on OFFSET ${movements} LIMIT 1)
          AS beyond`.execute(db);
    const { first = null, beyond = null } = rows[0] ?? {};
    if (first === null) return undefined;
    return { first, last: beyond === null ? until : beyond > first ? addDays(beyond, -1) : first };
  }
}
