import { passes, type RaisedCaution, worstFirst } from '../cautions/caution.js';
import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import type { RequirementNote } from '../requirements/requirement-set.js';
import { type CalendarDay, daysBetween } from '../time/calendar-day.js';
import { counted } from '../units/counted.js';
import { sentence } from '../units/wording.js';
import type { NutrientLine } from './nutrient-line.js';

/** What a ration that is laid alike on all days of a span does on one of them. */
export interface JudgedDay {
  readonly on: CalendarDay;
  readonly cautions: readonly RaisedCaution[];
  readonly lines: readonly NutrientLine[];
}

/**
 * The cautions of the mean of a span, with those that only some of its days raise: of each the worst day, which is
 * named together with how many there are. Worst first.
 */
export function cautionsOfSpan(ofMean: readonly RaisedCaution[], days: readonly JudgedDay[]): RaisedCaution[] {
  const told = new Set(ofMean.map(thingOf));
  const onDays = new Map<string, { on: CalendarDay; caution: RaisedCaution }[]>();
  for (const { on, cautions } of days)
    for (const caution of cautions) {
      const thing = thingOf(caution);
      if (!told.has(thing)) onDays.set(thing, [...(onDays.get(thing) ?? []), { on, caution }]);
    }
  const more = [...onDays.values()].map((raised): RaisedCaution => {
    const worst = raised.reduce((best, one) => (isWorse(one.caution, best.caution) ? one : best));
    const named = daysInWords(
      raised.map(({ on }) => on),
      worst.on,
    );
    return { ...worst.caution, message: sentence`${named}: ${worst.caution.message}` };
  });
  return worstFirst([...ofMean, ...more]);
}

const thingOf = ({ code, subject, severity }: RaisedCaution): string =>
  [code, subject?.kind, subject?.name, severity].join('|');

const isWorse = (one: RaisedCaution, other: RaisedCaution): boolean =>
  passes(one.given, one.raisedWhen.endsWith('above') ? 'above' : 'below', other.given);

/** Verdicts that a reader acts on. */
const TOLD = { short: 'short', excess: 'too much' } as const;

/** Needs that the mean of a span meets and some of its days do not, each with its days and the worst of them. */
export function linesOnDays(ofMean: readonly NutrientLine[], days: readonly JudgedDay[]): RequirementNote[] {
  return (['short', 'excess'] as const).flatMap((verdict) =>
    ofMean
      .filter((line) => line.verdict !== verdict)
      .flatMap(({ nutrient }) => {
        const found = days.flatMap(({ on, lines }) => {
          const line = lines.find((one) => one.nutrient === nutrient && one.verdict === verdict);
          return line === undefined ? [] : [{ on, off: Math.abs(percentOff(line)) }];
        });
        if (found.length === 0) return [];
        const worst = found.reduce((best, one) => (one.off > best.off ? one : best));
        const named = daysInWords(
          found.map(({ on }) => on),
          worst.on,
        );
        const by = worst.off > 0 ? `, by ${Number(worst.off.toFixed(1))} %` : '';
        return [
          {
            code: 'not-on-every-day',
            message: `${named}: ${NUTRIENTS[nutrient].name} is ${TOLD[verdict]}${by}; in the mean it is not.`,
            source: 'each day of the span, judged by itself',
          },
        ];
      }),
  );
}

/** Of the need where it is short, of the most where it is too much. */
function percentOff({ verdict, supply, harmfulAbove, surplusPercent }: NutrientLine): number {
  if (verdict !== 'excess') return surplusPercent ?? 0;
  return supply === null || harmfulAbove === null || harmfulAbove === 0 ? 0 : (supply / harmfulAbove - 1) * 100;
}

/** "On 2027-01-15"; "From 2027-01-15 to 2027-01-20, most on 2027-01-18"; "On 3 days of 2027-01-15 to 2027-02-20". */
function daysInWords(days: readonly CalendarDay[], worst: CalendarDay): string {
  const [first = worst, last = worst] = [days[0], days.at(-1)];
  if (days.length === 1) return `On ${first}`;
  const whole = daysBetween(first, last) + 1 === days.length;
  const named = whole ? `From ${first} to ${last}` : `On ${counted(days.length, 'day')} of ${first} to ${last}`;
  return `${named}, most on ${worst}`;
}
