/**
 * Sum with the rounding error of each addition kept and added back. Source: Neumaier, A. 1974. Zeitschrift für
 * Angewandte Mathematik und Mechanik 54:39-51.
 */
export function compensatedSum(values: Iterable<number>): number {
  let sum = 0;
  let lost = 0;
  for (const value of values) {
    const next = sum + value;
    lost += Math.abs(sum) >= Math.abs(value) ? sum - next + value : value - next + sum;
    sum = next;
  }
  return sum + lost;
}

export interface Description {
  readonly n: number;
  readonly mean: number;
  /** Sum of squared deviations from the mean. */
  readonly sumOfSquares: number;
  /** Denominator n − 1; NaN when n is 1. */
  readonly variance: number;
  readonly sd: number;
  readonly smallest: number;
  readonly largest: number;
}

/**
 * n, mean, variance and standard deviation by the corrected two-pass algorithm on compensated sums.
 * Source: Chan, Golub and LeVeque 1983, The American Statistician 37:242-247 (equation 1.7).
 * @throws RangeError if there is nothing to describe.
 */
export function describe(values: readonly number[]): Description {
  const n = values.length;
  const first = values[0];
  if (first === undefined) throw new RangeError('Nothing to describe: the list is empty');
  // Around a value of the set itself the sums stay small, however many leading digits the values share.
  const aroundFirst = values.map((value) => value - first);
  const shift = compensatedSum(aroundFirst) / n;
  const deviations = aroundFirst.map((value) => value - shift);
  const leftover = compensatedSum(deviations);
  const sumOfSquares = Math.max(
    0,
    compensatedSum(deviations.map((deviation) => deviation * deviation)) - (leftover * leftover) / n,
  );
  const variance = n > 1 ? sumOfSquares / (n - 1) : Number.NaN;
  return {
    n,
    mean: first + (shift + leftover / n),
    sumOfSquares,
    variance,
    sd: Math.sqrt(variance),
    smallest: values.reduce((smallest, value) => Math.min(smallest, value), first),
    largest: values.reduce((largest, value) => Math.max(largest, value), first),
  };
}

/** @throws RangeError if the list is empty. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((one, other) => one - other);
  const upper = sorted[Math.floor(sorted.length / 2)];
  const lower = sorted[Math.floor((sorted.length - 1) / 2)];
  if (upper === undefined || lower === undefined) throw new RangeError('No median of an empty list');
  return (upper + lower) / 2;
}
