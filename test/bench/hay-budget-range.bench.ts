import { coverageOfLikelyRange } from '../support/simulated-yards.js';

jest.setTimeout(1_200_000);

const SEED = '20261129';

describe('the likely range of a hay budget', () => {
  it('holds what happens about as often as it says, over 200 yards with 200 winters each', () => {
    const yards = Number(process.env['YARDS'] ?? '200');
    const draws = Number(process.env['DRAWS'] ?? '200');
    const coverage = coverageOfLikelyRange({ yards, draws, seed: SEED });
    process.stdout.write(`${JSON.stringify({ bench: 'hay-budget-range', yards, draws, seed: SEED, ...coverage })}\n`);
    expect(coverage.runOut).toBeGreaterThan(0.8);
    expect(coverage.runOut).toBeLessThan(0.98);
  });
});
