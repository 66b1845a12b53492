import { type Refusal, refused } from '../outcome/outcome.js';
import { aimsOf } from './plan-aims.js';
import { planCautions } from './plan-cautions.js';
import { problemsOfPlan } from './plan-problems.js';
import { lookBoundaries, type LookBoundary, type SpendingKind } from './planned-looks.js';
import type { TrialMethod } from './compare-arms.js';
import type { PowerCurvePoint } from './power.js';
import { powerOfAnalysis, unitsByAnalysis, visibleByAnalysis } from './power-of-analysis.js';
import { protocolSheet, type ProtocolSheet } from './protocol-sheet.js';
import type { TrialCaution } from './trial-cautions.js';
import { DEFAULT_DAILY_GAIN_SPREAD } from './trial.data.js';
import type { TrialArm } from './trial-records.js';
import { limitsInWords } from './verdict.js';
import { percent, roundedUp, shown, type WordUnit } from './words.js';

export interface TrialPlanRequest {
  readonly question: string;
  readonly arms: readonly TrialArm[];
  /** What is fed apart: single animals, or pens. */
  readonly unit: 'animal' | 'pen';
  readonly unitsPerArm: number;
  /** Head in one pen; 1 when animals are the unit. */
  readonly headPerUnit: number;
  readonly lengthDays: number;
  /** Between animals fed alike; null takes the stated default. */
  readonly dailyGainSd: { readonly kgPerDay: number; readonly source: string } | null;
  /** Between pens fed alike, beyond what their animals explain; null counts as zero, with a caution. Pens only. */
  readonly penToPenSdKgPerDay: number | null;
  /**
   * Of one weight of one animal from day to day (fill and scale); null if unknown. Added to the default or own sd for
   * the length of this trial.
   */
  readonly weighingSdKg: number | null;
  readonly twoWeighingDays: boolean;
  readonly fill: 'full' | 'shrunk';
  readonly hoursOffFeed: number;
  readonly interimWeighingDays: readonly number[];
  readonly hopedDifferenceKgPerDay: number;
  readonly meanStartWeightKg: number | null;
  /** Analysis that will judge it; covariance on start weight if absent. */
  readonly method?: TrialMethod;
  readonly confidence?: number;
  readonly power?: number;
  readonly looks: { readonly fractions: readonly number[]; readonly kind: SpendingKind } | null;
  readonly classOfAnimals: string;
  readonly season: string;
  readonly hay: string;
  readonly wordsIn: WordUnit;
}

/** Standard deviations of daily gain that the plan uses, in kilograms a day. */
export interface PlannedSpread {
  /** Of one unit's daily gain in this trial, all parts together. */
  readonly unitKgPerDay: number;
  readonly animalKgPerDay: number;
  readonly weighingKgPerDay: number;
  readonly penKgPerDay: number;
  readonly source: string;
  readonly isDefault: boolean;
}

export interface TrialPlan {
  readonly ok: true;
  readonly question: string;
  readonly unit: 'animal' | 'pen';
  readonly sd: PlannedSpread;
  /** Two-sided alpha of one comparison at the final look. */
  readonly alpha: number;
  readonly confidence: number;
  readonly powerAimedFor: number;
  readonly powerAtHopedDifference: number | null;
  readonly smallestVisibleDifferenceKgPerDay: number | null;
  readonly unitsPerArmForHopedDifference: number | null;
  readonly curve: readonly PowerCurvePoint[];
  readonly looks: readonly LookBoundary[];
  readonly protocol: ProtocolSheet;
  readonly cautions: readonly TrialCaution[];
  readonly words: readonly string[];
  readonly limits: readonly string[];
}

/** Head or pens per arm for which the smallest visible difference is always given. */
const CURVE_UNITS = [2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200];
/** More units per arm than this are reported as more than anyone can keep. */
const MOST_UNITS = 100_000;

/**
 * Plans a feeding trial: what it can see, how many it would take, when to look and what to write down. Kilograms,
 * kilograms a day, days. Several changes share the error by Bonferroni; several looks by the spending function named.
 * Sources: power of the analysis that will run (see power-of-analysis.ts), Lan and DeMets 1983 (see planned-looks.ts),
 * the default spread in trial.data.ts.
 * @returns a refusal with codes `trial.arms`, `trial.units`, `trial.length`, `trial.hoped-difference`, `trial.spread`,
 * `trial.confidence`, `trial.power`, `trial.looks`, `trial.look-not-weighed`.
 */
export function planTrial(request: TrialPlanRequest): TrialPlan | Refusal {
  const problems = problemsOfPlan(request);
  if (problems.length > 0) return refused(problems);
  const { confidence, power } = aimsOf(request);
  const sd = spreadOf(request);
  const { alpha, looks } = errorOf(request, confidence);
  const sight = sightOf(request, { sd: sd.unitKgPerDay, alpha, power });
  return {
    ok: true,
    question: request.question,
    unit: request.unit,
    sd,
    alpha,
    confidence,
    powerAimedFor: power,
    powerAtHopedDifference: sight.powerAtHoped,
    smallestVisibleDifferenceKgPerDay: sight.visible,
    unitsPerArmForHopedDifference: sight.needed,
    curve: sight.curve,
    looks,
    protocol: protocolSheet({
      lengthDays: request.lengthDays,
      twoDays: request.twoWeighingDays,
      fill: request.fill,
      hoursOffFeed: request.hoursOffFeed,
      interimDays: request.interimWeighingDays,
      unit: request.unit,
    }),
    cautions: planCautions(request, sd),
    words: [...sightInWords(request, sight, power), restsOnInWords(request, sd), ...looksInWords(looks, confidence)],
    limits: limitsInWords({ classOfAnimals: request.classOfAnimals, season: request.season, hay: request.hay }),
  };
}

function spreadOf(request: TrialPlanRequest): PlannedSpread {
  const { unit, headPerUnit, lengthDays } = request;
  const animalKgPerDay = request.dailyGainSd?.kgPerDay ?? DEFAULT_DAILY_GAIN_SPREAD.sdKgPerDay;
  // Start and end weight each carry the day's fill; two days in a row halve its variance.
  const weighingKgPerDay =
    (Math.SQRT2 * (request.weighingSdKg ?? 0)) / Math.sqrt(request.twoWeighingDays ? 2 : 1) / lengthDays;
  const penKgPerDay = unit === 'pen' ? (request.penToPenSdKgPerDay ?? 0) : 0;
  return {
    unitKgPerDay: Math.sqrt((animalKgPerDay ** 2 + weighingKgPerDay ** 2) / headPerUnit + penKgPerDay ** 2),
    animalKgPerDay,
    weighingKgPerDay,
    penKgPerDay,
    source: request.dailyGainSd?.source ?? DEFAULT_DAILY_GAIN_SPREAD.source,
    isDefault: request.dailyGainSd === null,
  };
}

/** Two-sided alpha of one comparison at the last look, and the boundaries of all looks. */
function errorOf(
  { arms, looks: planned }: TrialPlanRequest,
  confidence: number,
): { alpha: number; looks: LookBoundary[] } {
  const share = (1 - confidence) / arms.filter((arm) => arm.role === 'change').length;
  const looks =
    planned === null ? [] : lookBoundaries({ fractions: planned.fractions, alpha: share, kind: planned.kind });
  return { alpha: looks.at(-1)?.nominalAlpha ?? share, looks };
}

/** What the trial can see. Differences in kilograms a day. */
interface Sight {
  /** Smallest difference seen with the power aimed for; null with one unit per arm, which no test can judge. */
  readonly visible: number | null;
  readonly powerAtHoped: number | null;
  /** Units an arm for the hoped difference; null where no number that can be kept is enough. */
  readonly needed: number | null;
  readonly curve: readonly PowerCurvePoint[];
  readonly visibleWith: (perArm: number) => number;
}

function sightOf(
  { unitsPerArm: perArm, hopedDifferenceKgPerDay: hoped, method = 'analysis-of-covariance' }: TrialPlanRequest,
  { sd, alpha, power }: { sd: number; alpha: number; power: number },
): Sight {
  const testable = perArm >= 2;
  const visibleWith = (units: number) => visibleByAnalysis({ method, perArm: units, power, sd, alpha });
  const heads = [...new Set([...CURVE_UNITS, perArm])].filter((n) => n >= 2).sort((one, other) => one - other);
  return {
    visible: testable ? visibleWith(perArm) : null,
    powerAtHoped: testable ? powerOfAnalysis({ method, perArm, difference: hoped, sd, alpha }) : null,
    needed: unitsByAnalysis({ method, difference: hoped, power, most: MOST_UNITS, sd, alpha }),
    curve: heads.map((units) => ({ perArm: units, smallestVisibleDifference: visibleWith(units) })),
    visibleWith,
  };
}

function sightInWords(request: TrialPlanRequest, sight: Sight, power: number): string[] {
  const { unit, lengthDays, wordsIn: toldIn } = request;
  const { visible, powerAtHoped, needed } = sight;
  const name = unit === 'pen' ? 'pens' : 'head';
  const perDay = `${toldIn} a day`;
  const hoped = shown(request.hopedDifferenceKgPerDay, toldIn).toFixed(2);
  const up = (kgPerDay: number) => roundedUp(shown(kgPerDay, toldIn), 2);
  return [
    visible === null
      ? `With one ${unit} per arm no test can tell the feeding from the ${unit}: the trial can describe, not prove.`
      : `With ${request.unitsPerArm} ${name} per arm over ${lengthDays} days, a true difference of ` +
        `${up(visible)} ${perDay} or more would be seen in at least ${percent(power)} ` +
        'of such trials. Smaller differences will mostly be missed, even if they are there.',
    ...(powerAtHoped === null
      ? []
      : [
          `A true difference of ${hoped} ${perDay} would be seen in ` +
            `${percent(Math.floor(powerAtHoped * 100) / 100)} of such trials.`,
        ]),
    needed === null
      ? `No number of ${name} that can be kept would show ${hoped} ${perDay}.`
      : `To see ${hoped} ${perDay} in ${percent(power)} of such trials takes ${needed} ${name} per arm.`,
    ...(unit === 'animal'
      ? [
          `For comparison over ${lengthDays} days: 10 head per arm see ${up(sight.visibleWith(10))} ${perDay} or ` +
            `more, 20 head per arm ${up(sight.visibleWith(20))} ${perDay} or more.`,
        ]
      : []),
  ];
}

/** What the promise of a plan stands on. */
function restsOnInWords(
  { method = 'analysis-of-covariance', unit, weighingSdKg, wordsIn: toldIn }: TrialPlanRequest,
  sd: PlannedSpread,
): string {
  const told = (kg: number) => `${shown(kg, toldIn).toFixed(2)} ${toldIn} a day`;
  return (
    `That rests on the analysis that will judge it (${method === 'welch' ? 'Welch' : 'covariance on start weight'}), ` +
    `on a spread of ${told(sd.unitKgPerDay)} between ${unit === 'pen' ? 'pens' : 'animals'} fed alike, ` +
    (weighingSdKg === null
      ? 'with nothing added for the day’s fill and the scale, which were not stated'
      : `of it ${told(sd.weighingKgPerDay)} for the day’s fill and the scale`) +
    ', on start weight explaining none of it, and on no animal being lost.'
  );
}

function looksInWords(looks: readonly LookBoundary[], confidence: number): string[] {
  if (looks.length <= 1) return [];
  return [
    `${looks.length} looks are planned; together they keep the chance of a false alarm at ` +
      `${percent(1 - confidence)}.`,
  ];
}
