import { addDays } from '../../core/time/calendar-day.js';
import { DAY_BOUNDS } from '../../core/plausibility/entry-bounds.data.js';
import { dayIn } from '../../platform/clock.js';
import type { Doubt } from '../../platform/database/doubts.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { ruleBroken } from '../../platform/http/problem.js';

/**
 * Refuses the day of something that has not happened yet. The last day is today in the operation's time zone or, later
 * than that, at one of its ranches; `daysAhead` is for what is entered as planned.
 * @throws Problem not-yet at the pointer.
 */
export async function refuseNotYet(
  tenant: OperationTenant,
  { day, pointer, daysAhead = 0 }: { day: string; pointer: string; daysAhead?: number },
): Promise<void> {
  if (day <= lastDay(tenant, tenant.operation.timeZone, daysAhead)) return;
  const ranches = await tenant.db
    .selectFrom('ranch')
    .select('time_zone')
    .distinct()
    .where('operation_id', '=', tenant.operationId)
    .execute();
  refuseNotYetIn(
    tenant,
    ranches.map((row) => row.time_zone),
    { day, pointer, daysAhead },
  );
}

/** The same where the time zones of the ranches are known. */
export function refuseNotYetIn(
  tenant: OperationTenant,
  ranches: Iterable<string>,
  { day, pointer, daysAhead = 0 }: { day: string; pointer: string; daysAhead?: number },
): void {
  const zones = new Set([tenant.operation.timeZone, ...ranches]);
  const latest =
    [...zones]
      .map((zone) => lastDay(tenant, zone, daysAhead))
      .sort()
      .at(-1) ?? day;
  if (day <= latest) return;
  throw ruleBroken(
    pointer,
    'not-yet',
    day,
    `${latest} or earlier`,
    daysAhead === 0
      ? `${day} has not come yet. Enter what happens when it has happened.`
      : `${day} is more than ${daysAhead} days ahead.`,
  );
}

/**
 * The day of an entry: it has come, and is not so long ago that a year is wrong. `daysAhead` is for what is planned.
 * @throws Problem not-yet, day-too-far-behind
 */
export async function checkDay(
  tenant: OperationTenant,
  asked: { day: string; pointer: string; daysAhead?: number },
): Promise<void> {
  await refuseNotYet(tenant, asked);
  tenant.doubts.raise(...doubtsOfDay(tenant, asked));
}

/** What is unlikely of a day that has come. @throws Problem day-too-far-behind */
export function doubtsOfDay(tenant: OperationTenant, { day, pointer }: { day: string; pointer: string }): Doubt[] {
  const { possibleDaysBehind, usualDaysBehind, source } = DAY_BOUNDS;
  const today = dayIn(tenant.operation.timeZone, tenant.moment);
  const first = addDays(today, -possibleDaysBehind);
  if (day < first)
    throw ruleBroken(
      pointer,
      'day-too-far-behind',
      day,
      `${first} or later`,
      `${day} is more than thirty years ago. Check the year.`,
    );
  const usual = addDays(today, -usualDaysBehind);
  if (day >= usual) return [];
  const message = `${day} is more than two years ago. Check the year.`;
  return [{ code: 'day-far-behind', pointer, given: day, usual: `${usual} or later`, source, message }];
}

function lastDay({ moment }: OperationTenant, timeZone: string, daysAhead: number): string {
  return addDays(dayIn(timeZone, moment), daysAhead);
}
