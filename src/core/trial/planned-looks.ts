import { normalQuantile, normalUpperTail } from './special-functions.js';

export type SpendingKind = 'obrien-fleming-type' | 'pocock-type';

/**
 * Share of the two-sided alpha that may be used up by a look at this fraction of the full information. Source: Lan and
 * DeMets 1983, Biometrika 70:659-663.
 */
export function alphaSpent({ kind, alpha, fraction }: { kind: SpendingKind; alpha: number; fraction: number }): number {
  if (fraction <= 0) return 0;
  const at = Math.min(1, fraction);
  // Each side is spent on its own, half of alpha each.
  return kind === 'pocock-type'
    ? alpha * Math.log(1 + (Math.E - 1) * at)
    : 4 * normalUpperTail(normalQuantile(1 - alpha / 4) / Math.sqrt(at));
}

const GRID = 400;

/** Simpson weights on an even grid of GRID steps. */
function simpson(step: number): number[] {
  return Array.from({ length: GRID + 1 }, (_, i) => ((i === 0 || i === GRID ? 1 : i % 2 === 1 ? 4 : 2) * step) / 3);
}

interface Density {
  readonly at: readonly number[];
  readonly weighted: readonly number[];
}

function firstDensity(limit: number, variance: number): Density {
  const step = (2 * limit) / GRID;
  const at = Array.from({ length: GRID + 1 }, (_, i) => -limit + i * step);
  const weights = simpson(step);
  return {
    at,
    weighted: at.map(
      (s, i) => (Math.exp((-s * s) / (2 * variance)) / Math.sqrt(2 * Math.PI * variance)) * (weights[i] ?? 0),
    ),
  };
}

function nextDensity(before: Density, limit: number, variance: number): Density {
  const step = (2 * limit) / GRID;
  const at = Array.from({ length: GRID + 1 }, (_, i) => -limit + i * step);
  const weights = simpson(step);
  const scale = 1 / Math.sqrt(2 * Math.PI * variance);
  return {
    at,
    weighted: at.map((s, i) => {
      const density = before.at.reduce(
        (sum, u, j) => sum + (before.weighted[j] ?? 0) * Math.exp(-((s - u) ** 2) / (2 * variance)),
        0,
      );
      return density * scale * (weights[i] ?? 0);
    }),
  };
}

/** Chance of having stayed inside so far and stepping outside ±limit now. */
function chanceOutside(before: Density, limit: number, variance: number): number {
  const sd = Math.sqrt(variance);
  return before.at.reduce(
    (sum, u, j) =>
      sum + (before.weighted[j] ?? 0) * (normalUpperTail((limit - u) / sd) + normalUpperTail((limit + u) / sd)),
    0,
  );
}

/**
 * Chance of crossing ±z at each look for the first time, when there is no effect. Source: Armitage, McPherson and Rowe
 * 1969, Journal of the Royal Statistical Society A 132:235-244 (recursive integration).
 */
export function chanceOfFirstCrossing({
  fractions,
  z,
}: {
  fractions: readonly number[];
  z: readonly number[];
}): number[] {
  let density: Density | null = null;
  let reached = 0;
  return fractions.map((fraction, look) => {
    const limit = (z[look] ?? 0) * Math.sqrt(fraction);
    const variance = fraction - reached;
    const chance = density === null ? 2 * normalUpperTail(z[look] ?? 0) : chanceOutside(density, limit, variance);
    density = density === null ? firstDensity(limit, variance) : nextDensity(density, limit, variance);
    reached = fraction;
    return chance;
  });
}

export interface LookBoundary {
  readonly look: number;
  readonly fraction: number;
  /** Two-sided alpha used up to and including this look. */
  readonly alphaSpent: number;
  readonly z: number;
  /** Two-sided alpha to use in the interval and the test of this look. */
  readonly nominalAlpha: number;
}

/**
 * Boundaries of a plan with several looks that keeps the two-sided alpha over all of them.
 * Source: Lan and DeMets 1983, Biometrika 70:659-663. Small trials use the nominal alpha with Student's t.
 * @throws RangeError if fractions do not rise within 0 to 1.
 */
export function lookBoundaries({
  fractions,
  alpha,
  kind,
}: {
  fractions: readonly number[];
  alpha: number;
  kind: SpendingKind;
}): LookBoundary[] {
  if (fractions.length === 0 || fractions.some((fraction, i) => !(fraction > (fractions[i - 1] ?? 0) && fraction <= 1)))
    throw new RangeError('Looks need fractions of the information that rise within 0 to 1');
  let density: Density | null = null;
  let reached = 0;
  let spent = 0;
  return fractions.map((fraction, index) => {
    const upTo = alphaSpent({ kind, alpha, fraction });
    const variance = fraction - reached;
    const root = Math.sqrt(fraction);
    const before: Density | null = density;
    const chance = (z: number) =>
      before === null ? 2 * normalUpperTail(z) : chanceOutside(before, z * root, variance);
    let low = 0;
    let high = 12;
    for (let step = 0; step < 45; step += 1) {
      const middle = (low + high) / 2;
      if (chance(middle) > upTo - spent) low = middle;
      else high = middle;
    }
    const z = (low + high) / 2;
    density = before === null ? firstDensity(z * root, variance) : nextDensity(before, z * root, variance);
    reached = fraction;
    spent = upTo;
    return { look: index + 1, fraction, alphaSpent: upTo, z, nominalAlpha: 2 * normalUpperTail(z) };
  });
}
