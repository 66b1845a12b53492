import { targetWeight } from '../requirements/heifer-growth.js';
import type { HeiferEvent } from '../requirements/heifer-targets.data.js';
import type { AnimalClass } from '../requirements/requirement-set.js';
import { counted } from '../units/counted.js';
import { type CalendarDay, dayFromNumber, dayNumber, daysBetween } from '../time/calendar-day.js';
import { type BreedingSeason, DAYS_A_YEAR } from './breeding-seasons.js';
import type { CalvingWindow, Cohort } from './herd-cohorts.js';
import type { FactOf, HerdWeighing } from './herd-on-file.js';
import type { StagedAnimals, RecordedClass } from './herd-stage.js';
import type { HerdWeight } from './herd-weight.js';
import { unlikelyWeightWords, type WeightDoubt } from './weight-fit.js';
import { GESTATION, REST_AFTER_CALVING, WEANING_AGE } from './standing.data.js';

/** What a part of a herd's state rests on. `recorded` was entered; `expected` follows from it by a known rule. */
export interface StandingNote {
  readonly code: string;
  readonly sureness: 'recorded' | 'expected' | 'assumed' | 'not-known';
  readonly message: string;
}

interface StandingKnown {
  readonly day: CalendarDay;
  readonly seasons: readonly BreedingSeason[];
  readonly cohorts: readonly Cohort[];
  readonly windows: ReadonlyMap<BreedingSeason, CalvingWindow>;
  readonly staged: readonly StagedAnimals[];
  readonly weight: HerdWeight;
  readonly condition: { readonly fact: FactOf<'condition'>; readonly since: CalendarDay | null } | undefined;
  readonly recorded: RecordedClass;
  /** What was first told later than the day, and when: class, place or gain wanted. */
  readonly firstKnown: readonly { readonly what: 'class' | 'place' | 'target-gain'; readonly on: CalendarDay }[];
  readonly targetKnown: boolean;
  /** What speaks against the weight that the state rests on. */
  readonly doubts: readonly WeightDoubt[];
  /** Weighings of a few head that are not taken for the herd's. */
  readonly leftOut: readonly HerdWeighing[];
}

/** A weight or score as old as this is worth a word; common practice, no source. */
const OLD_AFTER_DAYS = 60;

/** What the state of a herd on a day rests on, in words, the stage first. */
export function notesOn(known: StandingKnown): StandingNote[] {
  return [
    ...stageNotes(known),
    ...milkNotes(known),
    ...classNotes(known),
    ...firstKnownNotes(known),
    ...conditionNotes(known),
    ...gainNotes(known),
    ...weightNotes(known),
    ...leftOutNotes(known),
    ...doubtNotes(known),
  ];
}

type StageKnown = Pick<StandingKnown, 'day' | 'seasons' | 'cohorts' | 'windows' | 'staged' | 'recorded'>;

function stageNotes(known: StageKnown): StandingNote[] {
  const { day, seasons, cohorts, windows, staged, recorded } = known;
  const today = dayNumber(day);
  const season = seasons.findLast(
    (one) =>
      one.from <= today && today <= (windows.get(one)?.last ?? 0) + WEANING_AGE.value + GESTATION.spreadDays.value,
  );
  const notes: StandingNote[] = [];
  const missing = staged.some((one) => !one.known);
  if (missing)
    notes.push({
      code: 'stage-not-known',
      sureness: 'not-known',
      message:
        `The herd is on record as ${words(recorded.cattleClass)}, and nothing recorded says since when. Enter the ` +
        'breeding or the calving.',
    });
  if (season === undefined || (missing && staged.every((one) => !one.known))) return notes;
  return [
    ...notes,
    breedingNote(season),
    ...restNotes(season, cohorts),
    ...calvingNotes(season, windows.get(season)),
    ...checkNotes(season),
  ];
}

function words(code: string): string {
  return code.replaceAll('-', ' ');
}

function breedingNote(season: BreedingSeason): StandingNote {
  const [first] = season.bred;
  if (season.breeding === 'assumed')
    return {
      code: 'breeding-assumed',
      sureness: 'assumed',
      message:
        `No breeding is recorded after the one of ${dayFromNumber(season.from - DAYS_A_YEAR)}; ` +
        'the herd is assumed to be bred again a year later. Enter the breeding, or that the cows are open.',
    };
  if (first === undefined)
    return {
      code: 'breeding-from-the-calving',
      sureness: 'expected',
      message: `No breeding is recorded; conception is assumed ${GESTATION.meanDays.value} days before the calving.`,
    };
  const exposed = season.bred.filter((one) => one.service !== null);
  if (exposed.length === 0)
    return {
      code: 'bred-on-mean-day',
      sureness: 'recorded',
      message:
        `Bred on ${season.bred.at(-1)?.on ?? first.on} on average; the first and last day are not ` +
        'known, so the herd is spread by the length of gestation alone.',
    };
  return {
    code: 'bred',
    sureness: 'recorded',
    message: `Bred ${exposed
      .map(({ on, lastOn, service }) => {
        const days = on === lastOn ? `on ${on}` : `from ${on} to ${lastOn}`;
        return `${days} by ${service === 'bull' ? 'bulls' : 'insemination'}`;
      })
      .join(', ')}.`,
  };
}

/** Cows that were not through with calving when the breeding began settle once they have rested. */
function restNotes(season: BreedingSeason, cohorts: readonly Cohort[]): StandingNote[] {
  const carried = cohorts.flatMap(({ share, pregnancies }) =>
    pregnancies.filter((one) => one.season === season && one.late > 0).map((one) => ({ share, ...one })),
  );
  const last = carried.at(-1);
  if (last === undefined || season.breeding === 'assumed') return [];
  const percent = Math.round(100 * carried.reduce((sum, one) => sum + one.share, 0));
  const until = season.bred.reduce<CalendarDay>((latest, one) => (one.lastOn > latest ? one.lastOn : latest), '');
  const after = dayFromNumber(Math.max(...carried.map((one) => one.conceived)));
  return [
    {
      code: 'bred-before-rested',
      sureness: 'assumed',
      message:
        `${percent} % of the herd had not calved and rested ${REST_AFTER_CALVING.value} days when they were to ` +
        `settle; they are taken to have settled later, the last on ${after}` +
        (until !== '' && after > until
          ? `, after the breeding of ${until}. A pregnancy check tells who is open.`
          : '.'),
    },
  ];
}

function calvingNotes(season: BreedingSeason, window: CalvingWindow | undefined): StandingNote[] {
  if (window === undefined) return [];
  const days = [window.first, window.median, window.last].map(dayFromNumber);
  if (season.calved !== null)
    return [
      {
        code: 'calved',
        sureness: 'recorded',
        message: `Calved from ${days[0]} to ${days[2]}, half of them by ${days[1]}, as recorded.`,
      },
    ];
  return [
    {
      code: 'calving-expected',
      sureness: season.breeding === 'assumed' ? 'assumed' : 'expected',
      message:
        `Calving is expected from ${days[0]} to ${days[2]}, half of them by ${days[1]}: ` +
        `${GESTATION.meanDays.value} days after conception, ${GESTATION.spreadDays.value} more or less. The first ` +
        'and last day are those of the first and last of fifty cows.',
    },
  ];
}

function checkNotes({ check, breeding }: BreedingSeason): StandingNote[] {
  if (breeding !== 'recorded') return [];
  if (check === null)
    return [
      {
        code: 'no-pregnancy-check',
        sureness: 'assumed',
        message: 'No pregnancy check is recorded; all count as pregnant from breeding on.',
      },
    ];
  return [
    {
      code: 'pregnancy-check',
      sureness: 'recorded',
      message: `${check.headOpen} of ${check.headChecked} were open at the pregnancy check of ${check.on}.`,
    },
  ];
}

/** When milk ends, or ended, for those that calved. */
function milkNotes({ day, cohorts }: StageKnown): StandingNote[] {
  const today = dayNumber(day);
  const last = cohorts
    .flatMap((cohort) => cohort.pregnancies.filter((one) => one.calves <= today))
    .reduce<(typeof cohorts)[number]['pregnancies'][number] | undefined>(
      (best, one) => (best === undefined || one.calves > best.calves ? one : best),
      undefined,
    );
  if (last === undefined || last.season.breeding === 'assumed') return [];
  const weaned = dayFromNumber(last.weaned);
  if (last.weaning === 'recorded')
    return [{ code: 'weaned', sureness: 'recorded', message: `The calves were weaned on ${weaned}.` }];
  return [
    {
      code: 'weaning-expected',
      sureness: 'expected',
      message:
        `No weaning is recorded; it is assumed ${WEANING_AGE.value} days after the middle of calving, on ` +
        `${weaned}.`,
    },
  ];
}

/** What would make them what they are not. */
const WOULD_CHANGE_IT: Partial<Record<AnimalClass, string>> = {
  'lactating-cow':
    'If they calved since, enter the calving; if their calves were not weaned, reverse the weaning. Cows are in milk ' +
    'from a calving until its calves are weaned.',
  'dry-pregnant-cow':
    'If they are bred, enter the breeding; if a pregnancy check on record is wrong, reverse it; if their calves are ' +
    'weaned, enter the weaning.',
  'dry-open-cow':
    'If they are open, enter a pregnancy check that finds them so, or reverse the breeding; if their calves are ' +
    'weaned, enter the weaning.',
};
const OTHERWISE = 'If a breeding, calving or weaning on record is wrong, reverse it; if one is missing, enter it.';

/** That a told class changes nothing on its day, why, and which entry would. */
export function noEffectWords({ on, cattleClass }: FactOf<'class'>, known: StageKnown): string {
  const are = [...new Set(known.staged.map((one) => one.cattleClass))].map(words).join(' and ');
  const because = [...stageNotes(known), ...milkNotes(known)].map(({ message }) => message).join(' ');
  return (
    `The class ${words(cattleClass)} changes nothing: by what is on record they are ${are} on ${on}. ${because} ` +
    (WOULD_CHANGE_IT[cattleClass] ?? OTHERWISE)
  );
}

/** That a told class holds only until another, which was on record for a later day when it was told. */
export function untilTheNextWords({ cattleClass }: FactOf<'class'>, next: FactOf<'class'>): string {
  const told = next.opening === true ? 'which the herd was entered with as of that day' : 'told for that day';
  return (
    `From ${next.on} on the class ${words(next.cattleClass)} holds, ${told}. If they are ${words(cattleClass)} from ` +
    `then on too, enter it for ${next.on}.`
  );
}

const movedFrom = ({ staged, recorded }: Pick<StageKnown, 'staged' | 'recorded'>): AnimalClass[] =>
  [...new Set(staged.map((one) => one.cattleClass))].filter((one) => one !== recorded.cattleClass);

function classNotes({ staged, recorded }: StandingKnown): StandingNote[] {
  const moved = movedFrom({ staged, recorded });
  if (moved.length === 0) return [];
  return [
    {
      code: 'class-moved',
      sureness: 'expected',
      message:
        `On record as ${words(recorded.cattleClass)}; by breeding, pregnancy checks and calving some or all of them ` +
        `are of another class: ${moved.map(words).join(', ')}.`,
    },
  ];
}

const FIRST_KNOWN = { class: 'class', place: 'place', 'target-gain': 'target gain' } as const;

/** Nobody knows what was before the first record of a kind; the first one is taken, and said to be. */
function firstKnownNotes({ firstKnown }: StandingKnown): StandingNote[] {
  return firstKnown.map(({ what, on }) => ({
    code: `${what}-first-known-later`,
    sureness: 'assumed',
    message:
      `The ${FIRST_KNOWN[what]} is first known from ${on} on; it is assumed to have been the same before. If it was ` +
      'not, enter what it was with its day.',
  }));
}

function leftOutNotes({ leftOut }: StandingKnown): StandingNote[] {
  return leftOut.map(({ on, head }) => ({
    code: 'weight-left-out',
    sureness: 'assumed',
    message:
      `The ${head ?? 'few'} head weighed on ${on} differ too much from the weighing before for their mean to be the ` +
      "herd's; it is left out. If it is right, reverse the wrong one, or weigh at least half of the herd.",
  }));
}

/** An unlikely weight is believed, and said to be unlikely. */
function doubtNotes({ doubts, weight: { restsOn }, recorded }: StandingKnown): StandingNote[] {
  return doubts.slice(0, 1).map((doubt) => ({
    code: 'weight-unlikely',
    sureness: 'assumed',
    message: unlikelyWeightWords(recorded.cattleClass, { whose: '', on: restsOn.on }, doubt),
  }));
}

const GROWING: readonly AnimalClass[] = ['growing-calf', 'yearling', 'finishing'];

function gainNotes({ staged, targetKnown }: StandingKnown): StandingNote[] {
  if (targetKnown || !staged.some((one) => GROWING.includes(one.cattleClass))) return [];
  return [
    {
      code: 'no-wanted-gain',
      sureness: 'not-known',
      message: 'No target gain is entered, so the need stands at maintenance. Enter the target gain.',
    },
  ];
}

function conditionNotes({ day, condition }: StandingKnown): StandingNote[] {
  const score = condition?.fact.score ?? null;
  if (condition === undefined || score === null)
    return [
      {
        code: 'no-condition-score',
        sureness: 'assumed',
        message: 'No condition score is recorded; the equations use 5.',
      },
    ];
  const age = daysBetween(condition.fact.on, day);
  const scored = condition.fact.opening === true ? 'is what the herd was entered with, as of' : 'was scored on';
  return [
    {
      code: age > OLD_AFTER_DAYS ? 'old-condition-score' : 'condition-score',
      sureness: age < 0 ? 'assumed' : 'recorded',
      message: `Condition ${score} ${scored} ${condition.fact.on}, ${daysAgo(age)}${age < 0 ? CARRIED_BACK : ''}.`,
    },
  ];
}

/** Before the first weight or score nobody knows; the first one is taken. */
const CARRIED_BACK = '; none is known before it, so it is carried back as it was';

function daysAgo(days: number): string {
  if (days === 0) return 'the same day';
  return days > 0 ? `${counted(days, 'day')} before` : `${counted(-days, 'day')} later`;
}

const TAKEN = {
  'weigh-in': 'the weigh-in of',
  'stated-weight': 'the weight stated on',
  entry: 'the weight that the herd was entered with, as of',
} as const;

/** "60 % of mature weight at breeding, 80 % at first calving". */
function targetShares(): string {
  const share = (event: HeiferEvent) =>
    Math.round(100 * targetWeight({ event, matureWeightKg: 1, breedType: 'bos-taurus-beef' }).share);
  return `${share('first-breeding')} % of mature weight at breeding, ${share('first-calving')} % at first calving`;
}

const GAINED = {
  wanted: 'carried forward by the target gain',
  measured: 'carried forward by the gain between the last two weighings',
  'target-weights':
    'no gain is wanted or measured, so heifers are taken to grow to their target weights (NRC 2000: ' +
    `${targetShares()})`,
  'not-known': 'no gain is known, so it is left as it was',
  grown: 'grown cattle keep it; calf and fluids are left out',
} as const;

function weightSureness(
  what: HerdWeight['restsOn']['what'],
  age: number,
  gain: HerdWeight['restsOn']['gain'],
): StandingNote['sureness'] {
  if (what === 'weigh-in' && age === 0) return 'recorded';
  const guessed = gain === 'not-known' || gain === 'target-weights';
  return age < 0 || (age > 0 && guessed) ? 'assumed' : 'expected';
}

function weightNotes({ weight: { restsOn } }: StandingKnown): StandingNote[] {
  const { what, on, daysAgo: age, gain, flowKg, stoppedAtGrown } = restsOn;
  const carried = age > 0 ? `; ${GAINED[gain]}` : age < 0 ? CARRIED_BACK : '';
  return [
    {
      code: age > OLD_AFTER_DAYS ? 'old-weight' : 'weight',
      sureness: weightSureness(what, age, gain),
      message: `Weight rests on ${TAKEN[what]} ${on}, ${daysAgo(age)}${carried}.`,
    },
    ...(stoppedAtGrown
      ? [
          {
            code: 'grown',
            sureness: 'assumed' as const,
            message: 'The gain was not carried beyond the mature weight.',
          },
        ]
      : []),
    ...(Math.abs(flowKg) >= 0.5
      ? [
          {
            code: 'weight-moved-by-head',
            sureness: 'recorded' as const,
            message: 'Cattle that came or went since then with a weight of their own changed the mean.',
          },
        ]
      : []),
  ];
}
