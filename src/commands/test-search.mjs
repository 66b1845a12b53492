import { bin, ensureInstalled, run } from './ensure-installed.mjs';

/**
 * `npm run test:search`: the core's tests with random examples from a fresh seed, ten times as many. To repeat a
 * failure, use the seed that it prints: `RICKYARD_SEED=… RICKYARD_EXAMPLES=search npm test -- <file>`. Arguments
 * after `--` go to jest.
 */

ensureInstalled();
const words = process.argv.slice(2);
const { status } = run(process.execPath, [bin('jest'), '--silent', ...(words.length === 0 ? ['test/core/'] : words)], {
  env: { ...process.env, RICKYARD_SEARCH: '1' },
});
process.exit(status);
