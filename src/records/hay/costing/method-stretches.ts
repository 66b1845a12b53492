import type { CostingMethod } from '../../../core/stock/costing-entries.js';
import type { CostReplay } from '../../../core/stock/costing-replay.js';
import { type MethodChange, methodChanges, type MethodStretch } from '../../../core/stock/method-change.js';
import { addDays } from '../../../core/time/calendar-day.js';
import type { ClosedDays } from './costing.read.js';

export const BEFORE_ALL_BOOKS = '1900-01-01';

/** Days of one method. `from` and `changeId`, the id of the change that begins them, but for the first ones. */
export interface Stretch {
  method: CostingMethod;
  /** Whether some of them are closed. */
  closed: boolean;
  from?: string;
  changeId?: string;
  recordedAt?: string;
}

/** A change of the method, and whether its days have been closed since. */
export interface ToldMethodChange extends MethodChange {
  closedSince: boolean;
  /** When the days before it were closed. */
  recordedAt: string;
}

/**
 * Days of one method that follow each other, as far as they begin by a day.
 * @param present the method of open days
 */
export function stretchesOf(present: CostingMethod, closings: readonly ClosedDays[], until: string): Stretch[] {
  const stretches: Stretch[] = [];
  let last: ClosedDays | undefined;
  const begin = (method: CostingMethod, closed: boolean): void => {
    if (stretches.at(-1)?.method === method) return;
    const begins = last && { from: addDays(last.until, 1), changeId: last.id, recordedAt: last.recordedAt };
    stretches.push({ method, closed, ...begins });
  };
  for (const closing of closings) {
    begin(closing.method, true);
    last = closing;
  }
  begin(present, false);
  return stretches.filter(({ from }) => from === undefined || from <= until);
}

/** The stretches of some days, cut to them; those that begin after them are left out already. */
export function within(
  stretches: readonly Stretch[],
  span: { from: string; until: string },
): { method: CostingMethod; from: string; until: string }[] {
  return stretches
    .map(({ method, from = BEFORE_ALL_BOOKS }, index) => {
      const next = stretches[index + 1]?.from;
      const until = next === undefined ? span.until : addDays(next, -1);
      return { method, from: from > span.from ? from : span.from, until };
    })
    .filter(({ from, until }) => from <= until);
}

/** A stretch with its replays. */
export function partOf({ from, changeId }: Stretch, during: CostReplay, before: CostReplay | undefined): MethodStretch {
  return from === undefined || changeId === undefined || before === undefined
    ? { during }
    : { during, begins: { on: from, changeId, before } };
}

export function toldChanges(told: readonly MethodStretch[], stretches: readonly Stretch[]): ToldMethodChange[] {
  return methodChanges(told).map((change) => {
    const stretch = stretches.find(({ changeId }) => changeId === change.changeId);
    return { ...change, closedSince: stretch?.closed === true, recordedAt: stretch?.recordedAt ?? '' };
  });
}
