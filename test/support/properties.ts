/*
 * fast-check as the tests use it: every property starts from the run's seed and runs as many examples as the mode asks
 * for. A property with its own number writes `numRuns: examples(n)`. Lint refuses fast-check itself in a test.
 */
import fc from 'fast-check';
import { examples, runSeed } from './examples.js';

fc.configureGlobal({ seed: runSeed(), numRuns: examples(100) });

export default fc;
export { examples } from './examples.js';
