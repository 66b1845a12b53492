import { type Refusal, refused } from '../outcome/outcome.js';
import { dunnettShare } from './dunnett.js';
import { futilityPlanned, type FutilityPlanned, futilityPlannedInWords } from './futility.js';
import { aimsOf } from './plan-aims.js';
import { planCautions } from './plan-cautions.js';
import { type DesignPromised, designPlanInWords, planDesign } from './plan-design.js';
import { problemsOfPlan } from './plan-problems.js';
import { lookBoundaries, type LookBoundary, type SpendingKind } from './planned-looks.js';
import type { TrialMethod } from './compare-arms.js';
import type { PowerCurvePoint } from './power.js';
import { powerOfAnalysis, unitsByAnalysis, visibleByAnalysis } from './power-of-analysis.js';
import { protocolSheet, type ProtocolSheet } from './protocol-sheet.js';
import type { TrialCaution } from './trial-cautions.js';
import { DEFAULT_DAILY_GAIN_SPREAD, DEFAULT_LOSSES, DEFAULT_WEIGHING_SPREAD } from './trial.data.js';
import { daysOfGain, type TrialDesign } from './trial-design.js';
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
   * Of one weight of one animal from day to day (fill and scale); null takes the stated default. Added to the default
   * or own sd for the length of this trial.
   */
  readonly weighingSd: { readonly kg: number; readonly source: string } | null;
  /** Shares expected to be lost before their end weight; null takes the stated default for cattle and none for pens. */
  readonly losses: { readonly cattle: number; readonly pens: number; readonly source: string } | null;
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
  /** Also asks whether the feedings differ by less than the hoped difference (see equivalence.ts); no if absent. */
  readonly equivalence?: boolean;
  readonly looks: { readonly fractions: readonly number[]; readonly kind: SpendingKind } | null;
  /** Periods or blocks (see trial-design.ts); arms side by side if null or absent. */
  readonly design?: TrialDesign | null;
  /** Conditional power below which a planned look calls the trial futile (see futility.ts); not asked if null. */
  readonly futility?: number | null;
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
  /** Of one weight on one day, kilograms. */
  readonly weighingKg: number;
  readonly weighingSource: string;
  readonly weighingIsDefault: boolean;
}

/** What a plan allows for that will not be there at the end. Shares. */
export interface PlannedLosses {
  readonly cattle: number;
  readonly pens: number;
  readonly source: string;
  readonly isDefault: boolean;
}

export interface TrialPlan {
  readonly ok: true;
  readonly question: string;
  readonly unit: 'animal' | 'pen';
  readonly sd: PlannedSpread;
  readonly losses: PlannedLosses;
  /** Two-sided alpha of one comparison at the final look. */
  readonly alpha: number;
  readonly confidence: number;
  readonly powerAimedFor: number;
  readonly powerAtHopedDifference: number | null;
  readonly smallestVisibleDifferenceKgPerDay: number | null;
  readonly unitsPerArmForHopedDifference: number | null;
  readonly curve: readonly PowerCurvePoint[];
  /** Chance of showing no worthwhile difference where there is none, and units an arm for the power aimed for. */
  readonly equivalence: { readonly power: number | null; readonly unitsPerArm: number | null } | null;
  /** Only where the plan asks for it. */
  readonly futility: FutilityPlanned | null;
  /** Only with periods or blocks. */
  readonly design: DesignPromised | null;
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
 * kilograms a day, days. Several changes share the error as the judgement shares it (see shared-error.ts); several
 * looks by the spending function named. Sources: power of the analysis that will run (see power-of-analysis.ts), Lan
 * and DeMets 1983 (see planned-looks.ts), the default spread in trial.data.ts.
 * @returns a refusal with codes `trial.arms`, `trial.units`, `trial.length`, `trial.hoped-difference`, `trial.spread`,
 * `trial.losses`, `trial.confidence`, `trial.power`, `trial.looks`, `trial.look-not-weighed`, `trial.design`,
 * `trial.futility`.
 */
export function planTrial(request: TrialPlanRequest): TrialPlan | Refusal {
  const problems = problemsOfPlan(request);
  if (problems.length > 0) return refused(problems);
  const { confidence, power } = aimsOf(request);
  const losses = lossesOf(request);
  const sd = spreadOf(request, losses);
  const { alpha, apart, looks, error } = errorOf(request, confidence);
  const lost = request.unit === 'animal' ? losses.cattle : losses.pens;
  const designed = planDesign(request, { sd, alpha: apart, lost: losses.pens, power });
  const beside = designed ? null : sightOf(request, { ...error, sd: sd.unitKgPerDay, lost, power });
  const sight = designed ?? beside;
  const equivalence = designed
    ? designed.equivalence
    : request.equivalence === true
      ? equivalenceOf(request, { sd: sd.unitKgPerDay, alpha: apart, lost, power })
      : null;
  const futility = futilityOfPlan(request, { sd: sd.unitKgPerDay, finalAlpha: apart });
  return {
    ok: true,
    question: request.question,
    unit: request.unit,
    sd,
    losses,
    alpha,
    confidence,
    powerAimedFor: power,
    powerAtHopedDifference: sight?.powerAtHoped ?? null,
    smallestVisibleDifferenceKgPerDay: sight?.visible ?? null,
    unitsPerArmForHopedDifference: sight?.needed ?? null,
    curve: sight?.curve ?? [],
    equivalence,
    futility,
    design: designed?.promised ?? null,
    looks,
    protocol: protocolSheet({
      lengthDays: request.lengthDays,
      twoDays: request.twoWeighingDays,
      fill: request.fill,
      hoursOffFeed: request.hoursOffFeed,
      interimDays: request.interimWeighingDays,
      unit: request.unit,
      design: request.design ?? null,
    }),
    cautions: planCautions(request, sd, losses),
    words: [
      ...(designed ? designPlanInWords(request, designed, power) : []),
      ...(beside ? sightInWords(request, beside, power) : []),
      ...equivalenceInWords(request, equivalence, power),
      restsOnInWords(request, sd),
      lossesInWords(request, losses),
      ...looksInWords(looks, confidence),
      ...(futility === null ? [] : futilityPlannedInWords(futility)),
    ],
    limits: limitsInWords({ classOfAnimals: request.classOfAnimals, season: request.season, hay: request.hay }),
  };
}

function lossesOf({ losses }: TrialPlanRequest): PlannedLosses {
  return losses === null
    ? { cattle: DEFAULT_LOSSES.value, pens: 0, source: DEFAULT_LOSSES.source, isDefault: true }
    : { ...losses, isDefault: false };
}

function spreadOf(request: TrialPlanRequest, losses: PlannedLosses): PlannedSpread {
  const { unit, headPerUnit, lengthDays, twoWeighingDays, design } = request;
  const animalKgPerDay = request.dailyGainSd?.kgPerDay ?? DEFAULT_DAILY_GAIN_SPREAD.sdKgPerDay;
  const weighingKg = request.weighingSd?.kg ?? DEFAULT_WEIGHING_SPREAD.value;
  // Start and end weight each carry the day's fill; two days in a row halve its variance.
  const weighingKgPerDay =
    (Math.SQRT2 * weighingKg) / Math.sqrt(twoWeighingDays ? 2 : 1) / daysOfGain(design, lengthDays);
  const penKgPerDay = unit === 'pen' ? (request.penToPenSdKgPerDay ?? 0) : 0;
  // Cattle that are lost leave fewer to the mean of their pen.
  const headAtEnd = unit === 'pen' ? Math.max(1, headPerUnit * (1 - losses.cattle)) : 1;
  return {
    unitKgPerDay: Math.sqrt((animalKgPerDay ** 2 + weighingKgPerDay ** 2) / headAtEnd + penKgPerDay ** 2),
    animalKgPerDay,
    weighingKgPerDay,
    penKgPerDay,
    source: request.dailyGainSd?.source ?? DEFAULT_DAILY_GAIN_SPREAD.source,
    isDefault: request.dailyGainSd === null,
    weighingKg,
    weighingSource: request.weighingSd?.source ?? DEFAULT_WEIGHING_SPREAD.source,
    weighingIsDefault: request.weighingSd === null,
  };
}

/** How the error is shared, as `powerOfAnalysis` takes it. */
interface ErrorPlanned {
  /** Of all comparisons together. */
  readonly alpha: number;
  readonly changes: number;
  readonly dunnett: boolean;
}

/** Two-sided alpha of one comparison at the last look, how the error is shared, and the boundaries of all looks. */
function errorOf(
  { arms, unitsPerArm, method = 'analysis-of-covariance', looks: planned, design = null }: TrialPlanRequest,
  confidence: number,
): { alpha: number; apart: number; looks: LookBoundary[]; error: ErrorPlanned } {
  const changes = arms.filter((arm) => arm.role === 'change').length;
  const share = (1 - confidence) / changes;
  const looks =
    planned === null ? [] : lookBoundaries({ fractions: planned.fractions, alpha: share, kind: planned.kind });
  const dunnett = looks.length <= 1 && changes > 1 && method !== 'welch' && design === null;
  const apart = looks.at(-1)?.nominalAlpha ?? share;
  const degreesOfFreedom = arms.length * (unitsPerArm - 1) - 1;
  const sizes = { usual: unitsPerArm, changes: new Array<number>(changes).fill(unitsPerArm) };
  return {
    alpha: dunnett && unitsPerArm > 1 ? dunnettShare({ alpha: 1 - confidence, degreesOfFreedom, sizes }) : apart,
    apart,
    looks,
    error: { alpha: dunnett ? 1 - confidence : apart * changes, changes, dunnett },
  };
}

function futilityOfPlan(
  { futility = null, looks, unitsPerArm, hopedDifferenceKgPerDay: hoped }: TrialPlanRequest,
  { sd, finalAlpha }: { sd: number; finalAlpha: number },
): FutilityPlanned | null {
  if (futility === null || looks === null || unitsPerArm < 2) return null;
  const drift = (hoped / sd) * Math.sqrt(unitsPerArm / 2);
  return futilityPlanned({ threshold: futility, fractions: looks.fractions, finalAlpha, drift });
}

/** What the trial can see. Differences in kilograms a day. */
interface Sight {
  /** Smallest difference seen with the power aimed for; null with one unit per arm, or where too many may be lost. */
  readonly visible: number | null;
  readonly powerAtHoped: number | null;
  /** Units an arm for the hoped difference; null where no number that can be kept is enough. */
  readonly needed: number | null;
  readonly curve: readonly PowerCurvePoint[];
  readonly visibleWith: (perArm: number) => number | null;
}

function sightOf(
  { unitsPerArm: perArm, hopedDifferenceKgPerDay: hoped, method = 'analysis-of-covariance' }: TrialPlanRequest,
  { power, ...error }: ErrorPlanned & { sd: number; lost: number; power: number },
): Sight {
  const testable = perArm >= 2;
  const visibleWith = (units: number) => visibleByAnalysis({ method, perArm: units, power, ...error });
  const heads = [...new Set([...CURVE_UNITS, perArm])].filter((n) => n >= 2).sort((one, other) => one - other);
  return {
    visible: testable ? visibleWith(perArm) : null,
    powerAtHoped: testable ? powerOfAnalysis({ method, perArm, difference: hoped, ...error }) : null,
    needed: unitsByAnalysis({ method, difference: hoped, power, most: MOST_UNITS, ...error }),
    curve: heads.flatMap((units) => {
      const smallestVisibleDifference = visibleWith(units);
      return smallestVisibleDifference === null ? [] : [{ perArm: units, smallestVisibleDifference }];
    }),
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
  const [ten, twenty] = [sight.visibleWith(10), sight.visibleWith(20)];
  return [
    visible === null
      ? request.unitsPerArm < 2
        ? `With one ${unit} per arm no test can tell the feeding from the ${unit}: the trial can describe, not prove.`
        : `So many ${name} may be lost that no difference would be seen in ${percent(power)} of such trials.`
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
    ...(unit === 'animal' && ten !== null && twenty !== null
      ? [
          `For comparison over ${lengthDays} days: 10 head per arm see ${up(ten)} ${perDay} or ` +
            `more, 20 head per arm ${up(twenty)} ${perDay} or more.`,
        ]
      : []),
  ];
}

/** `alpha` is that of one comparison at the last look, by Bonferroni. */
function equivalenceOf(
  request: TrialPlanRequest,
  { power, ...given }: { sd: number; alpha: number; lost: number; power: number },
): TrialPlan['equivalence'] {
  const { method = 'analysis-of-covariance', unitsPerArm: perArm, hopedDifferenceKgPerDay: difference, arms } = request;
  const changes = arms.length - 1;
  const asked = { ...given, method, difference, changes, alpha: given.alpha * changes, equivalence: true };
  return {
    power: perArm < 2 ? null : powerOfAnalysis({ ...asked, perArm }),
    unitsPerArm: unitsByAnalysis({ ...asked, power, most: MOST_UNITS }),
  };
}

function equivalenceInWords(request: TrialPlanRequest, found: TrialPlan['equivalence'], power: number): string[] {
  if (!found) return [];
  const { unit, wordsIn: toldIn } = request;
  const margin = `${shown(request.hopedDifferenceKgPerDay, toldIn).toFixed(2)} ${toldIn} a day`;
  return [
    (found.power === null
      ? 'The trial cannot show that there is no worthwhile difference. '
      : `If the feedings do not differ, ${percent(Math.floor(found.power * 100) / 100)} of such trials would show ` +
        `that they differ by less than ${margin}. `) +
      (found.unitsPerArm === null
        ? ''
        : `For ${percent(power)} it takes ${found.unitsPerArm} ${unit === 'pen' ? 'pens' : 'head'} per arm.`),
  ];
}

function analysisInWords(method: TrialMethod, design: TrialDesign | null): string {
  if (design !== null) return 'a mixed model with pens or blocks at random';
  return method === 'welch' ? 'Welch' : 'covariance on start weight';
}

/** What the promise of a plan stands on. */
function restsOnInWords(
  { method = 'analysis-of-covariance', unit, wordsIn: toldIn, design = null }: TrialPlanRequest,
  sd: PlannedSpread,
): string {
  const told = (kg: number) => `${shown(kg, toldIn).toFixed(2)} ${toldIn} a day`;
  return (
    `That rests on the analysis that will judge it (${analysisInWords(method, design)}), ` +
    `on a spread of ${told(sd.unitKgPerDay)} between ${unit === 'pen' ? 'pens' : 'animals'} fed alike, ` +
    `with ${told(sd.weighingKgPerDay)} added for each animal's fill and the scale ` +
    `(${shown(sd.weighingKg, toldIn).toFixed(1)} ${toldIn} from day to day: ${sd.weighingSource}), ` +
    (design === null
      ? 'and on start weight explaining none of it.'
      : 'and, as the worst case, on all that sets pens apart changing from period to period or from pen to neighbor.')
  );
}

function lossesInWords({ unit, unitsPerArm }: TrialPlanRequest, { cattle, pens, source }: PlannedLosses): string {
  const share = (of: number) => percent(of, of * 100 === Math.round(of * 100) ? 0 : 1);
  const ofPens = unit === 'pen' ? `${share(pens)} of pens and ` : '';
  const left =
    unit === 'pen'
      ? ''
      : `: of ${unitsPerArm} head, about ${(unitsPerArm * (1 - cattle)).toFixed(1)} have an end weight`;
  return `${ofPens}${share(cattle)} of cattle are expected to be lost before their end weight (${source})${left}.`;
}

function looksInWords(looks: readonly LookBoundary[], confidence: number): string[] {
  if (looks.length <= 1) return [];
  return [
    `${looks.length} looks are planned; together they keep the chance of a false alarm at ` +
      `${percent(1 - confidence)}.`,
  ];
}
