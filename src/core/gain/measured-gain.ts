import { compareDays, daysBetween, type CalendarDay } from '../time/calendar-day.js';
import type { Mass } from '../units/mass.js';
import { oneADay, onOneFooting, type MeanWeighing } from './comparable-weighings.js';
import { MEASURED_GAIN_GUIDES } from './measured-gain.data.js';
import { weighingCautions } from './weighing-cautions.js';

export interface MeasuredGainFlag {
  readonly code: 'short-period' | 'gut-fill' | 'weights-not-alike' | 'few-weighed' | 'head-changed';
  readonly value: number;
  readonly limit: number;
  readonly message: string;
  readonly source: string;
}

export type MeasuredGain =
  | {
      readonly ok: true;
      readonly fromDay: CalendarDay;
      readonly untilDay: CalendarDay;
      readonly days: number;
      readonly dailyGain: Mass;
      readonly flags: readonly MeasuredGainFlag[];
    }
  | { readonly ok: false; readonly because: string };

/**
 * Daily gain of a herd as its weighings show it: from the earliest usable weighing within the window to the newest,
 * mean weight against mean weight, on one footing of fill. Weighings closer than `leastDays` are not told, nor means
 * between which a tenth of the herd came or went: they would be of other cattle. What is told carries the doubts of
 * Watson et al. 2013 and of Aiken and Tabler 2004 as flags. Guides: `MEASURED_GAIN_GUIDES`. `headChanges` are signed,
 * those of the window; `headNow` is the head on `on`.
 */
export function measuredGain({
  weighings,
  headChanges,
  headNow,
  on,
}: {
  readonly weighings: readonly MeanWeighing[];
  readonly headChanges: readonly { readonly day: CalendarDay; readonly head: number }[];
  readonly headNow: number;
  readonly on: CalendarDay;
}): MeasuredGain {
  const { windowDays, leastDays, mostHeadChangedShare, leastWeighedShare } = MEASURED_GAIN_GUIDES;
  const usable = oneADay(
    weighings.filter((one) => compareDays(one.day, on) <= 0 && daysBetween(one.day, on) <= windowDays.value),
  );
  const closing = usable.at(-1);
  if (closing === undefined) return { ok: false, because: `No weighing in the last ${windowDays.value} days.` };
  const before = usable.filter((one) => daysBetween(one.day, closing.day) >= leastDays.value);
  if (before.length === 0)
    return {
      ok: false,
      because: `No two weighings at least ${leastDays.value} days apart in the last ${windowDays.value} days.`,
    };
  // A change and what took it back on the same day moved nobody.
  const byDay = new Map<CalendarDay, number>();
  for (const one of headChanges) byDay.set(one.day, (byDay.get(one.day) ?? 0) + one.head);
  const moved = (from: CalendarDay, until: CalendarDay): number =>
    [...byDay]
      .filter(([day]) => compareDays(day, from) > 0 && compareDays(day, until) <= 0)
      .reduce((sum, [, head]) => sum + Math.abs(head), 0);
  const headOn = (day: CalendarDay): number =>
    headNow - headChanges.filter((one) => compareDays(one.day, day) > 0).reduce((sum, one) => sum + one.head, 0);
  const share = (from: CalendarDay): number => moved(from, closing.day) / Math.max(1, headOn(closing.day));
  // The longest stretch through which the herd stayed the same.
  const opening = before.find((one) => share(one.day) <= mostHeadChangedShare.value);
  if (opening === undefined)
    return {
      ok: false,
      because:
        `More than ${mostHeadChangedShare.value * 100} % of the herd came or went between its weighings; their ` +
        'means are of other cattle.',
    };
  const footing = onOneFooting(opening, closing);
  const days = daysBetween(opening.day, closing.day);
  const dailyGain = footing.closing.mean.minus(footing.opening.mean).dividedBy(days);
  const weighed = Math.min(
    opening.head / Math.max(1, headOn(opening.day)),
    closing.head / Math.max(1, headOn(closing.day)),
  );
  const changed = share(opening.day);
  return {
    ok: true,
    fromDay: opening.day,
    untilDay: closing.day,
    days,
    dailyGain,
    flags: [
      ...weighingCautions({ days, dailyGain, startState: opening.fill, endState: closing.fill }).filter(
        (one) => one.code !== 'weights-not-alike',
      ),
      ...(footing.adjusted
        ? [
            {
              code: 'weights-not-alike' as const,
              value: 0.96,
              limit: 1,
              message: 'One weight was full and one shrunk; the full one was shrunk by 4 %.',
              source: 'NRC, Nutrient Requirements of Beef Cattle, 2000 update: shrunk weight is 0.96 of full weight',
            },
          ]
        : []),
      ...(weighed < leastWeighedShare.value
        ? [
            {
              code: 'few-weighed' as const,
              value: weighed,
              limit: leastWeighedShare.value,
              message: `Only ${Math.round(weighed * 100)} % of the herd stood on the scale.`,
              source: leastWeighedShare.source,
            },
          ]
        : []),
      ...(changed > 0
        ? [
            {
              code: 'head-changed' as const,
              value: changed,
              limit: mostHeadChangedShare.value,
              message: `${Math.round(changed * 100)} % of the herd came or went in between.`,
              source: mostHeadChangedShare.source,
            },
          ]
        : []),
    ],
  };
}
