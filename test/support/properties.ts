/*
 * fast-check as the tests use it: every property begins at the run's seed and runs as many examples as the mode asks.
 * A property that names a number of its own writes `numRuns: examples(n)`. Lint refuses fast-check itself in a test.
 */
import fc from 'fast-check';
import { examples, runSeed } from './examples.js';

fc.configureGlobal({ seed: runSeed(), numRuns: examples(100) });

export default fc;
export { examples } from './examples.js';
