import type { Selectable } from 'kysely';
import { addDays } from '../../core/time/calendar-day.js';
import { onceInTransaction } from '../../platform/database/once-in-transaction.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { periodClosed } from '../../platform/http/period-closed.js';
import { checkDay } from './happened.read.js';

export type ClosingRow = Selectable<DB['book_closing']>;
export type LatePostingRow = Selectable<DB['late_posting']>;

/** The day an entry is booked under and, if that is not the day given, why. */
export interface Posting {
  on: string;
  late?: { toldOn: string; closingId: string };
}

/** The latest closing in force; nothing may be dated on or before its last day. */
export async function lastClosing({ db, operationId }: OperationTenant): Promise<ClosingRow | undefined> {
  return db
    .selectFrom('book_closing')
    .leftJoin('book_reopening', (join) =>
      join
        .onRef('book_reopening.operation_id', '=', 'book_closing.operation_id')
        .onRef('book_reopening.book_closing_id', '=', 'book_closing.id'),
    )
    .selectAll('book_closing')
    .where('book_closing.operation_id', '=', operationId)
    .where('book_reopening.recorded_at', 'is', null)
    .orderBy('book_closing.until_on', 'desc')
    .limit(1)
    .executeTakeFirst();
}

/**
 * The same for the entries of one transaction, which closes nothing itself. If somebody else closes a period meanwhile,
 * the database refuses what is dated in it.
 */
const closingSeen = onceInTransaction((tenant: OperationTenant) => lastClosing(tenant));

/**
 * The day of an entry. Only a reversal (`mayLieAhead: 'as its record'`) and a planned change of the head may lie ahead.
 * @throws Problem period-closed where the day is closed and the request does not say to post it to the open period;
 * not-yet where it has not come.
 */
export async function postingDay(
  tenant: OperationTenant,
  {
    statedOn,
    postTo,
    pointer,
    mayLieAhead,
  }: {
    statedOn: string;
    postTo: 'own-day' | 'open-period' | undefined;
    pointer: string;
    mayLieAhead?: 'as its record' | 'a year';
  },
): Promise<Posting> {
  if (mayLieAhead !== 'as its record')
    await checkDay(tenant, { day: statedOn, pointer, daysAhead: mayLieAhead === 'a year' ? 366 : 0 });
  return postedUnder(await closingSeen(tenant, tenant.operationId), { statedOn, postTo, pointer });
}

/** The day of an entry whose day has come. @throws Problem period-closed */
export function postedUnder(
  closing: ClosingRow | undefined,
  {
    statedOn: statedOn,
    postTo,
    pointer,
  }: { statedOn: string; postTo: 'own-day' | 'open-period' | undefined; pointer: string },
): Posting {
  if (closing === undefined || statedOn > closing.until_on) return { on: statedOn };
  if (postTo === 'open-period')
    return { on: addDays(closing.until_on, 1), late: { toldOn: statedOn, closingId: closing.id } };
  throw periodClosed({ on: statedOn, closedUntil: closing.until_on, pointer, postable: true });
}

export async function latePostings(
  { db, operationId }: OperationTenant,
  ids: readonly string[],
): Promise<Map<string, LatePostingRow>> {
  if (ids.length === 0) return new Map();
  const rows = await db
    .selectFrom('late_posting')
    .selectAll()
    .where('operation_id', '=', operationId)
    .where('subject_id', 'in', [...ids])
    .execute();
  return new Map(rows.map((row) => [row.subject_id, row]));
}
