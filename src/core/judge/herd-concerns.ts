import { counted } from '../units/counted.js';
import { plain, type RaisedCaution } from '../cautions/caution.js';
import { MINERALS, type Nutrient, spelledNutrient } from '../nutrients/nutrients.js';
import type { Verdict } from './nutrient-line.js';
import {
  CAUTIONS_NOT_LISTED,
  CONCERN_GUIDES,
  CONCERN_OF_CAUTION,
  CONCERN_WEIGHTS,
  type ConcernCode,
} from './herd-concerns.data.js';

/**
 * What is known of a herd on a day and of its ration in use, or else of what it was fed lately. `null`: not known, or
 * does not apply.
 */
export interface HerdStanding {
  readonly hasRation: boolean;
  /** Where no ration is in use: the last feedings on record, and whether the herd is judged by them. */
  readonly fedLately?: { fromDay: string; untilDay: string; daysAgo: number; judged: boolean } | null;
  /** Why the ration could not be judged; empty where it was. */
  readonly refusedBecause: readonly string[];
  readonly nutrients: readonly {
    readonly nutrient: Nutrient;
    readonly verdict: Verdict;
    readonly surplusPercent: number | null;
    /** Above the most they should get, % of it; `null` where there is no such bound or the sum is not known. */
    readonly abovePercent?: number | null;
  }[];
  /** Where a ration is in use: that what is fed at present is not known, in words; `null` where it is. */
  readonly notFedNow?: { readonly daysAgo: number; readonly notOlderThanDays: number; readonly words: string } | null;
  /** Cautions of the ration in use and of what was fed lately that are listed; the message names the lot. */
  readonly cautions: readonly (Pick<RaisedCaution, 'code' | 'severity' | 'title' | 'given' | 'threshold' | 'unit'> & {
    readonly message: string;
    /** True where only what was fed lately raises it. */
    readonly onlyAsFed: boolean;
  })[];
  readonly targetGainKgPerDay: number | null;
  /** What the ration allows, negative for a loss; `null` for mature cows. */
  readonly expectedGainKgPerDay: number | null;
  /** What the weighings show; `null` where no two of them can be compared. */
  readonly measuredGain: { readonly kgPerDay: number; readonly fromDay: string; readonly untilDay: string } | null;
  readonly conditionDirection: 'gain' | 'loss' | 'steady' | null;
  readonly daysToOneScore: number | null;
  readonly hay: readonly { readonly lotName: string; readonly days: number | null }[];
  /** Days that the hay of the ration has to last. */
  readonly hayMustLastDays: number;
  readonly tests: readonly { readonly lotName: string; readonly daysSinceSample: number | null }[];
}

interface Concern {
  readonly code: ConcernCode;
  readonly weight: number;
  /** The number that raised it. */
  readonly given: number;
  readonly threshold: number;
  readonly unit: string;
  readonly words: string;
}

/**
 * What a nutritionist should look at in a herd, most serious first. Thresholds and weights: `CONCERN_GUIDES`,
 * `CONCERN_WEIGHTS`.
 */
export function herdConcerns(standing: HerdStanding): Concern[] {
  const raised: Concern[] = [];
  const raise: Raise = (code, given, threshold, unit, words) => {
    raised.push({ code, weight: CONCERN_WEIGHTS[code], given, threshold, unit, words });
  };
  if (!standing.hasRation) raise('no-ration-in-use', 0, 1, 'rations in use', noRationWords(standing));
  if (standing.refusedBecause.length > 0)
    raise('cannot-be-judged', standing.refusedBecause.length, 0, 'reasons', standing.refusedBecause.join(' '));
  for (const caution of standing.cautions) {
    const { title, message, given, threshold, unit, onlyAsFed } = caution;
    raise(concernOf(caution), given, threshold, unit, `${title}${onlyAsFed ? ', as fed lately' : ''}: ${message}`);
  }
  if (standing.notFedNow !== undefined && standing.notFedNow !== null) {
    const { daysAgo, notOlderThanDays, words } = standing.notFedNow;
    raise('fed-long-ago', daysAgo, notOlderThanDays, 'days since the last feeding', words);
  }
  for (const line of standing.nutrients) nutrientConcern(line, raise);
  for (const { lotName, days } of standing.hay) {
    if (days === null || days >= standing.hayMustLastDays) continue;
    const urgent = days < CONCERN_GUIDES.hayUrgentDays.value;
    raise(
      urgent ? 'hay-urgent' : 'hay-short',
      days,
      urgent ? CONCERN_GUIDES.hayUrgentDays.value : standing.hayMustLastDays,
      'days',
      `${lotName} will last ${counted(Math.floor(days), 'day')}; the target is ${plain(standing.hayMustLastDays, 0)}.`,
    );
  }
  gainConcern(standing, raise);
  if (
    standing.conditionDirection === 'loss' &&
    standing.daysToOneScore !== null &&
    standing.daysToOneScore < CONCERN_GUIDES.conditionLossDays.value
  ) {
    raise(
      'condition-loss',
      standing.daysToOneScore,
      CONCERN_GUIDES.conditionLossDays.value,
      'days to lose one score',
      `They lose a condition score in ${counted(Math.round(standing.daysToOneScore), 'day')}.`,
    );
  }
  for (const { lotName, daysSinceSample } of standing.tests) {
    if (daysSinceSample === null) raise('test-missing', 0, 1, 'tests', `${lotName} has no lab test.`);
    else if (daysSinceSample > CONCERN_GUIDES.testOldDays.value)
      raise(
        'test-old',
        daysSinceSample,
        CONCERN_GUIDES.testOldDays.value,
        'days since sampling',
        `${lotName} was sampled ${counted(Math.round(daysSinceSample), 'day')} ago.`,
      );
  }
  return raised.sort((a, b) => b.weight - a.weight || sizeOf(b) - sizeOf(a));
}

type Coded = Pick<RaisedCaution, 'code' | 'severity'>;

/** Whether a caution of the judge is told in a list of herds: all are, but those that are named with a reason. */
export function isListed(caution: Coded): boolean {
  return !CAUTIONS_NOT_LISTED.some(
    ({ code = caution.code, severity = caution.severity }) => code === caution.code && severity === caution.severity,
  );
}

const concernOf = ({ code, severity }: Coded): ConcernCode =>
  severity === 'danger' ? 'danger' : (CONCERN_OF_CAUTION[code] ?? 'watch');

type Raise = (code: ConcernCode, given: number, threshold: number, unit: string, words: string) => void;

/** Whatever the evaluation calls short or excess, in the weight it deserves. */
function nutrientConcern(
  { nutrient, verdict, surplusPercent, abovePercent = null }: HerdStanding['nutrients'][number],
  raise: Raise,
): void {
  const share = surplusPercent ?? 0;
  if (verdict === 'excess') {
    const held = nutrient === 'dryMatter' || nutrient === 'fiberCapacity';
    const most = held ? 'the most they can hold' : 'the most they should get';
    const words =
      abovePercent === null || abovePercent <= 0
        ? `${spelledNutrient(nutrient)} may be above ${most}.`
        : `${spelledNutrient(nutrient)} is ${atLeastOne(abovePercent)} % above ${most}.`;
    raise('nutrient-excess', Math.max(0, abovePercent ?? 0), 0, '% above the most', words);
  }
  if (verdict !== 'short') return;
  // Dry matter is compared with what the cattle would eat: those fed less of a better hay may lack nothing else.
  if (nutrient === 'dryMatter')
    raise(
      'dry-matter-short',
      share,
      0,
      '% of what they would eat',
      `Dry matter is ${belowWords(share)} they would eat.`,
    );
  // Minerals are usually fed besides the hay, so a shortage in the hay alone counts less.
  else
    raise(
      (MINERALS as readonly Nutrient[]).includes(nutrient) ? 'mineral-short' : 'nutrient-short',
      share,
      0,
      '% of the need',
      `${spelledNutrient(nutrient)} is ${plain(Math.abs(share), 0)} % below the need.`,
    );
}

const belowWords = (share: number): string => `${plain(Math.abs(share), 0)} % below what`;

/** No excess is told as 0 %. */
const atLeastOne = (percent: number): string => (percent < 1 ? 'less than 1' : plain(percent, 0));

function noRationWords({ fedLately }: HerdStanding): string {
  if (fedLately === undefined || fedLately === null) return 'No ration is in use.';
  const { fromDay, untilDay, daysAgo, judged } = fedLately;
  return judged
    ? `No ration is in use; the herd is judged by what it was fed from ${fromDay} to ${untilDay}.`
    : `No ration is in use, and the last feeding on record is of ${untilDay}, ${counted(daysAgo, 'day')} ago.`;
}

/** One number to sort herds by: the most serious concern first, then how many there are. 0 where there is none. */
export function concernRank(concerns: readonly Concern[]): number {
  const worst = concerns.reduce((most, { weight }) => Math.max(most, weight), 0);
  return worst * 100 + Math.min(concerns.length, 99);
}

function gainConcern(
  { targetGainKgPerDay: target, expectedGainKgPerDay: expected, measuredGain: measured }: HerdStanding,
  raise: Raise,
): void {
  if (target === null || target <= 0) return;
  const allowed = Math.max(
    target * CONCERN_GUIDES.gainOffTargetShare.value,
    CONCERN_GUIDES.gainOffTargetKgPerDay.value,
  );
  if (measured !== null && Math.abs(measured.kgPerDay - target) > allowed) {
    raise(
      measured.kgPerDay < target ? 'measured-gain-below-target' : 'measured-gain-above-target',
      measured.kgPerDay,
      target,
      'kg/d',
      `From ${measured.fromDay} to ${measured.untilDay} they gained ` +
        `${plain((measured.kgPerDay / target) * 100, 0)} % of what is wanted.`,
    );
  }
  if (expected === null) return;
  if (expected < target - allowed)
    raise(
      'gain-below-target',
      expected,
      target,
      'kg/d',
      expected < 0
        ? 'The ration does not hold their weight: they lose where gain is wanted.'
        : `The ration allows ${plain((expected / target) * 100, 0)} % of the target gain.`,
    );
  if (expected > target + allowed)
    raise(
      'gain-above-target',
      expected,
      target,
      'kg/d',
      `The ration allows ${plain((expected / target) * 100, 0)} % of the target gain.`,
    );
}

function sizeOf({ given, threshold }: Concern): number {
  return Math.abs(given - threshold) / Math.max(Math.abs(threshold), 1);
}
