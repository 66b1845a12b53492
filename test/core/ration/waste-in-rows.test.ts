import loadHighs from 'highs';
import { type Candidate, rationRows, type RationLimits } from '../../../src/core/ration/ration-rows';
import { leastCostRation } from '../../../src/core/ration/solve';
import { solveWithHighs } from '../../../src/core/solver/highs-solver';
import type { SolveLinearProgram } from '../../../src/core/solver/linear-program';
import { PricePerMass } from '../../../src/core/units/money';
import { ALFALFA, DRY_COW, MEADOW, needs, STRAW } from './ration-fixtures';

let solve: SolveLinearProgram;
beforeAll(async () => {
  solve = solveWithHighs(await loadHighs());
});

const yard: Candidate[] = [STRAW, MEADOW, ALFALFA].map((lot, index) => ({
  lot: { ...lot, price: PricePerMass.of(String(60 + 65 * index), 'USD', 'ton') },
  role: 'mixed',
  availableKg: null,
  bulkDensityKgPerM3: 80,
}));
const cow: RationLimits = {
  requirement: needs(DRY_COW),
  fullBodyWeightKg: DRY_COW.fullBodyWeightKg,
  proteinSystem: 'metabolizable',
  minerals: ['calcium', 'phosphorus'],
  intakeCapShare: 1.1,
  head: 100,
  days: 60,
};

/* Common practice, no source: what is fed is what is eaten over (1 − waste); a fifth wasted takes a quarter more. */
describe('waste in the rows of a ration', () => {
  test('a kilogram fed is eaten but for its water and its waste', () => {
    const rows = rationRows({ candidates: yard, limits: { ...cow, wastedShare: 0.2 }, feedForMaintenanceShare: 1 });
    const eaten = rows.find(({ key }) => key === 'intake')?.perKg ?? [];
    expect(eaten).toHaveLength(yard.length);
    yard.forEach(({ lot }, index) => expect(eaten[index]).toBeCloseTo((lot.dryMatterPercent.value / 100) * 0.8, 12));
  });
  test('a fifth wasted costs a quarter more', () => {
    const cost = (limits: RationLimits): number => {
      const found = leastCostRation({ candidates: yard, limits, solve });
      if (!found.ok || found.value.status !== 'solved') throw new Error('not solved');
      return found.value.costPerHeadDay.amount.toNumber();
    };
    expect(cost({ ...cow, wastedShare: 0.2 }) / cost(cow)).toBeCloseTo(1.25, 6);
  });
});
