/*
 * The seed of random examples in this test run: one for every worker, printed once. It is the same in each run;
 * RICKYARD_SEARCH=1 draws a fresh one, RICKYARD_SEED=<number> repeats a run.
 */
const { randomInt } = require('node:crypto');

const FIXED_SEED = 20261125;

exports.announceRunSeed = () => {
  if (process.env.RICKYARD_SEED) return;
  const fresh = process.env.RICKYARD_SEARCH === '1';
  process.env.RICKYARD_SEED = String(fresh ? randomInt(2 ** 31) : FIXED_SEED);
  const examples = process.env.RICKYARD_EXAMPLES ?? (fresh ? 'search' : 'normal');
  process.stderr.write(`Seed of random examples: RICKYARD_SEED=${process.env.RICKYARD_SEED} (examples: ${examples})\n`);
};
