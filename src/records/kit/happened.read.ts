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
  const last = (timeZone: string): string => addDays(dayIn(timeZone, tenant.moment), daysAhead);
  if (day <= last(tenant.operation.timeZone)) return;
  const ranches = await tenant.db
    .selectFrom('ranch')
    .select('time_zone')
    .distinct()
    .where('operation_id', '=', tenant.operationId)
    .execute();
  const latest = [tenant.operation.timeZone, ...ranches.map((row) => row.time_zone)].map(last).sort().at(-1) ?? day;
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
