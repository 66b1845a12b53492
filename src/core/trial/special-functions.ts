/** log Γ needs the Stirling series only above this argument; below it the recurrence lifts the argument. */
const STIRLING_FROM = 15;
/** B(2k) / (2k (2k − 1)), k = 1…8. Source: NIST Digital Library of Mathematical Functions, 5.11.1. */
const STIRLING = [1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360, 1 / 156, -3617 / 122400] as const;
const HALF_LOG_TWO_PI = 0.5 * Math.log(2 * Math.PI);

/**
 * Natural logarithm of the gamma function for a positive argument.
 * Source: NIST Digital Library of Mathematical Functions, 5.11.1 (Stirling's series) with the recurrence 5.5.1.
 * @throws RangeError if x is not positive.
 */
export function logGamma(x: number): number {
  if (!(x > 0)) throw new RangeError(`logGamma takes a positive number, was given ${x}`);
  let product = 1;
  let lifted = x;
  while (lifted < STIRLING_FROM) {
    product *= lifted;
    lifted += 1;
  }
  let series = 0;
  let power = 1 / lifted;
  for (const coefficient of STIRLING) {
    series += coefficient * power;
    power /= lifted * lifted;
  }
  return (lifted - 0.5) * Math.log(lifted) - lifted + HALF_LOG_TWO_PI + series - Math.log(product);
}

/** log of x^a (1 − x)^b / B(a, b), with 1 − x given apart so that no digit is lost near one. */
function logBetaKernel(x: number, complement: number, a: number, b: number): number {
  const logX = x < 0.5 ? Math.log(x) : Math.log1p(-complement);
  const logComplement = complement < 0.5 ? Math.log(complement) : Math.log1p(-x);
  return a * logX + b * logComplement + logGamma(a + b) - logGamma(a) - logGamma(b);
}

const TINY = 1e-300;
const MOST_TERMS = 100_000;

/**
 * Continued fraction for the incomplete beta function, evaluated by the modified Lentz method (Thompson and Barnett
 * 1986).
 */
function betaFraction(x: number, a: number, b: number): number {
  let c = 1;
  let d = 1 - ((a + b) * x) / (a + 1);
  d = 1 / (Math.abs(d) < TINY ? TINY : d);
  let value = d;
  for (let m = 1; m < MOST_TERMS; m += 1) {
    let delta = 1;
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    for (const term of [even, odd]) {
      d = 1 + term * d;
      d = 1 / (Math.abs(d) < TINY ? TINY : d);
      c = 1 + term / c;
      if (Math.abs(c) < TINY) c = TINY;
      delta = c * d;
      value *= delta;
    }
    if (Math.abs(delta - 1) < 1e-16) break;
  }
  return value;
}

/**
 * Regularised incomplete beta function I_x(a, b).
 * `complement` is 1 − x; pass it when it is known more exactly than x itself.
 * Source: NIST Digital Library of Mathematical Functions, 8.17.22 (continued fraction) and 8.17.4 (symmetry).
 */
export function regularisedIncompleteBeta({
  x,
  complement = 1 - x,
  a,
  b,
}: {
  x: number;
  complement?: number;
  a: number;
  b: number;
}): number {
  if (!(a > 0) || !(b > 0))
    throw new RangeError(`The incomplete beta function takes positive shapes, was given ${a} and ${b}`);
  if (x <= 0) return 0;
  if (complement <= 0) return 1;
  const kernel = Math.exp(logBetaKernel(x, complement, a, b));
  if (x <= (a + 1) / (a + b + 2)) return (kernel * betaFraction(x, a, b)) / a;
  return 1 - (kernel * betaFraction(complement, b, a)) / b;
}

/**
 * Chance that a standard normal value is above z.
 * Source: Abramowitz and Stegun 1964, 26.2.11 (series, near the middle) and 26.2.14 (continued fraction, in the tail).
 */
export function normalUpperTail(z: number): number {
  if (z < 0) return 1 - normalUpperTail(-z);
  const density = Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
  if (z < 3) {
    let term = z;
    let sum = z;
    for (let odd = 3; Math.abs(term) > 1e-18 * Math.abs(sum); odd += 2) {
      term *= (z * z) / odd;
      sum += term;
    }
    return 0.5 - density * sum;
  }
  // The further out, the fewer terms it takes.
  let fraction = z;
  for (let k = Math.ceil(10 + 1400 / (z * z)); k >= 1; k -= 1) fraction = z + k / fraction;
  return density / fraction;
}

/** Rational approximations of algorithm AS 241 (PPND16). Source: Wichura, M.J. 1988. Applied Statistics 37:477-484. */
const AS241 = {
  middle: {
    above: [
      3.387132872796366608, 133.14166789178437745, 1971.5909503065514427, 13731.693765509461125, 45921.953931549871457,
      67265.770927008700853, 33430.575583588128105, 2509.0809287301226727,
    ],
    below: [
      1, 42.313330701600911252, 687.1870074920579083, 5394.1960214247511077, 21213.794301586595867,
      39307.89580009271061, 28729.085735721942674, 5226.495278852854561,
    ],
  },
  shoulder: {
    above: [
      1.42343711074968357734, 4.6303378461565452959, 5.7694972214606914055, 3.64784832476320460504,
      1.27045825245236838258, 0.24178072517745061177, 0.0227238449892691845833, 7.7454501427834140764e-4,
    ],
    below: [
      1, 2.05319162663775882187, 1.6763848301838038494, 0.68976733498510000455, 0.14810397642748007459,
      0.0151986665636164571966, 5.475938084995344946e-4, 1.05075007164441684324e-9,
    ],
  },
  tail: {
    above: [
      6.6579046435011037772, 5.4637849111641143699, 1.7848265399172913358, 0.29656057182850489123,
      0.026532189526576123093, 0.0012426609473880784386, 2.71155556874348757815e-5, 2.01033439929228813265e-7,
    ],
    below: [
      1, 0.59983220655588793769, 0.13692988092273580531, 0.0148753612908506148525, 7.868691311456132591e-4,
      1.8463183175100546818e-5, 1.4215117583164458887e-7, 2.04426310338993978564e-15,
    ],
  },
} as const;

function ratio(
  { above, below }: { readonly above: readonly number[]; readonly below: readonly number[] },
  x: number,
): number {
  const horner = (coefficients: readonly number[]) =>
    coefficients.reduceRight((sum, coefficient) => sum * x + coefficient, 0);
  return horner(above) / horner(below);
}

/**
 * The z below which a standard normal value falls with chance p. Source: Wichura 1988, algorithm AS 241. @throws
 * RangeError outside 0 < p < 1.
 */
export function normalQuantile(p: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`A chance lies between 0 and 1, was given ${p}`);
  const q = p - 0.5;
  if (Math.abs(q) <= 0.425) return q * ratio(AS241.middle, 0.180625 - q * q);
  const r = Math.sqrt(-Math.log(q < 0 ? p : 1 - p));
  const size = r <= 5 ? ratio(AS241.shoulder, r - 1.6) : ratio(AS241.tail, r - 5);
  return q < 0 ? -size : size;
}
