/*
 * The cheapest ration in whole bales, against a search through every number of bales there is. Hays and prices are made
 * here.
 */
import loadHighs from 'highs';
import { PricePerMass } from '../../../src/core/units/money';
import { solveWithHighs } from '../../../src/core/solver/highs-solver';
import type { SolveLinearProgram } from '../../../src/core/solver/linear-program';
import type { RationLot } from '../../../src/core/ration/ration';
import { rationRows, type Candidate, type RationLimits } from '../../../src/core/ration/ration-rows';
import { leastCostRation } from '../../../src/core/ration/solve';
import type { WholeBaleRation } from '../../../src/core/ration/whole-bale-ration';
import type { LayerRole } from '../../../src/core/laying/layer';
import { ALFALFA, DRY_COW, KG_PER_LB, MEADOW, needs, STRAW, YEARLING } from './ration-fixtures';

let solve: SolveLinearProgram;
beforeAll(async () => {
  solve = solveWithHighs(await loadHighs());
});

const baled = (
  lot: RationLot,
  dollarsPerTon: string,
  role: LayerRole,
  balePounds: number | null,
  availableKg: number | null = null,
): Candidate => ({
  lot: { ...lot, price: PricePerMass.of(dollarsPerTon, 'USD', 'ton') },
  role,
  availableKg,
  bulkDensityKgPerM3: 80,
  baleWeightKg: balePounds === null ? null : balePounds * KG_PER_LB,
});
const yard = [
  baled(STRAW, '60', 'coarse', 800),
  baled(MEADOW, '110', 'mixed', 1200),
  baled(ALFALFA, '190', 'rich', 1100),
];
const cows: RationLimits = {
  requirement: needs(DRY_COW),
  fullBodyWeightKg: DRY_COW.fullBodyWeightKg,
  proteinSystem: 'crude',
  minerals: ['calcium', 'phosphorus'],
  intakeCapShare: 1.15,
  head: 60,
  days: 60,
};
const yearlings: RationLimits = {
  ...cows,
  requirement: needs(YEARLING),
  fullBodyWeightKg: YEARLING.fullBodyWeightKg,
  minerals: [],
  intakeCapShare: 1.3,
  head: 45,
};

function asked(candidates: readonly Candidate[], limits: RationLimits, wholeBalesEveryDays = 1) {
  const outcome = leastCostRation({ candidates, limits, solve, wholeBalesEveryDays });
  if (!outcome.ok || outcome.value.status !== 'solved') throw new Error(JSON.stringify(outcome));
  return outcome.value;
}
function whole(...given: Parameters<typeof asked>): WholeBaleRation {
  const { wholeBales } = asked(...given);
  if (wholeBales?.ok !== true) throw new Error(JSON.stringify(wholeBales));
  return wholeBales.ration;
}
const balesOf = ({ parts }: WholeBaleRation): Record<string, number | null> =>
  Object.fromEntries(parts.map(({ lotName, bales }) => [lotName, bales]));

/** Every row kept, energy at whatever share of feed for maintenance suits best, tried one by one. */
function keepsAll(candidates: readonly Candidate[], limits: RationLimits, kilograms: readonly number[]): boolean {
  const gains = limits.requirement.netEnergyGainMcalPerDay > 0;
  const shares = gains ? Array.from({ length: 999 }, (_none, index) => (index + 1) / 1000) : [1];
  return shares.some((share) =>
    rationRows({ limits, candidates, feedForMaintenanceShare: share }).every(({ perKg, lower, upper }) => {
      const activity = perKg.reduce((sum, value, index) => sum + value * (kilograms[index] ?? 0), 0);
      const dust = 1e-7 * Math.max(1, Math.abs(lower ?? upper ?? 0));
      return (lower === null || activity >= lower - dust) && (upper === null || activity <= upper + dust);
    }),
  );
}

/** The cheapest of all numbers of bales up to `most` of each, by trying them. */
function bySearch(
  candidates: readonly Candidate[],
  limits: RationLimits,
  everyDays: number,
  most: number,
): { bales: number[]; cost: number } | undefined {
  const units = candidates.map(({ baleWeightKg }) => (baleWeightKg ?? 0) / (limits.head * everyDays));
  const prices = candidates.map(({ lot }) => lot.price?.in('kg').toNumber() ?? 0);
  let best: { bales: number[]; cost: number } | undefined;
  const each = (bales: number[]): void => {
    if (bales.length === candidates.length) {
      const kilograms = bales.map((count, index) => count * (units[index] ?? 0));
      const cost = kilograms.reduce((sum, kg, index) => sum + kg * (prices[index] ?? 0), 0);
      if ((best === undefined || cost < best.cost - 1e-9) && keepsAll(candidates, limits, kilograms))
        best = { bales, cost };
      return;
    }
    for (let count = 0; count <= most; count += 1) each([...bales, count]);
  };
  each([]);
  return best;
}

describe('the cheapest ration in whole bales', () => {
  test.each([
    ['cows, every day', cows, 1],
    ['cows, every second day', cows, 2],
    ['yearlings that gain, every day', yearlings, 1],
    ['yearlings, every third day', yearlings, 3],
  ] as const)('is what a search through every number finds: %s', (_name, limits, everyDays) => {
    const found = bySearch(yard, limits, everyDays, everyDays === 1 ? 6 : 9);
    expect(found).toBeDefined();
    const ration = whole(yard, limits, everyDays);
    expect(ration.missed).toEqual([]);
    expect(ration.costPerHeadDay.amount.toNumber()).toBeCloseTo(found?.cost ?? NaN, 6);
    expect(yard.map(({ lot }) => balesOf(ration)[lot.lotName] ?? 0)).toEqual(found?.bales);
  });

  test(
    'costs what rounding costs: never less than the weights where nothing is missed, and less the longer one ' +
      'feeding lasts',
    () => {
      const weights = asked(yard, cows).costPerHeadDay.amount.toNumber();
      const costs = [1, 2, 4, 8].map((everyDays) => whole(yard, cows, everyDays));
      for (const ration of costs) {
        expect(ration.missed).toEqual([]);
        expect(ration.costOfRounding.amount.toNumber()).toBeGreaterThanOrEqual(-1e-6);
        expect(ration.costOfRounding.amount.toNumber()).toBeCloseTo(
          ration.costPerHeadDay.amount.toNumber() - weights,
          7,
        );
        for (const { bales } of ration.parts) expect(Number.isInteger(bales)).toBe(true);
      }
      // Two feedings of n bales are one of 2n for twice the days: the longer span can do whatever the shorter can.
      const amounts = costs.map((ration) => ration.costPerHeadDay.amount.toNumber());
      for (let index = 1; index < amounts.length; index += 1)
        expect(amounts[index] ?? NaN).toBeLessThanOrEqual((amounts[index - 1] ?? NaN) + 1e-7);
    },
  );

  test('misses as little as can be where no whole number keeps all, and says which demand by how much', () => {
    // Three cows and bales of half a ton: whatever is laid for one day is far from the need.
    const few = { ...cows, head: 3, intakeCapShare: 1.05 };
    expect(bySearch(yard, few, 1, 3)).toBeUndefined();
    const ration = whole(yard, few, 1);
    expect(ration.missed.length).toBeGreaterThan(0);
    for (const { missesBy, words } of ration.missed) {
      expect(missesBy).toBeGreaterThan(0);
      expect(words).not.toBe('');
    }
    // Laid for ten days at a time, three cows eat whole bales after all.
    expect(whole(yard, few, 20).missed).toEqual([]);
  });

  test('never takes more bales than lie in the yard', () => {
    const short = [
      baled(STRAW, '60', 'coarse', 800),
      baled(MEADOW, '110', 'mixed', 1200, 60 * 1200 * KG_PER_LB),
      baled(ALFALFA, '190', 'rich', 1100),
    ];
    const bales = balesOf(whole(short, { ...cows, intakeCapShare: 1.3 }, 1));
    // 60 bales of meadow over 60 days are one a day.
    expect(bales[MEADOW.lotName] ?? 0).toBeLessThanOrEqual(1);
  });

  test('lays by weight what is not counted in bales, and names it', () => {
    const loose = [
      baled(STRAW, '60', 'coarse', 800),
      baled(MEADOW, '110', 'mixed', null),
      baled(ALFALFA, '190', 'rich', null),
    ];
    const ration = whole(loose, cows, 1);
    expect(ration.missed).toEqual([]);
    for (const { lotName, bales } of ration.parts)
      expect([lotName, bales === null]).toEqual([lotName, lotName !== STRAW.lotName]);
    expect(ration.notInBales.length).toBeGreaterThan(0);
    expect(ration.costPerHeadDay.amount.toNumber()).toBeLessThanOrEqual(
      whole(yard, cows, 1).costPerHeadDay.amount.toNumber() + 1e-7,
    );
  });

  test('refuses a feeding longer than the hay has to last', () => {
    expect(leastCostRation({ candidates: yard, limits: cows, solve, wholeBalesEveryDays: 61 })).toMatchObject({
      ok: false,
      problems: [{ field: 'wholeBalesEveryDays' }],
    });
    expect(asked(yard, cows).status).toBe('solved');
  });
});
