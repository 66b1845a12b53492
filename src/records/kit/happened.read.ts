import { addDays } from '../../core/time/calendar-day.js';
import { dayIn } from '../../platform/clock.js';
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

function lastDay({ moment }: OperationTenant, timeZone: string, daysAhead: number): string {
  return addDays(dayIn(timeZone, moment), daysAhead);
}
