import { z } from 'zod';
import { allocate } from '../../core/trial/allocate.js';
import { analysisOfCovariance } from '../../core/trial/analysis-of-covariance.js';
import type { AnimalResult } from '../../core/trial/analysis-sets.js';
import type { ArmOutcome } from '../../core/trial/arm-outcome.js';
import { describe as describeValues } from '../../core/trial/descriptive.js';
import type { Triple } from '../../core/trial/if-it-held.js';
import type { PartialBudget } from '../../core/trial/partial-budget.js';
import { judgeTrial } from '../../core/trial/judge-trial.js';
import type { ComparisonJudged, SetJudged } from '../../core/trial/judgement/judgement.js';
import { planTrial, type TrialPlan } from '../../core/trial/plan-trial.js';
import {
  exactUnitsPerArm,
  lehrUnitsPerArm,
  normalUnitsPerArm,
  smallestVisibleDifference,
  twoSampleTPower,
  unitsPerArm,
  visibleDifferenceCurve,
} from '../../core/trial/power.js';
import { isSeed } from '../../core/trial/seeded-random.js';
import type { TrialCaution } from '../../core/trial/trial-cautions.js';
import { DAILY_GAIN_SPREADS, TRIAL_CHOICES } from '../../core/trial/trial.data.js';
import { ANIMAL_EVENTS } from '../../core/trial/trial-records.js';
import { type Difference, pooledDifference, welchDifference } from '../../core/trial/two-sample.js';
import { Mass } from '../../core/units/mass.js';
import { Money } from '../../core/units/money.js';
import { currency, massInOrZero, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import { type Calculation, calculation, type Source } from './calculation.js';
import {
  accepted,
  figure,
  figureOrNull,
  figureOut,
  gainIn,
  kilograms,
  massIn,
  massOut,
  moneyIn,
  moneyOut,
  present,
  priceIn,
  pricePerMassOut,
  share,
  type Spelling,
  tidy,
  tidyOrNull,
  toKgPerDay,
  toMass,
  toMoney,
  toPrice,
  formatDecimal,
  formatMass,
  formatMoney,
  formatPrice,
} from './quantities.js';

const label = z.string().trim().min(1).max(80);
const confidenceIn = z.number().min(50).lt(100).default(95).describe('Confidence of the interval, %');
const WELCH: Source = {
  formula: 't = (m2 − m1)/√(s1²/n1 + s2²/n2), degrees of freedom after Satterthwaite',
  author: 'Welch',
  year: 1947,
  where: 'Biometrika 34:28-35',
};
const POOLED: Source = {
  formula: 'one variance for both arms',
  author: 'NIST/SEMATECH',
  year: 2012,
  where: 'e-Handbook of Statistical Methods, 1.3.5.3',
};
const ANCOVA: Source = {
  formula: 'common slope on the covariate, fitted by QR',
  author: 'Snedecor & Cochran',
  year: 1989,
  where: 'Statistical Methods, 8th ed., chapter 18',
};

const differenceFields = {
  method: z
    .enum(['welch', 'pooled', 'analysis-of-covariance', 'mixed-model'])
    .describe('Method by which it was worked out'),
  difference: z.number().describe('Later arm less the first arm'),
  standardError: z.number().describe('Standard error of the difference'),
  degreesOfFreedom: z.number().describe('Degrees of freedom of the error'),
  t: z.number().describe('t statistic of the comparison'),
  p: z.number().describe('Two-sided p-value'),
  confidencePercent: z.number().describe('Confidence of the interval, %'),
  low: z.number().describe('Low end of the interval'),
  high: z.number().describe('High end of the interval'),
  unit: z.string().describe('Unit of the difference'),
};
const differenceOut = z
  .object(differenceFields)
  .meta({ id: 'CalculatedTrialDifference', description: 'A difference with its interval' });
const differenceAnswer = (one: Difference, unit: string, times = 1): z.input<typeof differenceOut> => ({
  method: one.method,
  difference: one.difference * times,
  standardError: one.standardError * times,
  degreesOfFreedom: one.degreesOfFreedom,
  t: one.t,
  p: one.p,
  confidencePercent: tidy(100 * one.confidence),
  low: one.low * times,
  high: one.high * times,
  unit,
});

const measured = z.number().min(-1e12).max(1e12);
const armValues = z.union([
  z.strictObject({
    name: label.describe('Name of the arm of the trial'),
    values: z.array(measured).min(2).max(5000).describe('The values, one per unit'),
  }),
  z.strictObject({
    name: label.describe('Name of the arm of the trial'),
    count: z.number().int().min(2).max(1e6).describe('How many animals or pens were counted in'),
    mean: measured.describe('Mean of the values'),
    standardDeviation: z.number().gt(0).max(1e12).describe('Standard deviation with n − 1 in the divisor'),
  }),
]);
const summaryOf = (arm: z.output<typeof armValues>) =>
  'values' in arm ? describeValues(arm.values) : { n: arm.count, mean: arm.mean, variance: arm.standardDeviation ** 2 };
const unitIn = z.string().trim().min(1).max(20).default('lb/d').describe('Unit of the values, repeated in the answer');

const twoSample = calculation({
  name: 'two-sample-comparison',
  heavy: true,
  family: 'trial',
  summary: 'Difference of two arms with its interval',
  description:
    "Welch's interval does not assume equal spread in the arms; the pooled one is given beside it. If pens were " +
    'fed as units, give pen means.',
  source: [WELCH, POOLED],
  body: z.strictObject({ usual: armValues, change: armValues, unit: unitIn, confidencePercent: confidenceIn }),
  answer: {
    arms: z.array(
      z.object({
        name: z.string().describe('Name of the arm of the trial'),
        count: z.number().int().describe('How many animals or pens were counted in'),
        mean: z.number().describe('Mean of the values'),
        standardDeviation: z.number().describe('Standard deviation with n − 1 in the divisor'),
      }),
    ),
    welch: differenceOut,
    pooled: differenceOut,
    pooledStandardDeviation: z.number().describe('Pooled standard deviation of one unit'),
  },
  run: ({ usual, change, unit, confidencePercent }) => {
    const [first, second] = [summaryOf(usual), summaryOf(change)];
    const confidence = confidencePercent / 100;
    const pooled = pooledDifference({ first, second, confidence });
    return {
      arms: [
        { name: usual.name, count: first.n, mean: first.mean, standardDeviation: Math.sqrt(first.variance) },
        { name: change.name, count: second.n, mean: second.mean, standardDeviation: Math.sqrt(second.variance) },
      ],
      welch: differenceAnswer(welchDifference({ first, second, confidence }), unit),
      pooled: differenceAnswer(pooled, unit),
      pooledStandardDeviation: pooled.pooledSd,
    };
  },
});

const fTest = z.object({
  f: z.number().describe('F statistic of the comparison'),
  between: z.number().describe('Degrees of freedom of the effect'),
  within: z.number().describe('Degrees of freedom of the error'),
  p: z.number().describe('Two-sided p-value of the comparison'),
});
const covariance = calculation({
  name: 'analysis-of-covariance',
  heavy: true,
  family: 'trial',
  summary: 'Difference of arms at equal start weight',
  source: [ANCOVA],
  body: z.strictObject({
    arms: z
      .array(
        z.strictObject({
          name: label.describe('Name of the arm of the trial'),
          rows: z
            .array(
              z.strictObject({
                covariate: measured.describe('Start weight, or another covariate'),
                response: measured.describe('Daily gain, or another response'),
              }),
            )
            .min(1)
            .max(5000),
        }),
      )
      .min(2)
      .max(10),
    unit: unitIn,
    confidencePercent: confidenceIn,
  }),
  answer: {
    slope: z.number().describe('Slope on the covariate that all arms share'),
    slopeStandardError: z.number().describe('Standard error of the slope'),
    covariateMean: z.number().describe('Mean of the covariate over all rows'),
    adjustedMeans: z.array(
      z.object({
        name: z.string().describe('Name of the arm of the trial'),
        mean: z.number().describe('Mean of the arm adjusted to the covariate mean'),
      }),
    ),
    differences: z.array(
      z.object({ ...differenceFields, arm: z.string().describe('Arm that is compared with the first') }),
    ),
    armTest: fTest,
    covariateTest: z.object({
      f: z.number().describe('F statistic of the comparison'),
      p: z.number().describe('Two-sided p-value of the comparison'),
    }),
    equalSlopes: fTest.describe('Test whether one slope is enough; null where it cannot be done').nullable(),
    residualStandardDeviation: z.number().describe('Standard deviation of a row about the model'),
    residualSumOfSquares: z.number().describe('Residual sum of squares of the model'),
    residualDegreesOfFreedom: z.number().describe('Residual degrees of freedom of the model'),
  },
  run: ({ arms, unit, confidencePercent }) => {
    const fit = accepted(
      analysisOfCovariance({ arms: arms.map((arm) => arm.rows), confidence: confidencePercent / 100 }),
    );
    const nameOf = (place: number) => arms[place]?.name ?? '';
    const test = ({ f, between, within, p }: { f: number; between: number; within: number; p: number }) => ({
      f,
      between,
      within,
      p,
    });
    return {
      slope: fit.slope,
      slopeStandardError: fit.slopeStandardError,
      covariateMean: fit.covariateMean,
      adjustedMeans: fit.adjustedMeans.map((mean, place) => ({ name: nameOf(place), mean })),
      differences: fit.differences.map((one, place) => ({ ...differenceAnswer(one, unit), arm: nameOf(place + 1) })),
      armTest: test(fit.armTest),
      covariateTest: { f: fit.covariateTest.f, p: fit.covariateTest.p },
      equalSlopes: fit.equalSlopes === null ? null : test(fit.equalSlopes),
      residualStandardDeviation: fit.residualSd,
      residualSumOfSquares: fit.residualSumOfSquares,
      residualDegreesOfFreedom: fit.residualDegreesOfFreedom,
    };
  },
});

const CURVE_HEADS = [2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200] as const;
const spreadValue = z.number().gt(0).max(1e9);
const sampleSize = calculation({
  name: 'sample-size',
  heavy: true,
  family: 'trial',
  summary: 'How many units per arm, what power, or what difference can be detected',
  description:
    'Give two of difference, units per arm and power; the third is worked out. Units are animals, or pens where ' +
    'pens are fed.',
  source: [
    {
      formula: 'noncentral t',
      author: 'Lenth',
      year: 1989,
      where: 'Applied Statistics 38:185-189 (AS 243); Cohen 1988, chapter 2',
    },
    { formula: 'n = 16/(difference/sd)²', author: 'Lehr', year: 1992, where: 'Statistics in Medicine 11:1099-1102' },
    { formula: 'normal approximation', author: 'NIST/SEMATECH', year: 2012, where: 'e-Handbook 7.2.2.2' },
  ],
  body: z
    .strictObject({
      standardDeviation: spreadValue.describe('Standard deviation of one unit, in the unit of the difference'),
      difference: spreadValue.optional().describe('True difference to be detected'),
      unitsPerArm: z.number().int().min(2).max(100_000).optional().describe('Animals or pens in each arm'),
      powerPercent: z
        .number()
        .min(50)
        .lt(100)
        .optional()
        .describe('Chance of finding the difference if it is there (power), %'),
      alphaPercent: z.number().gt(0).max(50).default(5).describe('Two-sided alpha, %'),
      unit: unitIn,
    })
    .refine(
      (body) => [body.difference, body.unitsPerArm, body.powerPercent].filter((one) => one !== undefined).length >= 2,
      { path: ['difference'], message: 'Give two of difference, unitsPerArm and powerPercent' },
    ),
  answer: {
    unitsPerArm: z
      .number()
      .int()
      .describe(
        'Units per arm to detect the difference with the power; null where it was given or more than a ' +
          'million would be needed',
      )
      .nullable(),
    exactUnitsPerArm: z.number().describe('The same before rounding up; null where it was not worked out').nullable(),
    byRuleOfThumb: z
      .number()
      .describe("Units per arm by Lehr's rule of thumb for 5 % and 80 %; null if no difference was given")
      .nullable(),
    byNormalApproximation: z
      .number()
      .describe('Units per arm by normal approximation, before rounding up; null where it was not worked out')
      .nullable(),
    powerPercent: z.number().describe('Power with these units, %; null where it was not worked out').nullable(),
    smallestVisibleDifference: z
      .number()
      .describe('Smallest difference detected with these units and this power; null where it was not worked out')
      .nullable(),
    curve: z
      .array(
        z.object({
          unitsPerArm: z.number().int().describe('Animals or pens in each arm'),
          smallestVisibleDifference: z.number().describe('Smallest difference detected with the power'),
        }),
      )
      .describe('Head per arm against the smallest difference detected, at the power given or 80 %'),
    unit: z.string().describe('Unit of the differences'),
  },
  run: ({ standardDeviation: sd, difference, unitsPerArm: perArm, powerPercent, alphaPercent, unit }) => {
    const alpha = alphaPercent / 100;
    const power = powerPercent === undefined ? undefined : powerPercent / 100;
    const wanted = difference === undefined || power === undefined ? undefined : { difference, sd, alpha, power };
    return {
      unit,
      unitsPerArm: wanted === undefined ? null : unitsPerArm(wanted),
      exactUnitsPerArm: wanted === undefined ? null : tidyOrNull(exactUnitsPerArm(wanted)),
      byRuleOfThumb: difference === undefined ? null : lehrUnitsPerArm({ difference, sd }),
      byNormalApproximation: wanted === undefined ? null : tidy(normalUnitsPerArm(wanted)),
      powerPercent:
        difference === undefined || perArm === undefined
          ? null
          : tidy(100 * twoSampleTPower({ perArm, difference, sd, alpha })),
      smallestVisibleDifference:
        perArm === undefined || power === undefined
          ? null
          : tidy(smallestVisibleDifference({ perArm, sd, alpha, power })),
      curve: visibleDifferenceCurve({ heads: CURVE_HEADS, sd, alpha, power: power ?? TRIAL_CHOICES.power.value }).map(
        (point) => ({ unitsPerArm: point.perArm, smallestVisibleDifference: tidy(point.smallestVisibleDifference) }),
      ),
    };
  },
});

const cautionsOut = z.array(
  z.object({
    code: z.string().describe('Code that stays the same between releases'),
    message: z.string().describe('The caution in a sentence'),
    number: z
      .object({
        value: z.number().describe('The figure that raised it'),
        unit: z.string().describe('Unit of the figure'),
      })
      .nullable(),
    source: z.string().describe('Where it comes from'),
  }),
);
const cautionsAnswer = (cautions: readonly TrialCaution[]): z.input<typeof cautionsOut> =>
  cautions.map(({ code, words, number, source }) => ({
    code,
    message: words,
    number: number === null ? null : { value: tidy(number.value), unit: number.unit },
    source,
  }));
const arms = z
  .array(
    z.strictObject({
      id: label.describe('Id of the arm: any text, unique among the arms'),
      name: label.describe('Name of the arm'),
      role: z.enum(['usual', 'change']).describe('usual for the one arm with the usual feeding, or a change'),
    }),
  )
  .min(2)
  .max(10);
const context = {
  classOfAnimals: label.describe('Class of animals, in words'),
  season: label.describe('Season, in words'),
  hay: label.describe('The hay of the trial, in words'),
  wordsIn: z.enum(['lb', 'kg']).default('lb').describe('Unit in which words and figures are given'),
};
const looksIn = z.strictObject({
  fractions: z
    .array(z.number().gt(0).max(1))
    .min(1)
    .max(10)
    .describe('Shares of the whole length at which to look, rising'),
  kind: z
    .enum(['obrien-fleming-type', 'pocock-type'])
    .describe('How the chance of a false alarm is spread over the looks'),
});
const fillIn = z.enum(['full', 'shrunk']).default('full').describe('Whether cattle are weighed full or shrunk');
const perDay = 'kg/d';
const systemOf = (wordsIn: 'lb' | 'kg'): UnitSystem => (wordsIn === 'lb' ? 'us' : 'metric');
const sd = (what: string) =>
  gainIn(what).refine(({ value }) => value > 0, { path: ['value'], message: 'must be more than 0' });

function planAnswer(answer: TrialPlan, system: UnitSystem) {
  return {
    smallestVisibleDifference: figureOrNull(answer.smallestVisibleDifferenceKgPerDay, perDay, system),
    powerAtHopedDifferencePercent:
      answer.powerAtHopedDifference === null ? null : tidy(100 * answer.powerAtHopedDifference),
    unitsPerArmForHopedDifference: answer.unitsPerArmForHopedDifference,
    spread: {
      unit: figure(answer.sd.unitKgPerDay, perDay, system),
      animal: figure(answer.sd.animalKgPerDay, perDay, system),
      weighing: figure(answer.sd.weighingKgPerDay, perDay, system),
      pen: figure(answer.sd.penKgPerDay, perDay, system),
      source: answer.sd.source,
      isDefault: answer.sd.isDefault,
      weighingSource: answer.sd.weighingSource,
    },
    losses: {
      cattlePercent: tidy(100 * answer.losses.cattle),
      pensPercent: tidy(100 * answer.losses.pens),
      source: answer.losses.source,
    },
    alphaPercent: tidy(100 * answer.alpha),
    curve: answer.curve.map((point) => ({
      unitsPerArm: point.perArm,
      smallestVisibleDifference: figure(point.smallestVisibleDifference, perDay, system),
    })),
    looks: answer.looks.map((look) => ({
      look: look.look,
      sharePercent: tidy(100 * look.fraction),
      alphaPercent: tidy(100 * look.nominalAlpha),
    })),
    protocol: answer.protocol.steps.map(({ code, day, words }) => ({ code, day, words })),
    dailyRecord: [...answer.protocol.dailyRecord],
    cautions: cautionsAnswer(answer.cautions),
    words: [...answer.words],
    limits: [...answer.limits],
  };
}

const plan = calculation({
  name: 'plan-trial',
  heavy: true,
  family: 'trial',
  summary: 'What a feeding trial can and cannot see, and how to run it',
  description: 'Power, smallest visible difference, looks and the protocol, in figures and in plain words.',
  source: [
    { formula: 'noncentral t', author: 'Lenth', year: 1989, where: 'Applied Statistics 38:185-189' },
    {
      formula: 'several changes against one usual arm',
      author: 'Dunnett',
      year: 1955,
      where: 'Journal of the American Statistical Association 50:1096-1121',
    },
    { formula: 'spending of alpha over looks', author: 'Lan & DeMets', year: 1983, where: 'Biometrika 70:659-663' },
  ],
  body: z.strictObject({
    question: z.string().trim().min(1).max(500).describe('The question that the trial asks, in a sentence'),
    arms,
    unit: z.enum(['animal', 'pen']).describe('What is fed apart'),
    unitsPerArm: z.number().int().min(1).max(10_000).describe('Animals or pens per arm'),
    headPerUnit: z.number().int().min(1).max(10_000).default(1).describe('Number of head in a pen'),
    lengthDays: z.number().int().min(1).max(1000).describe('Length of the trial in days'),
    dailyGainSpread: z
      .strictObject({
        standardDeviation: sd('Standard deviation of daily gain between animals fed alike'),
        source: label.describe('Where the figure comes from'),
      })
      .optional()
      .describe('Standard deviation of daily gain between animals; left out, the published default'),
    method: z
      .enum(['analysis-of-covariance', 'welch'])
      .default('analysis-of-covariance')
      .describe('Analysis that will judge the trial; the power is that of this analysis'),
    penToPenSpread: sd('Standard deviation of daily gain between pens fed alike').optional(),
    weighingSpread: massInOrZero
      .optional()
      .describe("Standard deviation of an animal's weight from day to day; left out, the published default"),
    expectedLosses: z
      .strictObject({
        cattlePercent: z.number().min(0).max(50).describe('Cattle expected to be lost before their end weight, %'),
        pensPercent: z.number().min(0).max(50).default(0).describe('Pens expected to be lost whole, %'),
        source: label.describe('Where the figures come from'),
      })
      .optional()
      .describe('What is expected to be lost; left out, published death losses'),
    twoWeighingDays: z.boolean().default(true).describe('True to weigh on two days in a row'),
    fill: fillIn,
    hoursOffFeed: z.number().min(0).max(72).default(0).describe('Hours off feed before weighing'),
    interimWeighingDays: z
      .array(z.number().int().min(1).max(1000))
      .max(20)
      .default([])
      .describe('Days of interim weighings'),
    hopedDifference: sd('Difference that would make the change worthwhile'),
    meanStartWeight: massIn.optional(),
    confidencePercent: confidenceIn,
    powerPercent: z.number().min(50).lt(100).default(80).describe('Power aimed for, %'),
    looks: looksIn.optional(),
    ...context,
  }),
  answer: {
    smallestVisibleDifference: figureOut.nullable(),
    powerAtHopedDifferencePercent: z
      .number()
      .describe('Chance of finding the difference hoped for, %; null where it cannot be worked out')
      .nullable(),
    unitsPerArmForHopedDifference: z
      .number()
      .int()
      .describe('Units per arm to find the difference hoped for; null where no reasonable number would do')
      .nullable(),
    spread: z.object({
      unit: figureOut.describe("Standard deviation of one unit's daily gain"),
      animal: figureOut,
      weighing: figureOut,
      pen: figureOut,
      source: z.string().describe('Where the figure comes from'),
      isDefault: z.boolean().describe('True if it is a published default'),
      weighingSource: z.string().describe('Where the spread of weighing comes from'),
    }),
    losses: z.object({
      cattlePercent: z.number().describe('Cattle expected to be lost before their end weight, %'),
      pensPercent: z.number().describe('Pens expected to be lost whole, %'),
      source: z.string().describe('Where the figures come from'),
    }),
    alphaPercent: z.number().describe('Two-sided alpha of one comparison at the last look, %'),
    curve: z.array(
      z.object({
        unitsPerArm: z.number().int().describe('Animals or pens in each arm'),
        smallestVisibleDifference: figureOut,
      }),
    ),
    looks: z.array(
      z.object({
        look: z.number().int().describe('Number of the look, counted from 1'),
        sharePercent: z.number().describe('Share of the chance of a false alarm that is spent by this look, %'),
        alphaPercent: z.number().describe('Two-sided alpha to use at this look, %'),
      }),
    ),
    protocol: z.array(
      z.object({
        code: z.string().describe('Kind of step, by its code'),
        day: z.number().int().describe('Day of the trial; null for every day').nullable(),
        words: z.string().describe('What to do in this step, in words'),
      }),
    ),
    dailyRecord: z.array(z.string()).describe('What to record each day'),
    cautions: cautionsOut,
    words: z.array(z.string()).describe('The same in plain words, ready to be read out'),
    limits: z.array(z.string()).describe('What the trial can never say'),
  },
  run: (body) => {
    const system = systemOf(body.wordsIn);
    const answer = accepted(
      planTrial({
        question: body.question,
        arms: body.arms,
        unit: body.unit,
        unitsPerArm: body.unitsPerArm,
        headPerUnit: body.headPerUnit,
        lengthDays: body.lengthDays,
        twoWeighingDays: body.twoWeighingDays,
        fill: body.fill,
        hoursOffFeed: body.hoursOffFeed,
        interimWeighingDays: body.interimWeighingDays,
        dailyGainSd:
          body.dailyGainSpread === undefined
            ? null
            : { kgPerDay: toKgPerDay(body.dailyGainSpread.standardDeviation), source: body.dailyGainSpread.source },
        method: body.method,
        penToPenSdKgPerDay: body.penToPenSpread === undefined ? null : toKgPerDay(body.penToPenSpread),
        weighingSd:
          body.weighingSpread === undefined
            ? null
            : { kg: kilograms(body.weighingSpread), source: 'stated in the request' },
        losses:
          body.expectedLosses === undefined
            ? null
            : {
                cattle: body.expectedLosses.cattlePercent / 100,
                pens: body.expectedLosses.pensPercent / 100,
                source: body.expectedLosses.source,
              },
        hopedDifferenceKgPerDay: toKgPerDay(body.hopedDifference),
        meanStartWeightKg: body.meanStartWeight === undefined ? null : kilograms(body.meanStartWeight),
        confidence: body.confidencePercent / 100,
        power: body.powerPercent / 100,
        looks: body.looks ?? null,
        classOfAnimals: body.classOfAnimals,
        season: body.season,
        hay: body.hay,
        wordsIn: body.wordsIn,
      }),
      {
        hopedDifferenceKgPerDay: 'hopedDifference/value',
        dailyGainSd: 'dailyGainSpread/standardDeviation/value',
        looks: 'looks/fractions',
      },
    );
    return planAnswer(answer, system);
  },
});

const dailyGainSpreads = calculation({
  name: 'daily-gain-spreads',
  family: 'trial',
  summary: 'Published spreads of daily gain, for plans without a spread of their own',
  source: [
    {
      formula: 'standard deviation of daily gain between animals fed alike',
      author: 'Oklahoma State University',
      year: 2023,
      where: 'each row names its own',
    },
  ],
  answer: {
    items: z.array(
      z.object({
        code: z.string().describe('Code of the row; it stays the same between releases'),
        animals: z.string().describe('Animals that the figure comes from, in words'),
        feed: z.string().describe('What they were fed'),
        days: z.number().int().describe('Days on feed that the figure comes from'),
        mean: figureOut,
        standardDeviation: figureOut,
        source: z.string().describe('Where it comes from'),
      }),
    ),
  },
  run: () => ({
    items: DAILY_GAIN_SPREADS.map((row) => ({
      code: row.code,
      animals: row.animals,
      feed: row.feed,
      days: row.days,
      mean: figure(row.meanKgPerDay, perDay, 'metric'),
      standardDeviation: figure(row.sdKgPerDay, perDay, 'metric'),
      source: row.source,
    })),
  }),
});

const seedIn = z
  .string()
  .max(20)
  .refine(isSeed, 'must be a whole number below 2^64, as text')
  .describe('Seed of the random draw: the same seed draws the same arms');
const allocation = calculation({
  name: 'allocate-trial',
  heavy: true,
  family: 'trial',
  summary: 'Arms drawn at random within blocks of like start weight',
  source: [
    {
      formula: 'randomized blocks by start weight',
      author: 'Cochran & Cox',
      year: 1957,
      where: 'Experimental Designs, 2nd ed., chapter 4',
    },
  ],
  body: z.strictObject({
    animals: z
      .array(
        z.strictObject({
          id: label.describe('Id of the animal: any text, unique among the animals'),
          startWeight: massIn,
          stratum: label.optional().describe('Sex, class or any other group that the arms should share evenly'),
        }),
      )
      .min(4)
      .max(5000),
    armIds: z.array(label).min(2).max(10).describe('Ids of the arms of the trial'),
    penIds: z
      .array(label)
      .max(200)
      .default([])
      .describe('Ids of the pens of a pen trial, the same number for each arm'),
    seed: seedIn,
  }),
  answer: {
    assignments: z.array(
      z.object({
        animalId: z.string().describe('The animal, by the id given in the request'),
        armId: z.string().describe('The arm, by the id given in the request'),
        penId: z
          .string()
          .describe('Pen of the animal, by the id given in the request; null where animals are not penned apart')
          .nullable(),
        block: z.number().int().describe('Number of the block of animals of like weight'),
      }),
    ),
    penArms: z.array(
      z.object({
        penId: z.string().describe('The pen, by the id given in the request'),
        armId: z.string().describe('The arm, by the id given in the request'),
      }),
    ),
    balance: z.array(
      z.object({
        armId: z.string().describe('The arm, by the id given in the request'),
        head: z.number().int().describe('Number of head'),
        meanStartWeight: figureOut,
        standardDeviation: figureOut.nullable(),
        lightest: figureOut,
        heaviest: figureOut,
        strata: z.record(z.string(), z.number()).describe('How many head of each stratum the arm has'),
      }),
    ),
    largestDifference: figureOut,
    largestDifferenceInStandardDeviations: z
      .number()
      .describe('Largest difference between mean start weights of arms, in standard deviations of start weight'),
    generator: z.string().describe('Generator of the random numbers'),
    seed: z.string().describe('Seed of the random draw, as it was given'),
    words: z.array(z.string()).describe('The same in plain words, ready to be read out'),
  },
  run: (body) => {
    const system: UnitSystem = body.animals[0]?.startWeight.unit === 'kg' ? 'metric' : 'us';
    const answer = accepted(
      allocate({
        animals: body.animals.map(({ id, startWeight, stratum }) => ({
          id,
          startWeightKg: kilograms(startWeight),
          ...present({ stratum }),
        })),
        armIds: body.armIds,
        penIds: body.penIds,
        seed: body.seed,
      }),
      spelledWith(body.animals),
    );
    const kg = (value: number) => figure(value, 'kg', system);
    return {
      assignments: answer.assignments.map((one) => ({ ...one })),
      penArms: answer.penArms.map((one) => ({ ...one })),
      balance: answer.balance.map((row) => ({
        armId: row.armId,
        head: row.head,
        meanStartWeight: kg(row.meanStartWeightKg),
        standardDeviation: figureOrNull(row.sdStartWeightKg, 'kg', system),
        lightest: kg(row.lightestKg),
        heaviest: kg(row.heaviestKg),
        strata: { ...row.strata },
      })),
      largestDifference: kg(answer.largestDifference.kg),
      largestDifferenceInStandardDeviations: tidy(answer.largestDifference.inStandardDeviations),
      generator: answer.generator,
      seed: answer.seed,
      words: [...answer.words],
    };
  },
});

/** The core names an animal by its id; a pointer needs its index. */
function spelledWith(
  animals: readonly { readonly id: string }[],
  names: Readonly<Record<string, string>> = {},
): Spelling {
  return (field) => {
    const [, id] = /^animals\.(.+)$/.exec(field) ?? [];
    return id === undefined
      ? (names[field] ?? field.replaceAll('.', '/'))
      : `animals/${animals.findIndex((animal) => animal.id === id)}`;
  };
}

const dayOf = z.number().int().min(0).max(2000).describe('Day of the trial, counted from 0');
const trialAnimal = z.strictObject({
  id: label.describe('Id of the animal: any text, unique among the animals'),
  armId: label.describe('Arm that the animal was drawn into'),
  penId: label.optional().describe("Id of the animal's pen"),
  weighings: z
    .array(
      z.strictObject({
        day: dayOf,
        weight: massIn,
        fill: fillIn,
        hoursOffFeed: z
          .number()
          .min(0)
          .max(72)
          .default(0)
          .describe('Hours that the cattle stood without feed before weighing'),
      }),
    )
    .max(50),
  events: z
    .array(
      z.strictObject({
        day: dayOf,
        kind: z.enum(ANIMAL_EVENTS).describe('What happened, by its code'),
        note: label.optional().describe('Note about it, in words'),
      }),
    )
    .max(50)
    .default([]),
});
const verdictOut = z.object({
  verdict: z
    .enum(['favours', 'no-clear-difference', 'too-small-to-tell'])
    .describe('What the interval allows one to say, and no more'),
  favours: z.enum(['change', 'usual']).describe('Arm that the interval favors; null if neither').nullable(),
  worthwhileForSure: z
    .boolean()
    .describe(
      'True if the whole interval is at least the worthwhile difference from zero; null where there is no interval',
    )
    .nullable(),
});
const setOut = z.object({
  units: z.array(
    z.object({
      armId: z.string().describe('The arm, by the id given in the request'),
      units: z.number().int().describe('How many animals or pens were counted in'),
      head: z.number().int().describe('Number of head'),
    }),
  ),
  welch: differenceOut.nullable(),
  covariance: differenceOut.nullable(),
  verdict: verdictOut.nullable(),
});
const moneyRange = z.object({ low: moneyOut, estimate: moneyOut, high: moneyOut });
const rangeOfMoney = (triple: Triple<Money>) => ({
  low: formatMoney(triple.low),
  estimate: formatMoney(triple.estimate),
  high: formatMoney(triple.high),
});
const budgetOut = z.object({
  days: z.number().int().describe('Days over which it was measured'),
  addedReturnsPerHead: moneyRange.describe('What the added gain of those that lived is worth, per head started'),
  addedDeathLossPerHead: moneyOut.describe(
    'What more deaths on the change took, per head started: the animals at their start weight and the gain they ' +
      'would have made; below zero where fewer died',
  ),
  addedCostsPerHead: moneyOut.describe('Added cost of the change, per head started; below zero where it costs less'),
  netPerHead: moneyRange.describe(
    'Added returns less what deaths took less added costs, per head started; the interval carries gain and deaths',
  ),
  verdict: z
    .enum(['pays', 'costs', 'too-small-to-tell'])
    .describe('What the interval allows one to say at these prices'),
  herd: z
    .object({
      head: z.number().int().describe('Number of head'),
      addedGain: z.object({ low: massOut, estimate: massOut, high: massOut }),
      net: moneyRange,
    })
    .describe(
      'What it would come to over the herd if it held: arithmetic, not a finding; null if no herd size is given',
    )
    .nullable(),
  words: z.array(z.string()).describe('The same in plain words, ready to be read out'),
});
function budgetAnswer(budget: PartialBudget, wordsIn: 'lb' | 'kg'): z.input<typeof budgetOut> {
  const { herd } = budget;
  const mass = (value: Mass) => formatMass(value, wordsIn);
  return {
    days: budget.days,
    addedReturnsPerHead: rangeOfMoney(budget.addedReturnsPerHead),
    addedDeathLossPerHead: formatMoney(budget.addedDeathLossPerHead),
    addedCostsPerHead: formatMoney(budget.addedCostsPerHead),
    netPerHead: rangeOfMoney(budget.netPerHead),
    verdict: budget.verdict,
    words: [...budget.words],
    herd:
      herd === null
        ? null
        : {
            head: herd.head,
            addedGain: {
              low: mass(herd.addedGain.low),
              estimate: mass(herd.addedGain.estimate),
              high: mass(herd.addedGain.high),
            },
            net: rangeOfMoney(herd.net),
          },
  };
}

const armOut = z.object({
  armId: z.string().describe('The arm, by the id given in the request'),
  headDrawn: z.number().int().describe('How many head were drawn into the arm'),
  headWithGain: z.number().int().describe('Number of head with a measured gain'),
  headDied: z.number().int().describe('How many head died in the trial'),
  headFinished: z.number().int().describe('How many head neither died nor were sold or lost'),
  headDays: z.number().describe('Head-days: one head for one day is one'),
  gainOverTrial: z
    .object({
      deadsInPerHeadStarted: figureOut.nullable(),
      deadsInPerHeadFinished: figureOut.nullable(),
      deadsOutPerHeadFinished: figureOut.nullable(),
    })
    .describe(
      'Weight gained over the days so far. With deads in the dead count as losing all their start weight; deads out ' +
        'is of those that finished alone. Null where a weight is missing',
    ),
  meanGain: figureOut.nullable(),
  hay: z
    .object({
      fed: massOut,
      eaten: massOut,
      wasted: massOut,
      refused: massOut,
      eatenPerHeadDay: massOut,
      wastedPercentOfFed: z.number().describe('Hay wasted, % of what was fed'),
      dryMatterEaten: massOut,
      conversion: z
        .string()
        .describe('Dry matter eaten per unit of gain, decimal as text; null where there is no gain to divide by')
        .nullable(),
    })
    .nullable(),
  cost: z
    .object({
      feed: moneyOut,
      other: moneyOut,
      perHeadDay: moneyOut,
      perHeadStarted: moneyOut.describe('All of it, over the head that were started').nullable(),
      perHeadFinished: moneyOut.describe('All of it, over the head that finished; null where none did').nullable(),
      feedCostOfGain: pricePerMassOut.nullable(),
      totalCostOfGain: pricePerMassOut.nullable(),
      totalCostOfGainDeadsIn: pricePerMassOut
        .describe('Total cost of gain with deads in; null where there is then no gain to divide by')
        .nullable(),
    })
    .nullable(),
  notes: z.array(z.string()).describe('What is missing in the records; empty if nothing'),
});
function armAnswer(arm: ArmOutcome, wordsIn: 'lb' | 'kg'): z.input<typeof armOut> {
  const { hay, cost } = arm;
  const mass = (value: Mass) => formatMass(value, wordsIn);
  const weight = (kg: number | null) => figureOrNull(kg, 'kg', systemOf(wordsIn));
  const moneyOrNull = (value: Money | null) => (value === null ? null : formatMoney(value));
  const perMass = (perKg: Money | null) => (perKg === null ? null : formatPrice(perKg.per(Mass.kilograms(1)), wordsIn));
  return {
    armId: arm.armId,
    headDrawn: arm.headDrawn,
    headWithGain: arm.headWithGain,
    headDied: arm.headDied,
    headFinished: arm.headFinished,
    headDays: arm.headDays,
    gainOverTrial: {
      deadsInPerHeadStarted: weight(arm.gainOverTrial.deadsInPerHeadStarted),
      deadsInPerHeadFinished: weight(arm.gainOverTrial.deadsInPerHeadFinished),
      deadsOutPerHeadFinished: weight(arm.gainOverTrial.deadsOutPerHeadFinished),
    },
    meanGain: figureOrNull(arm.meanGainKgPerDay, perDay, systemOf(wordsIn)),
    notes: [...arm.notes],
    hay:
      hay === null
        ? null
        : {
            fed: mass(hay.fed),
            eaten: mass(hay.eaten),
            wasted: mass(hay.wasted),
            refused: mass(hay.refused),
            eatenPerHeadDay: mass(hay.eatenPerHeadDay),
            wastedPercentOfFed: tidy(hay.wastedShareOfFed.times(100).toNumber()),
            dryMatterEaten: mass(hay.dryMatterEaten),
            conversion: hay.conversion === null ? null : formatDecimal(hay.conversion),
          },
    cost:
      cost === null
        ? null
        : {
            feed: formatMoney(cost.feed),
            other: formatMoney(cost.other),
            perHeadDay: formatMoney(cost.perHeadDay),
            perHeadStarted: moneyOrNull(cost.perHeadStarted),
            perHeadFinished: moneyOrNull(cost.perHeadFinished),
            feedCostOfGain: perMass(cost.feedCostPerKgGain),
            totalCostOfGain: perMass(cost.totalCostPerKgGain),
            totalCostOfGainDeadsIn: perMass(cost.totalCostPerKgGainDeadsIn),
          },
  };
}

const animalOut = z.object({
  animalId: z.string().describe('The animal, by the id given in the request'),
  armId: z.string().describe('The arm, by the id given in the request'),
  penId: z.string().describe('Pen of the animal, by the id given in the request; null if it has none').nullable(),
  gain: figureOut.nullable(),
  days: z.number().describe('Days between its start and end weighings; null where one is missing').nullable(),
  followedProtocol: z.boolean().describe('True if the animal counts among those that followed the protocol'),
  departures: z.array(
    z.object({
      code: z.string().describe('What happened, by its code'),
      words: z.string().describe('What happened, in words'),
      asDrawn: z.string().describe('How the animal counts among all as drawn'),
      perProtocol: z.string().describe('How the animal counts among those that followed the protocol'),
    }),
  ),
});
const animalAnswer = (one: AnimalResult, system: UnitSystem): z.input<typeof animalOut> => ({
  animalId: one.animalId,
  armId: one.armId,
  penId: one.penId,
  gain: figureOrNull(one.gainKgPerDay, perDay, system),
  days: tidyOrNull(one.days),
  followedProtocol: one.followedProtocol,
  departures: one.departures.map(({ code, words, asDrawn, perProtocol }) => ({ code, words, asDrawn, perProtocol })),
});

const comparisonOut = z.object({
  usualArmId: z.string().describe('The arm of the usual feeding, by the id given in the request'),
  changeArmId: z.string().describe('The arm with the change, by the id given in the request'),
  answer: differenceOut
    .describe('All animals as drawn, by the method of the plan; null where it cannot be estimated')
    .nullable(),
  twoHerds: z
    .object({
      difference: figureOut,
      fedAlike: figureOut,
      source: z.string().describe('Where the spread between herds comes from'),
      herdsPerArm: z
        .number()
        .int()
        .describe('Herds or pens in each arm that would show the worthwhile difference; null where it is not known')
        .nullable(),
    })
    .describe(
      'Where each arm was fed as one herd: how far the two lay apart, and by how much any two fed alike differ in 19 ' +
        'of 20 pairs; null otherwise',
    )
    .nullable(),
  animalsOnly: differenceOut
    .describe(
      'With too few pens to judge by, the difference between the animals, which proves nothing about the ' +
        'feeding; null otherwise',
    )
    .nullable(),
  verdict: verdictOut,
  asDrawn: setOut,
  perProtocol: setOut,
  missing: z
    .object({
      head: z.number().int().describe('Number of head without a gain'),
      againstChange: differenceOut,
      againstUsual: differenceOut,
    })
    .nullable(),
  checks: z
    .object({
      normality: z
        .object({
          w: z.number().describe('Shapiro-Francia W'),
          p: z.number().describe('Two-sided p-value of the comparison'),
        })
        .nullable(),
      equalVariance: z
        .object({
          f: z.number().describe('Brown-Forsythe F'),
          p: z.number().describe('Two-sided p-value of the comparison'),
        })
        .nullable(),
      influence: z.array(
        z.object({
          unitId: z.string().describe('Animal or pen, by the id given in the request'),
          residual: figureOut,
          cooksDistance: z
            .number()
            .describe("Cook's distance, how strongly the unit pulls on the fit; null where it cannot be worked out")
            .nullable(),
        }),
      ),
    })
    .nullable(),
  leftOut: z.array(
    z.object({
      unitId: z.string().describe('Animal or pen that was left out, by its id'),
      difference: figureOut,
      low: figureOut,
      high: figureOut,
      shiftInStandardErrors: z
        .number()
        .describe('How far the difference moves without it, in standard errors; null where it cannot be worked out')
        .nullable(),
    }),
  ),
  deaths: z
    .object({
      difference: z.number().describe('Share that died on the change less the share on the usual feeding'),
      low: z.number().describe('Low end of the interval'),
      high: z.number().describe('High end of the interval'),
      confidencePercent: z.number().describe('Confidence of the interval, %'),
    })
    .describe('Difference in deaths with its exact interval; null where an arm had no head')
    .nullable(),
  partialBudget: budgetOut.nullable(),
  nextTrial: z
    .object({
      standardDeviation: figureOut,
      unitsPerArm: z
        .number()
        .int()
        .describe('Units per arm needed to detect the worthwhile difference; null where no reasonable number would do')
        .nullable(),
    })
    .nullable(),
  words: z.array(z.string()).describe('The answer in plain words, taken from the interval'),
});
function twoHerdsAnswer({ twoHerds }: ComparisonJudged, system: UnitSystem): z.input<typeof comparisonOut>['twoHerds'] {
  if (twoHerds === null) return null;
  const { differenceKgPerDay, fedAlikeKgPerDay, source, herdsPerArm } = twoHerds;
  return {
    difference: figure(differenceKgPerDay, perDay, system),
    fedAlike: figure(fedAlikeKgPerDay, perDay, system),
    source,
    herdsPerArm,
  };
}

function deathsAnswer({ deaths }: ComparisonJudged): z.input<typeof comparisonOut>['deaths'] {
  if (deaths === null) return null;
  const { confidence, ...difference } = deaths;
  return { ...difference, confidencePercent: tidy(100 * confidence) };
}

function comparisonAnswer(one: ComparisonJudged, wordsIn: 'lb' | 'kg'): z.input<typeof comparisonOut> {
  const system = systemOf(wordsIn);
  const gain = (value: number) => figure(value, perDay, system);
  const { unit, value: times } = gain(1);
  const difference = (found: Difference) => differenceAnswer(found, unit, times);
  const orNone = (found: Difference | null | undefined) =>
    found === null || found === undefined ? null : difference(found);
  const verdict = ({
    verdict: said,
    favours,
    worthwhileForSure,
  }: {
    verdict: z.input<typeof verdictOut>['verdict'];
    favours: 'change' | 'usual' | null;
    worthwhileForSure: boolean | null;
  }) => ({ verdict: said, favours, worthwhileForSure });
  const set = (judged: SetJudged) => ({
    units: judged.units.map((row) => ({ ...row })),
    welch: orNone(judged.compared?.welch),
    covariance: orNone(judged.compared?.covariance?.differences[0]),
    verdict: judged.verdict === null ? null : verdict(judged.verdict),
  });
  const { missing, checks, nextTrial } = one;
  return {
    usualArmId: one.usualArmId,
    changeArmId: one.changeArmId,
    answer: orNone(one.answer),
    twoHerds: twoHerdsAnswer(one, system),
    animalsOnly: orNone(one.animalsOnly),
    verdict: verdict(one.verdict),
    asDrawn: set(one.asDrawn),
    perProtocol: set(one.perProtocol),
    missing:
      missing === null
        ? null
        : {
            head: missing.head,
            againstChange: difference(missing.againstChange),
            againstUsual: difference(missing.againstUsual),
          },
    checks:
      checks === null
        ? null
        : {
            normality: checks.normality === null ? null : { w: checks.normality.w, p: checks.normality.p },
            equalVariance:
              checks.equalVariance === null ? null : { f: checks.equalVariance.f, p: checks.equalVariance.p },
            influence: checks.influence.map((row) => ({
              unitId: row.unitId,
              residual: gain(row.residualKgPerDay),
              cooksDistance: tidyOrNull(row.cooksDistance),
            })),
          },
    leftOut: one.leftOut.map((row) => ({
      unitId: row.unitId,
      difference: gain(row.differenceKgPerDay),
      low: gain(row.lowKgPerDay),
      high: gain(row.highKgPerDay),
      shiftInStandardErrors: tidyOrNull(row.shiftInStandardErrors),
    })),
    deaths: deathsAnswer(one),
    partialBudget: one.partialBudget === null ? null : budgetAnswer(one.partialBudget, wordsIn),
    nextTrial:
      nextTrial === null ? null : { standardDeviation: gain(nextTrial.sdKgPerDay), unitsPerArm: nextTrial.unitsPerArm },
    words: [...one.verdict.sentences],
  };
}

const judged = calculation({
  name: 'judge-trial',
  heavy: true,
  family: 'trial',
  summary: 'What a feeding trial shows, with its interval and no more',
  description:
    'The answer is that of all animals as drawn; those that followed the protocol are shown beside it. ' +
    'No animal is dropped: what ' +
    'departs from the protocol is listed with how it counts.',
  source: [
    WELCH,
    ANCOVA,
    {
      formula: 'the pen is the unit where pens were fed',
      author: 'Interpretation and design of nonregulatory on-farm feeding trials',
      year: 1999,
      where: 'J. Anim. Sci. 77 (Suppl. 2):177-182',
    },
    {
      formula: 'difference in deaths: exact interval by the score statistic',
      author: 'Chan & Zhang',
      year: 1999,
      where: 'Biometrics 55:1202-1209',
    },
  ],
  body: z.strictObject({
    question: z.string().trim().min(1).max(500).describe('The question that the trial asked, in a sentence'),
    arms,
    unit: z.enum(['animal', 'pen']).describe('What was fed apart'),
    lengthDays: z.number().int().min(1).max(1000).describe('Length of the trial in days'),
    startDays: z.array(dayOf).min(1).max(5).default([0]).describe('Days whose weights make the start weight'),
    endDays: z.array(dayOf).min(1).max(5).describe('Days whose weights make the end weight'),
    fill: fillIn,
    hoursOffFeed: z.number().min(0).max(72).default(0).describe('Hours off feed that the protocol calls for'),
    animals: z.array(trialAnimal).min(2).max(1000),
    method: z
      .enum(['analysis-of-covariance', 'welch'])
      .default('analysis-of-covariance')
      .describe('Method named in the plan'),
    confidencePercent: confidenceIn,
    worthwhileDifference: sd('Worthwhile difference named before the trial').optional(),
    penToPenSpread: sd(
      'Standard deviation of daily gain between pens fed alike, beyond what their animals explain; a published ' +
        'figure if left out',
    ).optional(),
    look: z
      .strictObject({
        planned: looksIn.optional(),
        number: z.number().int().min(1).max(50).describe('Number of the look, counted over all looks taken'),
        final: z.boolean().describe('Whether the trial is over'),
      })
      .default({ number: 1, final: true }),
    currency: currency.default('USD'),
    feeds: z
      .array(
        z.strictObject({
          armId: label.describe('The arm, by the id given in the request'),
          name: label.describe('Name of the hay'),
          fed: massInOrZero,
          refused: massInOrZero.default({ value: '0', unit: 'kg' }),
          wasted: massInOrZero.default({ value: '0', unit: 'kg' }),
          dryMatterPercent: z.number().gt(0).max(100).describe('Dry matter, % of the weight as fed'),
          price: priceIn.optional(),
          daysMissing: z.number().int().min(0).max(1000).default(0).describe('Number of days without a record'),
        }),
      )
      .max(200)
      .default([]),
    otherCosts: z
      .array(z.strictObject({ armId: label.describe('The arm, by the id given in the request'), cost: moneyIn }))
      .max(20)
      .default([]),
    valueOfGain: priceIn.optional().describe('What gain is worth, for the partial budget'),
    valueOfCattle: priceIn
      .optional()
      .describe('What live cattle are worth by weight, for what a death takes; the value of gain if left out'),
    herdHead: z
      .number()
      .int()
      .min(1)
      .max(1e6)
      .optional()
      .describe('Head to work out what it would be worth for, if it held'),
    ...context,
  }),
  answer: {
    arms: z.array(armOut),
    comparisons: z.array(comparisonOut),
    animals: z.array(animalOut),
    growth: z.array(
      z.object({
        armId: z.string().describe('The arm, by the id given in the request'),
        day: z.number().int().describe('Day of the record, YYYY-MM-DD or counted from day 0 of the trial'),
        head: z.number().int().describe('Number of head that were weighed'),
        meanWeight: figureOut,
        standardDeviation: figureOut.nullable(),
      }),
    ),
    intervalConfidencePercent: z
      .number()
      .describe('Confidence of each interval after sharing the error over comparisons and looks, %'),
    peeking: z.boolean().describe('True if the look was not planned'),
    cautions: cautionsOut,
    words: z.array(z.string()).describe('The same in plain words, ready to be read out'),
    limits: z.array(z.string()).describe('What the trial can never say'),
  },
  run: (body) => {
    const system = systemOf(body.wordsIn);
    const answer = accepted(
      judgeTrial({
        question: body.question,
        arms: body.arms,
        unit: body.unit,
        protocol: {
          lengthDays: body.lengthDays,
          startDays: body.startDays,
          endDays: body.endDays,
          fill: body.fill,
          hoursOffFeed: body.hoursOffFeed,
        },
        method: body.method,
        penToPenSdKgPerDay: body.penToPenSpread === undefined ? null : toKgPerDay(body.penToPenSpread),
        confidence: body.confidencePercent / 100,
        animals: body.animals.map(({ id, armId, penId, weighings, events }) => ({
          id,
          armId,
          penId: penId ?? null,
          weighings: weighings.map(({ weight, ...rest }) => ({ ...rest, weightKg: kilograms(weight) })),
          events: events.map(present),
        })),
        worthwhileDifferenceKgPerDay:
          body.worthwhileDifference === undefined ? null : toKgPerDay(body.worthwhileDifference),
        look: { planned: body.look.planned ?? null, number: body.look.number, final: body.look.final },
        currency: body.currency,
        feeds: body.feeds.map((feed) => ({
          armId: feed.armId,
          name: feed.name,
          fed: toMass(feed.fed),
          refused: toMass(feed.refused),
          wasted: toMass(feed.wasted),
          dryMatterShare: share(feed.dryMatterPercent),
          price: feed.price === undefined ? null : toPrice(feed.price),
          daysMissing: feed.daysMissing,
        })),
        otherCosts: body.otherCosts.map(({ armId, cost }) => ({ armId, cost: toMoney(cost) })),
        valueOfGain: body.valueOfGain === undefined ? null : toPrice(body.valueOfGain),
        valueOfCattle: body.valueOfCattle === undefined ? null : toPrice(body.valueOfCattle),
        herdHead: body.herdHead ?? null,
        classOfAnimals: body.classOfAnimals,
        season: body.season,
        hay: body.hay,
        wordsIn: body.wordsIn,
      }),
      spelledWith(body.animals, {
        worthwhileDifferenceKgPerDay: 'worthwhileDifference/value',
        'look.planned': 'look/planned/fractions',
      }),
    );
    return {
      arms: answer.arms.map((arm) => armAnswer(arm, body.wordsIn)),
      comparisons: answer.comparisons.map((one) => comparisonAnswer(one, body.wordsIn)),
      animals: answer.animals.map((one) => animalAnswer(one, system)),
      growth: answer.growth.map((row) => ({
        armId: row.armId,
        day: row.day,
        head: row.head,
        meanWeight: figure(row.meanWeightKg, 'kg', system),
        standardDeviation: figureOrNull(row.sdWeightKg, 'kg', system),
      })),
      intervalConfidencePercent: tidy(100 * answer.intervalConfidence),
      peeking: answer.look.peeking,
      cautions: cautionsAnswer(answer.cautions),
      words: [...answer.words],
      limits: [...answer.limits],
    };
  },
});

export const TRIAL_CALCULATIONS: readonly Calculation[] = [
  twoSample,
  covariance,
  sampleSize,
  plan,
  dailyGainSpreads,
  allocation,
  judged,
];
