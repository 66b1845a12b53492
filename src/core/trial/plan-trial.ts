import { lookBoundaries, type LookBoundary, type SpendingKind } from './planned-looks.js';
import {
  smallestVisibleDifference,
  twoSampleTPower,
  unitsPerArm,
  visibleDifferenceCurve,
  type PowerCurvePoint,
} from './power.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem, type Problem } from '../outcome/problem.js';
import { protocolSheet, type ProtocolSheet } from './protocol-sheet.js';
import { caution, designCautions, type TrialCaution } from './trial-cautions.js';
import { DEFAULT_DAILY_GAIN_SPREAD, TRIAL_CHOICES, UNIT_SOURCES } from './trial.data.js';
import type { TrialArm } from './trial-records.js';
import { limitsInWords } from './verdict.js';
import { percent, roundedUp, told, type ToldIn } from './words.js';

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
  /** Between pens fed alike, beyond what their animals explain; null is taken as none, with a caution. Pens only. */
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
  readonly confidence?: number;
  readonly power?: number;
  readonly looks: { readonly fractions: readonly number[]; readonly kind: SpendingKind } | null;
  readonly classOfAnimals: string;
  readonly season: string;
  readonly hay: string;
  readonly toldIn: ToldIn;
}

export interface TrialPlan {
  readonly ok: true;
  readonly question: string;
  readonly unit: 'animal' | 'pen';
  readonly sd: {
    /** Of one unit's daily gain in this trial, all parts together. */
    readonly unitKgPerDay: number;
    readonly animalKgPerDay: number;
    readonly weighingKgPerDay: number;
    readonly penKgPerDay: number;
    readonly source: string;
    readonly isDefault: boolean;
  };
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

function problemsOf(request: TrialPlanRequest): Problem[] {
  const problems: Problem[] = [];
  const need = (fine: boolean, code: string, field: keyof TrialPlanRequest, allowed: string, message: string) => {
    if (!fine) problems.push(problem(code, field, JSON.stringify(request[field] ?? null), allowed, message));
  };
  const usual = request.arms.filter((arm) => arm.role === 'usual').length;
  need(
    request.arms.length >= 2 && usual === 1 && new Set(request.arms.map((arm) => arm.id)).size === request.arms.length,
    'trial.arms',
    'arms',
    'one usual arm and one change or more, each once',
    'A trial compares changes with one usual feeding.',
  );
  need(
    Number.isInteger(request.unitsPerArm) && request.unitsPerArm >= 1,
    'trial.units',
    'unitsPerArm',
    'a whole number from 1',
    'How many animals or pens in each arm?',
  );
  need(
    Number.isInteger(request.headPerUnit) &&
      request.headPerUnit >= 1 &&
      (request.unit === 'pen' || request.headPerUnit === 1),
    'trial.units',
    'headPerUnit',
    'a whole number from 1; 1 when animals are the unit',
    'How many head in a pen?',
  );
  need(
    Number.isInteger(request.lengthDays) && request.lengthDays >= 1,
    'trial.length',
    'lengthDays',
    'a whole number of days from 1',
    'How many days?',
  );
  need(
    request.hopedDifferenceKgPerDay > 0 && Number.isFinite(request.hopedDifferenceKgPerDay),
    'trial.hoped-difference',
    'hopedDifferenceKgPerDay',
    'above 0',
    'Name the difference in daily gain that would make the change worthwhile.',
  );
  need(
    request.dailyGainSd === null || (request.dailyGainSd.kgPerDay > 0 && Number.isFinite(request.dailyGainSd.kgPerDay)),
    'trial.spread',
    'dailyGainSd',
    'above 0',
    'A standard deviation of daily gain is above zero.',
  );
  need(
    (request.weighingSdKg ?? 0) >= 0,
    'trial.spread',
    'weighingSdKg',
    '0 or more',
    'A standard deviation is not negative.',
  );
  need(
    (request.penToPenSdKgPerDay ?? 0) >= 0,
    'trial.spread',
    'penToPenSdKgPerDay',
    '0 or more',
    'A standard deviation is not negative.',
  );
  const confidence = request.confidence ?? TRIAL_CHOICES.confidence.value;
  const power = request.power ?? TRIAL_CHOICES.power.value;
  need(
    confidence >= 0.5 && confidence < 1,
    'trial.confidence',
    'confidence',
    'from 0.5 to below 1',
    'Confidence is a share.',
  );
  need(power >= 0.5 && power < 1, 'trial.power', 'power', 'from 0.5 to below 1', 'Power is a share.');
  const fractions = request.looks?.fractions ?? [1];
  need(
    fractions.length > 0 &&
      fractions.length <= 10 &&
      fractions.at(-1) === 1 &&
      fractions.every((fraction, i) => fraction > (fractions[i - 1] ?? 0)),
    'trial.looks',
    'looks',
    'up to 10 rising shares of the trial, the last 1',
    'Looks are planned as rising shares of the whole trial, ending with 1.',
  );
  return problems;
}

/**
 * Plans a feeding trial: what it can see, how many it would take, when to look and what to write down. Kilograms,
 * kilograms a day, days. Several changes share the error by Bonferroni; several looks by the spending function named.
 * Sources: noncentral t (see power.ts), Lan and DeMets 1983 (see planned-looks.ts), the default spread in
 * trial.data.ts.
 * @returns a refusal with codes `trial.arms`, `trial.units`, `trial.length`, `trial.hoped-difference`, `trial.spread`,
 * `trial.confidence`, `trial.power`, `trial.looks`.
 */
export function planTrial(request: TrialPlanRequest): TrialPlan | Refusal {
  const problems = problemsOf(request);
  if (problems.length > 0) return refused(problems);
  const { unit, headPerUnit, lengthDays, toldIn, hopedDifferenceKgPerDay } = request;
  const confidence = request.confidence ?? TRIAL_CHOICES.confidence.value;
  const power = request.power ?? TRIAL_CHOICES.power.value;
  const changes = request.arms.filter((arm) => arm.role === 'change').length;

  const isDefault = request.dailyGainSd === null;
  const animalKgPerDay = request.dailyGainSd?.kgPerDay ?? DEFAULT_DAILY_GAIN_SPREAD.sdKgPerDay;
  // Start and end weight each carry the day's fill; two days in a row halve its variance.
  const weighingKgPerDay =
    (Math.SQRT2 * (request.weighingSdKg ?? 0)) / Math.sqrt(request.twoWeighingDays ? 2 : 1) / lengthDays;
  const penKgPerDay = unit === 'pen' ? (request.penToPenSdKgPerDay ?? 0) : 0;
  const unitKgPerDay = Math.sqrt((animalKgPerDay ** 2 + weighingKgPerDay ** 2) / headPerUnit + penKgPerDay ** 2);

  const alphaPerComparison = (1 - confidence) / changes;
  const looks =
    request.looks === null
      ? []
      : lookBoundaries({ fractions: request.looks.fractions, alpha: alphaPerComparison, kind: request.looks.kind });
  const alpha = looks.at(-1)?.nominalAlpha ?? alphaPerComparison;
  const spread = { sd: unitKgPerDay, alpha };
  const testable = request.unitsPerArm >= 2;
  const visible = testable ? smallestVisibleDifference({ perArm: request.unitsPerArm, power, ...spread }) : null;
  const powerAtHoped = testable
    ? twoSampleTPower({ perArm: request.unitsPerArm, difference: hopedDifferenceKgPerDay, ...spread })
    : null;
  const needed = unitsPerArm({ difference: hopedDifferenceKgPerDay, power, most: 100_000, ...spread });
  const heads = [
    ...new Set([2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200, request.unitsPerArm]),
  ]
    .filter((n) => n >= 2)
    .sort((one, other) => one - other);
  const curve = visibleDifferenceCurve({ heads, power, ...spread });

  const name = unit === 'pen' ? 'pens' : 'head';
  const perDay = `${toldIn} a day`;
  const hoped = told(hopedDifferenceKgPerDay, toldIn).toFixed(2);
  const at = (perArm: number) => roundedUp(told(smallestVisibleDifference({ perArm, power, ...spread }), toldIn), 2);
  const cautions = [
    ...designCautions({
      lengthDays,
      unit,
      unitsPerArm: request.unitsPerArm,
      meanWeightKg: request.meanStartWeightKg,
      toldIn,
    }),
    ...(isDefault
      ? [
          caution(
            'trial.default-spread',
            `The spread of daily gain (${told(animalKgPerDay, toldIn).toFixed(2)} ${perDay}) is a default from ` +
              `${DEFAULT_DAILY_GAIN_SPREAD.animals} over ${DEFAULT_DAILY_GAIN_SPREAD.days} days, not your own.`,
            { value: animalKgPerDay, unit: 'kg a day' },
            DEFAULT_DAILY_GAIN_SPREAD.source,
          ),
        ]
      : []),
    ...(isDefault && lengthDays < DEFAULT_DAILY_GAIN_SPREAD.days && request.weighingSdKg === null
      ? [
          caution(
            'trial.spread-from-longer-trial',
            `Gains over ${lengthDays} days spread more than over ${DEFAULT_DAILY_GAIN_SPREAD.days} days, ` +
              'because the same difference in gut fill is divided by fewer days. Without a figure for the ' +
              'weighing this plan is a best case.',
            { value: lengthDays, unit: 'days' },
            DEFAULT_DAILY_GAIN_SPREAD.source,
          ),
        ]
      : []),
    ...(unit === 'pen' && request.penToPenSdKgPerDay === null
      ? [
          caution(
            'trial.pen-spread-unknown',
            'How much pens fed alike differ is not known and was taken as nothing: this plan is a best case.',
            null,
            UNIT_SOURCES.penIsTheUnit,
          ),
        ]
      : []),
  ];
  return {
    ok: true,
    question: request.question,
    unit,
    sd: {
      unitKgPerDay,
      animalKgPerDay,
      weighingKgPerDay,
      penKgPerDay,
      source: request.dailyGainSd?.source ?? DEFAULT_DAILY_GAIN_SPREAD.source,
      isDefault,
    },
    alpha,
    confidence,
    powerAimedFor: power,
    powerAtHopedDifference: powerAtHoped,
    smallestVisibleDifferenceKgPerDay: visible,
    unitsPerArmForHopedDifference: needed,
    curve,
    looks,
    protocol: protocolSheet({
      lengthDays,
      twoDays: request.twoWeighingDays,
      fill: request.fill,
      hoursOffFeed: request.hoursOffFeed,
      interimDays: request.interimWeighingDays,
      unit,
    }),
    cautions,
    words: [
      visible === null
        ? `With one ${unit} an arm no test can tell the feeding from the ${unit}: the trial can describe, not prove.`
        : `With ${request.unitsPerArm} ${name} an arm over ${lengthDays} days, a true difference of ` +
          `${roundedUp(told(visible, toldIn), 2)} ${perDay} or more would be seen in at least ${percent(power)} ` +
          'of such trials. Smaller differences will mostly be missed, even if they are there.',
      ...(powerAtHoped === null
        ? []
        : [
            `A true difference of ${hoped} ${perDay} would be seen in ` +
              `${percent(Math.floor(powerAtHoped * 100) / 100)} of such trials.`,
          ]),
      needed === null
        ? `No number of ${name} that can be kept would show ${hoped} ${perDay}.`
        : `To see ${hoped} ${perDay} in ${percent(power)} of such trials takes ${needed} ${name} an arm.`,
      ...(unit === 'animal'
        ? [
            `For comparison over ${lengthDays} days: 10 head an arm see ${at(10)} ${perDay} or more, 20 head an ` +
              `arm ${at(20)} ${perDay} or more.`,
          ]
        : []),
      ...(looks.length > 1
        ? [
            `${looks.length} looks are planned; together they keep the chance of a false alarm at ` +
              `${percent(1 - confidence)}.`,
          ]
        : []),
    ],
    limits: limitsInWords({ classOfAnimals: request.classOfAnimals, season: request.season, hay: request.hay }),
  };
}
