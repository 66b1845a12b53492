import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { OperationTenant } from '../../platform/database/types.js';

@Injectable()
export class JournalRead {
  /** The first day with an entry of the hay ledger, not before one day and not after another. */
  async nextDay(
    { db, operationId }: OperationTenant,
    { from, until }: { from: string; until: string },
  ): Promise<string | undefined> {
    const days = sql`operation_id = ${operationId} AND effective_on BETWEEN ${from}::date AND ${until}::date`;
    const { rows } = await sql<{ next: string | null }>`
      SELECT LEAST((SELECT min(effective_on) FROM stock_movement WHERE ${days}),
        (SELECT min(effective_on) FROM stock_cost WHERE kind IN ('late-freight', 'late-charges') AND ${days}))
        AS next`.execute(db);
    return rows[0]?.next ?? undefined;
  }
}
