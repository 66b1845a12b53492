import type { TrialProtocol } from './trial-records.js';
import { GUT_FILL } from './trial.data.js';
import { daysOfOneFeeding, hasPeriods, periodsOf, type PeriodDesign, type TrialDesign } from './trial-design.js';

interface ProtocolStep {
  readonly code: 'weigh' | 'hold-off-feed' | 'draw-arms' | 'change-over' | 'feed' | 'write-down' | 'watch' | 'look';
  /** Day of the trial; null for every day. */
  readonly day: number | null;
  readonly words: string;
}

export interface ProtocolSheet {
  readonly protocol: TrialProtocol;
  readonly steps: readonly ProtocolStep[];
  readonly dailyRecord: readonly string[];
}

const FEEDING_STEP: ProtocolStep = {
  code: 'feed',
  day: null,
  words:
    'Feed all arms at the same time of day, in the same weather and by the same hand; only the feeding ' +
    'under test differs.',
};

const STEPS_OF_EVERY_DAY: readonly ProtocolStep[] = [
  { code: 'look', day: null, words: 'Do not judge before the end, except at the looks that the plan names.' },
  {
    code: 'watch',
    day: null,
    words:
      `A weight holds gut fill: ${GUT_FILL.smallestShareOfLiveWeight.value * 100} to ` +
      `${GUT_FILL.largestShareOfLiveWeight.value * 100} % of live weight is fill. Put all arms on the same ` +
      'feed for some days before each weighing if the feedings differ in bulk.',
  },
  {
    code: 'watch',
    day: null,
    words:
      'Sick animals are treated first and recorded second; they stay in their arm on paper. A ' +
      'veterinarian decides, not the trial.',
  },
];

const DAILY_RECORD: readonly string[] = [
  'head fed in each arm or pen',
  'hay fed by lot, pounds or bales, in the order laid',
  'hay refused',
  'hay wasted',
  'weather at feeding',
  'water checked',
  'animals sick, treated, moved, sold or dead, with the reason',
];

/**
 * The sheet that goes to the yard: when to weigh, how to shrink, what to write down each day.
 * Two weighing days at each end if `twoDays`. The first weighing is day 0; feeding runs `lengthDays` days.
 */
export function protocolSheet({
  lengthDays,
  twoDays,
  fill,
  hoursOffFeed,
  interimDays,
  unit,
  design = null,
}: {
  lengthDays: number;
  twoDays: boolean;
  fill: 'full' | 'shrunk';
  hoursOffFeed: number;
  interimDays: readonly number[];
  unit: 'animal' | 'pen';
  design?: TrialDesign | null;
}): ProtocolSheet {
  const startDays = twoDays ? [0, 1] : [0];
  const endDays = twoDays ? [lengthDays, lengthDays + 1] : [lengthDays];
  const weigh = (day: number, which: string) => weighingSteps(day, which, fill, hoursOffFeed);
  const weighOn = (days: readonly number[], name: 'start' | 'end') =>
    days.flatMap((day, i) =>
      weigh(day, twoDays ? `${name} weight, ${i === 0 ? 'first' : 'second'} of two days in a row` : `${name} weight`),
    );
  return {
    protocol: { lengthDays, startDays, endDays, fill, hoursOffFeed },
    steps: [
      ...weighOn(startDays, 'start'),
      {
        code: 'draw-arms',
        day: startDays.at(-1) ?? 0,
        words: hasPeriods(design)
          ? 'Draw with the kept seed in which order each pen is fed. Nobody chooses which pen begins with which feed.'
          : 'Draw the arms from the start weights with the kept seed. Nobody chooses which ' +
            `${unit === 'pen' ? 'pen' : 'animal'} gets which feed.`,
      },
      FEEDING_STEP,
      ...interimDays.flatMap((day) => weigh(day, 'weighing on the way')),
      ...(hasPeriods(design) ? stepsOfPeriods(design, lengthDays, { twoDays, weigh }) : []),
      ...weighOn(endDays, 'end'),
      ...STEPS_OF_EVERY_DAY,
    ],
    dailyRecord: DAILY_RECORD,
  };
}

/** Days on which pens are weighed between start and end: after each washout, and at the end of each period. */
export function weighingDaysOfPeriods(
  design: TrialDesign | null | undefined,
  lengthDays: number,
  twoDays: boolean,
): number[] {
  if (!hasPeriods(design)) return [];
  const days = periodsOf(design, lengthDays).flatMap(({ from, until }) => [from + design.washoutDays, until]);
  const inner = [...new Set(days)].filter((day) => day > 0 && day < lengthDays);
  return inner.flatMap((day) => (twoDays ? [day, day + 1] : [day])).filter((day, at, all) => all.indexOf(day) === at);
}

function stepsOfPeriods(
  design: PeriodDesign,
  lengthDays: number,
  { twoDays, weigh }: { twoDays: boolean; weigh: (day: number, which: string) => ProtocolStep[] },
): ProtocolStep[] {
  const periods = periodsOf(design, lengthDays);
  const changes = periods.slice(1).map(({ number, from }): ProtocolStep => ({
    code: 'change-over',
    day: from + (twoDays ? 1 : 0),
    words:
      `Day ${from}: period ${number} begins. Once all are weighed, ` +
      (design.kind === 'switchback'
        ? 'every pen goes over to the other feeding'
        : 'the pens whose turn was drawn go over to the change, for good') +
      '. Change the feed over some days where it is richer or has more grain, as you would outside a trial.',
  }));
  const washout: ProtocolStep[] =
    design.washoutDays === 0
      ? []
      : [
          {
            code: 'watch',
            day: null,
            words:
              `The first ${design.washoutDays} of the ${daysOfOneFeeding(design, lengthDays)} days of each period ` +
              'are for getting used to the feed: they count for feed and deaths and not for gain. Pens that are not ' +
              'changing are weighed with the others.',
          },
        ];
  return [
    ...weighingDaysOfPeriods(design, lengthDays, twoDays).flatMap((day) => weigh(day, 'weight of a period')),
    ...changes,
    ...washout,
  ];
}

function weighingSteps(day: number, which: string, fill: 'full' | 'shrunk', hoursOffFeed: number): ProtocolStep[] {
  const hold: ProtocolStep = {
    code: 'hold-off-feed',
    day,
    words:
      `Take feed and water away ${hoursOffFeed} hours before weighing, the same for every animal and ` +
      'every weighing. Not in heat, and not for animals that are weak, close to calving or newly calved: ' +
      'ask a veterinarian.',
  };
  const weigh: ProtocolStep = {
    code: 'weigh',
    day,
    words:
      `Day ${day}: ${which}. Weigh every animal on the same scale at the same time of day, ` +
      `${fill === 'shrunk' ? `after ${hoursOffFeed} hours without feed and water` : 'before the morning feed'}. ` +
      'Check the scale with a known weight first.',
  };
  return fill === 'shrunk' ? [hold, weigh] : [weigh];
}
