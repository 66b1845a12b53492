import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { decimal, decimalFromFloat } from '../units/decimal.js';
import { KILOGRAM_PLACES, Mass, massInWords, type MassUnit } from '../units/mass.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem, type Problem } from '../outcome/problem.js';

/** Gross less tare of a scale ticket. */
export function scaleTicketNet(input: {
  gross: Mass;
  tare: Mass;
  /** Units in which the two were typed; a refusal uses them. */
  typed?: { readonly gross: MassUnit; readonly tare: MassUnit };
}): { readonly ok: true; readonly net: Mass } | Refusal {
  const { gross, tare, typed = { gross: 'kg', tare: 'kg' } } = input;
  if (tare.isNegative() || !gross.minus(tare).isPositive()) {
    return refused(
      problem(
        'tare-not-below-gross',
        'tare',
        massInWords(tare, typed.tare),
        `0 ${typed.gross} to below ${massInWords(gross, typed.gross)}`,
        'The empty truck must weigh less than the loaded one.',
      ),
    );
  }
  return { ok: true, net: gross.minus(tare) };
}

/** Mean and sample standard deviation (n − 1) of weighed bales. */
export function weighedBaleStatistics(
  weights: readonly Mass[],
): { readonly ok: true; readonly weighed: number; readonly mean: Mass; readonly standardDeviation: Mass } | Refusal {
  if (weights.length < 2)
    return refused(
      problem(
        'too-few-bales-for-spread',
        'weights',
        String(weights.length),
        '2 or more',
        'A spread needs at least two weighed bales.',
      ),
    );
  const wrong = weights.findIndex((weight) => !weight.isPositive());
  if (wrong >= 0)
    return refused(
      problem(
        'weight-not-positive',
        `weights[${wrong}]`,
        weights[wrong]?.toString() ?? '',
        'more than 0 kg',
        'A bale must weigh more than zero.',
      ),
    );
  const mean = Mass.sum(weights).dividedBy(weights.length);
  const squares = weights.reduce((sum, weight) => sum.plus(weight.minus(mean).kilograms.pow(2)), decimal(0));
  const standardDeviation = Mass.kilograms(
    squares
      .div(weights.length - 1)
      .sqrt()
      .toDecimalPlaces(KILOGRAM_PLACES),
  );
  return {
    ok: true,
    weighed: weights.length,
    mean: Mass.kilograms(mean.kilograms.toDecimalPlaces(KILOGRAM_PLACES)),
    standardDeviation,
  };
}

export interface LoadWeight {
  readonly ok: true;
  readonly total: Mass;
  readonly low: Mass;
  readonly high: Mass;
  /** Half the interval as a share of the total: 0.03 is ±3 %. */
  readonly relativeHalfWidth: number;
  readonly confidence: number;
  readonly balesToWeigh: number;
  readonly warnings: readonly {
    readonly code: 'too-few-bales-weighed';
    readonly message: string;
    readonly weighed: number;
    readonly needed: number;
  }[];
}

export interface LoadWeighing {
  readonly bales: number;
  readonly weighed: number;
  readonly mean: Mass;
  readonly standardDeviation: Mass;
  readonly confidence?: number;
  readonly wantedRelativeHalfWidth?: number;
}

/**
 * Weight of a load from some weighed bales: bales × mean, with a t interval for the mean and the finite-population
 * correction (1 − n/N), since the weighed bales are part of the load. With every bale weighed the interval is zero.
 * Source: Cochran, W.G. 1977. Sampling Techniques, 3rd ed., sections 2.5 to 2.8 (mean, correction, t limits).
 * `wantedRelativeHalfWidth` is the wanted precision, e.g. 0.05; if fewer bales were weighed than it takes, a warning
 * says how many.
 */
export function loadWeight(input: LoadWeighing): LoadWeight | Refusal {
  const asked = {
    ...input,
    confidence: input.confidence ?? 0.95,
    wantedRelativeHalfWidth: input.wantedRelativeHalfWidth ?? 0.05,
  };
  const { bales, weighed, mean, confidence, wantedRelativeHalfWidth } = asked;
  const problems = loadProblems(asked);
  if (problems.length > 0) return refused(problems);
  const spread = input.standardDeviation.ratioTo(mean).toNumber();
  const relativeHalfWidth = halfWidth(spread, weighed, bales, confidence);
  const total = mean.times(bales);
  const half = total.times(decimalFromFloat(relativeHalfWidth, KILOGRAM_PLACES));
  const low = total.minus(half);
  const balesToWeigh = balesNeeded({ coefficientOfVariation: spread, bales, confidence, wantedRelativeHalfWidth });
  return {
    ok: true,
    total,
    low: low.isNegative() ? Mass.zero : low,
    high: total.plus(half),
    relativeHalfWidth,
    confidence,
    balesToWeigh,
    warnings:
      relativeHalfWidth <= wantedRelativeHalfWidth ? [] : [tooFewWeighed(asked, relativeHalfWidth, balesToWeigh)],
  };
}

function loadProblems({
  bales,
  weighed,
  mean,
  standardDeviation,
  confidence,
  wantedRelativeHalfWidth: wanted,
}: Required<LoadWeighing>): Problem[] {
  const problems: Problem[] = [];
  if (!Number.isSafeInteger(bales) || bales < 1)
    problems.push(
      problem(
        'bales-not-a-count',
        'bales',
        String(bales),
        'a whole number above 0',
        `${bales} is not a number of bales.`,
      ),
    );
  if (!Number.isSafeInteger(weighed) || weighed < 2 || weighed > bales)
    problems.push(
      problem(
        'too-few-bales-for-spread',
        'weighed',
        String(weighed),
        `2 to ${bales}`,
        'A spread needs at least two weighed bales, and no more than there are.',
      ),
    );
  if (!mean.isPositive())
    problems.push(
      problem('weight-not-positive', 'mean', mean.toString(), 'more than 0 kg', 'A bale must weigh more than zero.'),
    );
  if (standardDeviation.isNegative())
    problems.push(
      problem(
        'spread-negative',
        'standardDeviation',
        standardDeviation.toString(),
        '0 kg or more',
        'A spread cannot be below zero.',
      ),
    );
  if (!(confidence > 0 && confidence < 1))
    problems.push(
      problem(
        'confidence-out-of-range',
        'confidence',
        String(confidence),
        'between 0 and 1',
        'Confidence is a share: 0.95.',
      ),
    );
  if (!(wanted > 0 && wanted < 1))
    problems.push(
      problem(
        'precision-out-of-range',
        'wantedRelativeHalfWidth',
        String(wanted),
        'between 0 and 1',
        'Precision is a share: 0.05 is ±5 %.',
      ),
    );
  return problems;
}

function tooFewWeighed(
  { bales, weighed, wantedRelativeHalfWidth: wanted }: Required<LoadWeighing>,
  relativeHalfWidth: number,
  needed: number,
): LoadWeight['warnings'][number] {
  return {
    code: 'too-few-bales-weighed',
    weighed,
    needed,
    message:
      `${weighed} of ${bales} bales were weighed: the load is known to ` +
      `±${(100 * relativeHalfWidth).toFixed(1)} %; ±${(100 * wanted).toFixed(1)} % takes about ${needed}.`,
  };
}

function halfWidth(spread: number, weighed: number, bales: number, confidence: number): number {
  return tQuantile(1 - (1 - confidence) / 2, weighed - 1) * spread * Math.sqrt((1 - weighed / bales) / weighed);
}

/**
 * The fewest bales to weigh for a wanted precision at the spread seen, the t quantile taken at that number; all of
 * them if needed.
 */
export function balesNeeded(input: {
  coefficientOfVariation: number;
  bales: number;
  confidence: number;
  wantedRelativeHalfWidth: number;
}): number {
  const { coefficientOfVariation, bales, confidence, wantedRelativeHalfWidth } = input;
  for (let weighed = 2; weighed < bales; weighed += 1) {
    if (halfWidth(coefficientOfVariation, weighed, bales, confidence) <= wantedRelativeHalfWidth) return weighed;
  }
  return bales;
}

/**
 * Sample adequacy as some rules state it: n = t² s² / (d·mean)², with t taken once, at the size of the first sample
 * and one-sided. Source: Mississippi Administrative Code, title 11, part 8, addendum 11-8-2-A-J (hay production
 * measurements).
 */
export function samplesForAdequacy(input: {
  firstSample: number;
  coefficientOfVariation: number;
  oneSidedConfidence: number;
  wantedRelativeHalfWidth: number;
}): number {
  const t = tQuantile(input.oneSidedConfidence, input.firstSample - 1);
  return Math.ceil(((t * input.coefficientOfVariation) / input.wantedRelativeHalfWidth) ** 2);
}

/**
 * Volume of a round bale: width × π × (diameter / 2)², in the cube of the unit given; with a density, its weight in
 * pounds.
 */
export function roundBaleSize(input: { widthFt: number; diameterFt: number; densityLbPerFt3: number }): {
  readonly volumeFt3: number;
  readonly weightLb: number;
} {
  const volumeFt3 = input.widthFt * Math.PI * (input.diameterFt / 2) ** 2;
  return { volumeFt3, weightLb: volumeFt3 * input.densityLbPerFt3 };
}
