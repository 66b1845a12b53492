import { normalQuantile } from './special-functions.js';

/** Names the generator in every kept seed, so that a draw can be repeated by another program. */
export const GENERATOR_NAME = 'PCG32 (XSH-RR 64/32), O’Neill 2014';

export interface SeededRandom {
  /** A whole number from 0 to 2³² − 1. */
  nextUint32(): number;
  /** A whole number from 0 to below `limit`, each equally likely. */
  nextBelow(limit: number): number;
  /** A standard normal value, by inversion. */
  nextNormal(): number;
}

/**
 * 6364136223846793005 in two halves of 32 bits: whole numbers of 64 bits are kept as halves, which is much faster than
 * BigInt.
 */
const MULTIPLIER_HIGH = 0x5851f42d;
const MULTIPLIER_LOW = 0x4c957f2d;
const SEED_TEXT = /^\d{1,20}$/;
const LARGEST_SEED = (1n << 64n) - 1n;

/** A seed is a whole number below 2⁶⁴ as text, so that it survives JSON. */
export function isSeed(seed: string): boolean {
  return SEED_TEXT.test(seed) && BigInt(seed) <= LARGEST_SEED;
}

/**
 * Seeded generator PCG32. Source: O'Neill, M.E. 2014. PCG: a family of simple fast space-efficient statistically good
 * algorithms for random number generation. Harvey Mudd College, HMC-CS-2014-0905.
 * @throws RangeError if the seed is not a whole number below 2⁶⁴ written in digits.
 */
export function seededRandom({ seed, stream = '54' }: { seed: string; stream?: string }): SeededRandom {
  if (!isSeed(seed) || !isSeed(stream)) throw new RangeError('A seed is a whole number below 2^64 written in digits');
  const halves = (whole: bigint) => ({
    high: Number(BigInt.asUintN(64, whole) >> 32n),
    low: Number(BigInt.asUintN(32, whole)),
  });
  const increment = halves((BigInt(stream) << 1n) | 1n);
  const start = halves(BigInt(seed));
  let high = 0;
  let low = 0;
  const add = (other: { high: number; low: number }) => {
    const sum = low + other.low;
    high = (high + other.high + (sum > 0xffffffff ? 1 : 0)) >>> 0;
    low = sum >>> 0;
  };
  const nextUint32 = (): number => {
    const [oldHigh, oldLow] = [high, low];
    // low × MULTIPLIER_LOW in 64 bits, by halves of 16 bits.
    const a = oldLow >>> 16;
    const b = oldLow & 0xffff;
    const c = MULTIPLIER_LOW >>> 16;
    const d = MULTIPLIER_LOW & 0xffff;
    const middle = ((b * d) >>> 16) + ((a * d) & 0xffff) + ((b * c) & 0xffff);
    low = (((middle & 0xffff) << 16) | ((b * d) & 0xffff)) >>> 0;
    const carried = a * c + ((a * d) >>> 16) + ((b * c) >>> 16) + (middle >>> 16);
    high = (carried + Math.imul(oldHigh, MULTIPLIER_LOW) + Math.imul(oldLow, MULTIPLIER_HIGH)) >>> 0;
    add(increment);
    // XSH-RR: the top bits are folded down, and the five highest say how far to turn.
    const foldedHigh = (oldHigh >>> 18) ^ oldHigh;
    const foldedLow = ((oldLow >>> 18) | (oldHigh << 14)) ^ oldLow;
    const word = ((foldedLow >>> 27) | (foldedHigh << 5)) >>> 0;
    const turn = oldHigh >>> 27;
    return ((word >>> turn) | (word << (-turn & 31))) >>> 0;
  };
  nextUint32();
  add(start);
  nextUint32();
  return {
    nextUint32,
    nextBelow: (limit) => {
      if (!Number.isInteger(limit) || limit < 1 || limit > 2 ** 32)
        throw new RangeError(`A limit is a whole number from 1 to 2^32, was ${limit}`);
      // Values under the remainder are drawn again: otherwise small results would come up more often.
      const remainder = 2 ** 32 % limit;
      let value = nextUint32();
      while (value < remainder) value = nextUint32();
      return value % limit;
    },
    nextNormal: () => normalQuantile((nextUint32() + 0.5) / 2 ** 32),
  };
}

/**
 * A random order of the items. Source: Fisher and Yates 1938, in the form of Durstenfeld 1964, Communications of the
 * ACM 7:420.
 */
export function shuffled<Item>(items: readonly Item[], random: SeededRandom): Item[] {
  const order = items.map((item) => item);
  for (let last = order.length - 1; last > 0; last -= 1) {
    const pick = random.nextBelow(last + 1);
    const held = order[last];
    const picked = order[pick];
    if (held === undefined || picked === undefined) continue;
    order[last] = picked;
    order[pick] = held;
  }
  return order;
}
