/*
 * How many random examples a test runs, and their seed.
 *
 * RICKYARD_EXAMPLES   quick (a tenth), normal (as written in the test; the default) or search (ten times as many)
 * RICKYARD_SEARCH=1   a fresh seed for this run, and a search's examples unless RICKYARD_EXAMPLES says otherwise
 * RICKYARD_SEED=<n>   the seed that a run printed: repeats it
 */

const FACTORS = { quick: 0.1, normal: 1, search: 10 } as const;
type Mode = keyof typeof FACTORS;

/** Fewer would say little, however quick. */
const FEWEST = 20;

function modeOf(environment: NodeJS.ProcessEnv): Mode {
  const mode = environment['RICKYARD_EXAMPLES'] ?? (environment['RICKYARD_SEARCH'] === '1' ? 'search' : 'normal');
  if (!Object.hasOwn(FACTORS, mode)) throw new Error(`RICKYARD_EXAMPLES is quick, normal or search, not "${mode}"`);
  return mode as Mode;
}

/** The number of examples to run in this mode, where `normal` is what `npm test` runs. */
export function examples(normal: number, environment: NodeJS.ProcessEnv = process.env): number {
  const scaled = Math.ceil(normal * FACTORS[modeOf(environment)]);
  return Math.max(scaled, Math.min(normal, FEWEST));
}

/** The seed of the run: set and printed by test/support/run-seed.cjs, which jest's settings call. */
export function runSeed(environment: NodeJS.ProcessEnv = process.env): number {
  const seed = Number(environment['RICKYARD_SEED'] || NaN);
  if (!Number.isInteger(seed) || seed < 0 || seed >= 2 ** 31)
    throw new Error('RICKYARD_SEED is a whole number from 0 to below 2^31');
  return seed;
}

/**
 * The seed of one simulation, from 0 to below 2^32: made from its name and the run's seed, so that two simulations
 * differ. Source of the hash: FNV-1a, 32 bits (IETF draft-eastlake-fnv).
 */
export function seed(name: string, environment: NodeJS.ProcessEnv = process.env): number {
  let hash = 0x811c9dc5;
  for (const byte of Buffer.from(`${runSeed(environment)}:${name}`)) hash = Math.imul(hash ^ byte, 0x01000193) >>> 0;
  return hash;
}
