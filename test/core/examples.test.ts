import fc, { examples } from '../support/properties.js';
import { examples as examplesIn, runSeed, seed } from '../support/examples.js';

describe('the number of random examples', () => {
  it('is as written in npm test, a tenth in a quick run, ten times as many in a search', () => {
    expect(examplesIn(1000, {})).toBe(1000);
    expect(examplesIn(1000, { RICKYARD_EXAMPLES: 'quick' })).toBe(100);
    expect(examplesIn(1000, { RICKYARD_EXAMPLES: 'search' })).toBe(10_000);
    expect(examplesIn(1000, { RICKYARD_SEARCH: '1' })).toBe(10_000);
    expect(examplesIn(1000, { RICKYARD_SEARCH: '1', RICKYARD_EXAMPLES: 'normal' })).toBe(1000);
  });
  it('is never below twenty, unless the test asks for fewer', () => {
    expect(examplesIn(60, { RICKYARD_EXAMPLES: 'quick' })).toBe(20);
    expect(examplesIn(5, { RICKYARD_EXAMPLES: 'quick' })).toBe(5);
  });
  it('refuses a mode that does not exist', () => {
    expect(() => examplesIn(100, { RICKYARD_EXAMPLES: 'fast' })).toThrow(/quick, normal or search/);
  });
  it('and the seed of the run are given to every property', () => {
    expect(fc.readConfigureGlobal()).toMatchObject({ seed: runSeed(), numRuns: examples(100) });
  });
});

describe('the seed of a simulation', () => {
  it('is the same in each run of one seed, another for another name or run', () => {
    const run = { RICKYARD_SEED: '7' };
    expect(seed('gains', run)).toBe(seed('gains', run));
    expect(seed('gains', run)).not.toBe(seed('weights', run));
    expect(seed('gains', run)).not.toBe(seed('gains', { RICKYARD_SEED: '8' }));
  });
  it('refuses a run seed that is not a whole number below 2^31', () => {
    for (const RICKYARD_SEED of ['', '1.5', '-1', String(2 ** 31), 'today'])
      expect(() => runSeed({ RICKYARD_SEED })).toThrow(/whole number/);
  });
});
