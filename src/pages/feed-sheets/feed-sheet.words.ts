import { counted, unitFor } from '../../core/units/counted.js';
import type { FeedSheetAnswer } from '../../desk/feed-sheets/feed-sheet.schema.js';

export type HerdSheet = FeedSheetAnswer['herds'][number];
export type SheetLine = HerdSheet['layers'][number]['lines'][number];

/** 1234 as 1,234, to be read at a glance. */
export function whole(value: string | number): string {
  return Math.round(Number(value)).toLocaleString('en-US');
}

export function weighed(mass: { value: string; unit: string }): string {
  return `${whole(mass.value)} ${mass.unit}`;
}

/** What is laid, as it is weighed out: less than ten with its tenths. */
export function asWeighed({ value, unit }: { value: string; unit: string }): string {
  return `${Number(value).toLocaleString('en-US')} ${unit}`;
}

const WEEKDAYS = ['Sunday', 'Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday'];

export function dayWords(day: string): string {
  return `${WEEKDAYS[new Date(`${day}T00:00:00Z`).getUTCDay()] ?? ''} ${day}`;
}

/** What the hand does with a line's bales. */
export function baleWords({ bales }: SheetLine, { carried }: HerdSheet): string {
  if (bales === null) return 'loose';
  const count = counted(bales.open, 'bale');
  if (carried?.rounding === 'nearest-whole') return bales.open === 0 ? 'none today' : `${count}, whole`;
  const over = Number(bales.carriedIn.value);
  // Number and unit stay on one line.
  const overWords = weighed(bales.carriedIn).replaceAll(' ', '\u00a0');
  const opened = `open ${count}`;
  if (Math.round(over) > 0)
    return bales.open === 0 ? `from the open bale (${overWords} over)` : `${opened}, after the ${overWords} left over`;
  return opened;
}

type WeighedLot = readonly [hayLot: string, mass: string];

/** What is left after the sheet is fed, each lot with its weight, after a heading. */
export function leftWords({ leftovers, behind, carried }: HerdSheet): { words: string; lots: WeighedLot[] }[] {
  const ahead = carried?.rounding === 'nearest-whole' ? 'Ahead of the need after this day' : 'Over for tomorrow';
  return [
    { words: ahead, lots: leftovers.map((one): WeighedLot => [one.hayLot, weighed(one.carriedOut)]) },
    {
      words: 'Short of what is needed, made up on later days',
      lots: behind.map((one): WeighedLot => [one.hayLot, weighed(one.behindBy)]),
    },
  ].filter(({ lots }) => lots.length > 0);
}

/** Free-choice feed, with the intake that is counted. */
export function freeChoiceWords({ freeChoice }: HerdSheet): string[] {
  return freeChoice.map(({ hayLot, liesAt, intake, forTheHerd }) => {
    const where = liesAt === null ? '' : ` (${liesAt})`;
    const herd = `${Number(forTheHerd.value).toFixed(1)} ${forTheHerd.unit}`;
    const counted = `counted at ${intake.value} ${intake.unit} per head, ${herd} a day for the herd`;
    return `Keep in front of the cattle: ${hayLot}${where}, ${counted}.`;
  });
}

/** How evenly whole bales are laid, and what comes tomorrow. */
export function planWords({ plan, total, layers }: HerdSheet): string[] {
  if (plan === null) return [];
  const { band, need, widerThanAsked, days } = plan;
  const bounds = `${plainly(band.fromPercent)} to ${plainly(band.toPercent)} % of the ${weighed(need)} needed`;
  const tomorrow = days[1];
  const lots = tomorrow?.lots.filter(({ bales }) => bales > 0).map(({ hayLot, bales }) => `${hayLot} ${bales}`) ?? [];
  return [
    ...(total !== null && Number(total.value) === 0
      ? ['Lay nothing today: what was laid before lasts.']
      : noBaleWords(layers.flatMap(({ lines }) => lines))),
    `Whole bales by a plan over days: every day ${bounds}, no hay a whole bale ahead or behind.`,
    `Of the need, day by day: ${days.map(dayOfPlanWords).join(', ')}.`,
    ...daysOfDanger(days),
    ...(widerThanAsked
      ? [
          'Whole bales of these lots cannot keep closer to the need than that. A ration with the bale rounding ' +
            '`open-enough` opens a bale and lays the need every day.',
        ]
      : []),
    ...(tomorrow === undefined ? [] : [`Next day: ${lots.length === 0 ? 'nothing' : `bales of ${lots.join(', ')}`}.`]),
  ];
}

/** A day without a bale on which something is weighed out all the same. */
function noBaleWords(lines: readonly SheetLine[]): string[] {
  if (lines.some(({ bales }) => bales !== null && bales.open > 0)) return [];
  const weighedOut = lines.filter(({ bales, lay }) => bales === null && Number(lay.value) > 0);
  const lay = weighedOut.map((one) => `${asWeighed(one.lay)} of ${one.hayLot}`);
  return [`No bale today: hay of the days before lasts; lay ${lay.join(', ')}.`];
}

type DayOfPlan = NonNullable<HerdSheet['plan']>['days'][number];

function dayOfPlanWords({ onDay, percentOfNeed, dangers }: DayOfPlan): string {
  return `${onDay} ${plainly(percentOfNeed)} %${dangers.length > 0 ? ` ${SEVERITY_WORDS.danger}` : ''}`;
}

/** Days to come on which whole bales lay what is a danger; that of the sheet itself is told above it. */
function daysOfDanger(days: readonly DayOfPlan[]): string[] {
  return days.slice(1).flatMap(({ onDay, dangers }) => {
    const told = dangers.map(({ title, subject }) => (subject === null ? title : `${title} (${subject})`));
    return told.length === 0
      ? []
      : [`${SEVERITY_WORDS.danger} on ${onDay}: ${[...new Set(told)].join('; ')}. Ask before that day.`];
  });
}

/** What the sheet starts from, if not from the day before as confirmed. */
export function carriedWords({ carried }: HerdSheet): string[] {
  if (carried === null) return [];
  const { countedAsPlanned, countedAsFed, notTakenOff } = carried;
  return [
    ...(countedAsPlanned.length === 0
      ? []
      : [`Not confirmed: ${someDays(countedAsPlanned)}. What was planned is counted.`]),
    ...(countedAsFed.length === 0 ? [] : [`Fed without a sheet: ${someDays(countedAsFed)}. What was fed is counted.`]),
    ...(notTakenOff === null
      ? []
      : [`${weighed(notTakenOff)} fed above the need before are not taken off: no day may go short for them.`]),
  ];
}

/** Longer lists of days show only the first and the last. */
const DAYS_BY_NAME = 5;

function someDays(days: readonly string[]): string {
  return days.length <= DAYS_BY_NAME
    ? days.join(', ')
    : `${days.length} days from ${days[0] ?? ''} to ${days.at(-1) ?? ''}`;
}

export const ALREADY_FED = 'ALREADY FED';

/** Feedings of the day other than the sheet's own, so that a second hand sees them. */
export function otherFeedings({ fedThatDay, confirmation }: HerdSheet): string[] {
  return fedThatDay
    .filter((one) => one.feedingId !== confirmation?.feedingId)
    .map(({ total, headFed, fedAtRanch, enteredBy, fromTheSheet }) => {
      const at = fedAtRanch === null ? '' : ` at ${fedAtRanch}`;
      const by = enteredBy === null ? '' : `, entered by ${enteredBy}`;
      const how = fromTheSheet ? 'a second time from the sheet' : 'without the sheet';
      return `${weighed(total)} for ${whole(headFed)} head${at} ${how}${by}. Ask before you feed again.`;
    });
}

/** States that the sheet was fed, and by whom. */
export function confirmedWords({ fedThatDay, confirmation }: HerdSheet): string | null {
  if (confirmation === null) return null;
  const by = fedThatDay.find((one) => one.feedingId === confirmation.feedingId)?.enteredBy ?? null;
  return `Confirmed as fed${by === null ? '' : ` by ${by}`}.`;
}

export const SEVERITY_WORDS: Readonly<Record<'danger' | 'watch' | 'notice', string>> = {
  danger: 'DANGER',
  watch: 'WATCH',
  notice: 'NOTE',
};

export const SHEET_FOOTER =
  'Numbers about feeding are aids to judgment. Before you act on a caution ask a veterinarian, a licensed ' +
  'nutritionist or the lab, and follow local codes.';

const UNCHECKED = ' No source was checked in the last days: look at the water.';

/** The water of the place: the need as far as it is known, and the herds it is not known for. */
export function waterWords({ need, needUnknownFor, sources }: FeedSheetAnswer['water']): {
  known: string | null;
  rest: string;
} {
  const unknown = needUnknownFor.length === 0 ? '' : ` Not known for ${needUnknownFor.join(', ')}.`;
  return {
    known: need === null ? null : `${whole(need.value)} ${need.unit}`,
    rest: `${unknown}${sources.length === 0 ? UNCHECKED : ''}`.trim(),
  };
}

/** What has to be read before anything is laid. */
export function dangersOf({ cautions }: HerdSheet): HerdSheet['cautions'] {
  return cautions.filter((one) => one.severity === 'danger');
}

/** The number behind a caution, its threshold and source: what to tell the veterinarian. */
export function cautionNumbers({ given, threshold, unit, source }: HerdSheet['cautions'][number]): string {
  // That a lot was seen to be so is a yes, not a number.
  if (threshold === 0 && unit.startsWith('lots ')) return `Source: ${source}.`;
  return `${plainly(given)} ${unitFor(given, unit)}; the threshold is ${plainly(threshold)} (${source}).`;
}

function plainly(value: number): string {
  return String(Number(value.toFixed(2)));
}

export const NOT_JUDGED = 'NOT JUDGED';
export function notJudgedWords({ notJudgedBecause }: HerdSheet): string {
  return (
    `Need, water and cautions of this ration could not be worked out. ${notJudgedBecause.join(' ')} Tell the ` +
    'manager.'
  );
}

/** What a water source supplies, as last checked. */
export function sourceWords({ state, givesADay, checkedOn }: FeedSheetAnswer['water']['sources'][number]): {
  state: string;
  rest: string;
} {
  const gives = givesADay === null ? '' : `, gives ${whole(givesADay.value)} ${givesADay.unit} a day`;
  return { state: state.replace('-', ' '), rest: `${gives} (checked ${checkedOn})` };
}

/** Which herds' water need is given, and how the sentence continues. */
export function whoDrinks({ needUnknownFor }: FeedSheetAnswer['water']): string {
  return `${needUnknownFor.length === 0 ? 'All herds here' : 'The other herds here'} drink about`;
}

/** Heading above the layers. */
export function orderWords({ ration }: HerdSheet): string {
  return `${ration?.name ?? ''}. Lay in this order: 1 goes down first, the next on top of it.`;
}

/** Text after the weight of a lot to load. */
export function bringWords({ open, openIfShared }: FeedSheetAnswer['toBring'][number]): string {
  if (open === null) return '';
  const fewer =
    openIfShared !== null && openIfShared < open ? `; ${openIfShared} will do if the herds share an open bale` : '';
  return `, open ${counted(open, 'bale')}${fewer}`;
}
