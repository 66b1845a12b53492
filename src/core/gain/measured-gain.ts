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
 * mean weight against mean weight, at the same fill. Weighings closer than `leastDays` are not used, nor means
 * between which a tenth of the herd came or went: they would be of other cattle. The answer carries the doubts of
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
  readonly headChanges: readonly HeadChange[];
  readonly headNow: number;
  readonly on: CalendarDay;
}): MeasuredGain {
  const { windowDays, leastDays, mostHeadChangedShare } = MEASURED_GAIN_GUIDES;
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
  const herd = headOver(headChanges, headNow);
  const share = (from: CalendarDay): number => herd.movedShare(from, closing.day);
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
    opening.head / Math.max(1, herd.headOn(opening.day)),
    closing.head / Math.max(1, herd.headOn(closing.day)),
  );
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
      ...weighingFlags({ adjusted: footing.adjusted, weighed, changed: share(opening.day) }),
    ],
  };
}

type HeadChange = { readonly day: CalendarDay; readonly head: number };

/** The head of a herd on the days before `headNow`, and the share of it that came or went between two of them. */
function headOver(
  headChanges: readonly HeadChange[],
  headNow: number,
): { headOn(day: CalendarDay): number; movedShare(from: CalendarDay, until: CalendarDay): number } {
  // A change and its reversal on the same day moved nobody.
  const byDay = new Map<CalendarDay, number>();
  for (const one of headChanges) byDay.set(one.day, (byDay.get(one.day) ?? 0) + one.head);
  const headOn = (day: CalendarDay): number =>
    headNow - headChanges.filter((one) => compareDays(one.day, day) > 0).reduce((sum, one) => sum + one.head, 0);
  const moved = (from: CalendarDay, until: CalendarDay): number =>
    [...byDay]
      .filter(([day]) => compareDays(day, from) > 0 && compareDays(day, until) <= 0)
      .reduce((sum, [, head]) => sum + Math.abs(head), 0);
  return { headOn, movedShare: (from, until) => moved(from, until) / Math.max(1, headOn(until)) };
}

/** What makes a reader doubt the two means: unlike fill, few on the scale, some that came or went. */
function weighingFlags({
  adjusted,
  weighed,
  changed,
}: {
  readonly adjusted: boolean;
  readonly weighed: number;
  readonly changed: number;
}): MeasuredGainFlag[] {
  const { mostHeadChangedShare, leastWeighedShare } = MEASURED_GAIN_GUIDES;
  const flags: MeasuredGainFlag[] = [];
  if (adjusted)
    flags.push({
      code: 'weights-not-alike',
      value: 0.96,
      limit: 1,
      message: 'One weight was full and one shrunk; the full one was shrunk by 4 %.',
      source: 'NRC, Nutrient Requirements of Beef Cattle, 2000 update: shrunk weight is 0.96 of full weight',
    });
  if (weighed < leastWeighedShare.value)
    flags.push({
      code: 'few-weighed',
      value: weighed,
      limit: leastWeighedShare.value,
      message: `Only ${Math.round(weighed * 100)} % of the herd were weighed.`,
      source: leastWeighedShare.source,
    });
  if (changed > 0)
    flags.push({
      code: 'head-changed',
      value: changed,
      limit: mostHeadChangedShare.value,
      message: `${Math.round(changed * 100)} % of the herd came or went in between.`,
      source: mostHeadChangedShare.source,
    });
  return flags;
}
