import { passes, type RaisedCaution, SEVERITY_ORDER, worstFirst } from '../cautions/caution.js';
import type { CautionCode } from '../cautions/cautions.data.js';
import { mostNitrateUnheeded } from '../cautions/nitrate.js';
import type { RationLot } from '../ration/ration.js';
import { sentence } from '../units/wording.js';

/** What one meal can do: the mean of a week hides it, so each day is judged by itself. */
const OF_ONE_MEAL: readonly CautionCode[] = [
  'acidosis',
  'nitrate-single-hay',
  'nitrate-whole-ration',
  'urea-share',
  'urea-amount',
];

/** What is in a feed and harms once it is eaten, whatever else is fed later; lack of something is made up for. */
const HARMS_AS_EATEN: readonly string[] = [
  ...OF_ONE_MEAL,
  'prussic-acid',
  'visible-mould',
  'sulfur-total',
  'trace-mineral-above-maximum',
  'mineral-above-maximum',
  'salt-above-maximum',
] satisfies CautionCode[];

/** Whether a caution of a feeding has to be answered before the feeding is entered. */
export function isAskedBefore({ code, severity }: { readonly code: string; readonly severity: string }): boolean {
  return severity === 'danger' && HARMS_AS_EATEN.includes(code);
}

/** Whether a meal of the feed can raise any of these, however little of it there is in a week. */
export function mayHarmInOneMeal({ isStarchyGrain, nonProteinNitrogenPercent = 0, composition }: RationLot): boolean {
  const { nitrateNitrogenPpm: nitrate } = composition;
  const most = Math.max(nitrate?.value ?? 0, nitrate?.atMost ?? 0);
  return isStarchyGrain || nonProteinNitrogenPercent > 0 || most >= mostNitrateUnheeded({ pregnant: true });
}

export interface CautionsOfDay {
  readonly day: string;
  readonly cautions: readonly RaisedCaution[];
}

/**
 * Cautions of a mean over days, with the worst of each that a single day's feeding raised, its day and its number. A
 * day like the mean adds nothing. Worst first.
 */
export function withWorstMeals(
  ofMean: readonly RaisedCaution[],
  days: readonly CautionsOfDay[],
): readonly RaisedCaution[] {
  const ofDays = days.flatMap(({ day, cautions }) =>
    cautions
      .filter(({ code }) => OF_ONE_MEAL.includes(code))
      .map((one): RaisedCaution => ({ ...one, message: sentence`On ${day}: ${one.message}` })),
  );
  return ofDays.length === 0 ? ofMean : worstOfEach([...ofMean, ...ofDays]);
}

/** Of cautions with one code about one thing the worst, the first of equals; worst first. */
export function worstOfEach(cautions: readonly RaisedCaution[]): RaisedCaution[] {
  const byThing = new Map<string, RaisedCaution>();
  for (const one of cautions) {
    const thing = thingOf(one);
    const before = byThing.get(thing);
    if (before === undefined || isWorse(one, before)) byThing.set(thing, one);
  }
  return worstFirst([...byThing.values()]);
}

/** Minerals share a code and a unit, each has its limit; the limit of a guide is that of the band it falls in. */
function thingOf({ code, unit, subject, guide, threshold }: RaisedCaution): string {
  return [code, unit, subject?.kind, subject?.name, guide === null ? threshold : guide].join('|');
}

/** By severity, then by how far the number is on the wrong side. */
function isWorse(one: RaisedCaution, other: RaisedCaution): boolean {
  const step = SEVERITY_ORDER[one.severity] - SEVERITY_ORDER[other.severity];
  if (step !== 0) return step < 0;
  return passes(one.given, one.raisedWhen.endsWith('above') ? 'above' : 'below', other.given);
}
