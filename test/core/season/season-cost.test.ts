/* A season's cost per head, head-day, mass fed and mass eaten; expected values are divisions done by hand. */
import fc from '../../support/properties.js';
import { type FedLine, type HerdMonth, seasonCost, SEASON_GROUPS } from '../../../src/core/season/season-cost.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money } from '../../../src/core/units/money.js';

const usd = (amount: string | number): Money => Money.of(amount, 'USD');
const ton = (value: string | number): Mass => Mass.of(value, 'ton');

const fed = (more: Partial<FedLine>): FedLine => ({
  herdId: 'cows',
  ranchId: 'home',
  hayKind: 'grass',
  month: '2024-01',
  mass: ton(100),
  cost: usd(9000),
  ...more,
});
const stood = (more: Partial<HerdMonth>): HerdMonth => ({
  herdId: 'cows',
  ranchId: 'home',
  month: '2024-01',
  headDays: 9000,
  days: 90,
  yardage: usd(0),
  lost: Mass.zero,
  feedings: 90,
  feedingsWithLossMeasured: 0,
  ...more,
});
const cost = (lines: readonly FedLine[], herdMonths: readonly HerdMonth[], by: (typeof SEASON_GROUPS)[number]) =>
  seasonCost({ fed: lines, herdMonths, by, days: 90, currency: 'USD' });

describe('what a season cost', () => {
  it('is told per head, head-day, ton fed and ton eaten', () => {
    // 9,000 USD, 100 head for 90 days, 100 tons fed of which 10 were refused or wasted.
    const { total } = cost([fed({})], [stood({ lost: ton(10), feedingsWithLossMeasured: 90 })], 'operation');
    expect([
      total.perHead?.toString(),
      total.perHeadDay?.toString(),
      total.perMassFed?.in('ton').toDecimalPlaces(10).toNumber(),
      total.perMassEaten?.in('ton').toDecimalPlaces(10).toNumber(),
    ]).toEqual(['90 USD', '1 USD', 90, 100]);
  });

  it('has nothing to divide by without cattle, without hay or without losses seen', () => {
    expect(cost([fed({})], [], 'operation').total).toMatchObject({ perHead: null, perHeadDay: null, eaten: null });
    expect(cost([], [stood({})], 'operation').total).toMatchObject({ perMassFed: null, perMassEaten: null });
  });

  // By hand: 100 t of which 10 were lost, and 40 t of which nobody measured a loss, which count as eaten whole.
  it('has an eaten column that adds up, where losses of only some herds were measured', () => {
    const lines = [fed({}), fed({ herdId: 'calves', mass: ton(40), cost: usd(4000) })];
    const months = [stood({ lost: ton(10), feedingsWithLossMeasured: 9 }), stood({ herdId: 'calves' })];
    const { rows, total } = cost(lines, months, 'herd');
    expect([...rows, total].map(({ key, eaten }) => [key, eaten?.in('ton').toNumber()])).toEqual([
      ['calves', 40],
      ['cows', 90],
      ['total', 130],
    ]);
  });

  it('counts a feeding that was reversed in the month of its reversal, below zero', () => {
    const lines = [
      fed({ mass: ton(2), cost: usd(200) }),
      fed({ month: '2024-02', mass: ton(-2), cost: usd(-200) }),
      fed({ month: '2024-02', herdId: 'calves', mass: ton(1), cost: usd(100) }),
    ];
    const months = cost(lines, [], 'month').rows;
    expect(months.map((row) => [row.key, row.fed.in('ton').toNumber(), row.hayCost.toString()])).toEqual([
      ['2024-01', 2, '200 USD'],
      ['2024-02', -1, '-100 USD'],
    ]);
    const herds = cost(lines, [], 'herd').rows;
    expect(herds.map((row) => [row.key, row.fed.in('ton').toNumber(), row.hayCost.toString()])).toEqual([
      ['calves', 1, '100 USD'],
      ['cows', 0, '0 USD'],
    ]);
  });

  it.each(SEASON_GROUPS)('by %s its rows add up to the total, to the cent', (by) => {
    const lines = fc.array(
      fc
        .record({
          herdId: fc.constantFrom('cows', 'calves'),
          ranchId: fc.constantFrom('home', 'north'),
          hayKind: fc.constantFrom('grass', 'alfalfa'),
          month: fc.constantFrom('2024-01', '2024-02'),
          kilograms: fc.integer({ min: -1_000_000, max: 1_000_000 }),
          cents: fc.integer({ min: -1_000_000, max: 1_000_000 }),
        })
        .map(({ kilograms, cents, ...line }): FedLine => ({
          ...line,
          mass: Mass.kilograms(kilograms),
          cost: usd(cents).dividedBy(100),
        })),
    );
    fc.assert(
      fc.property(lines, (some) => {
        const { rows, total } = cost(some, [], by);
        const sum = Money.sum(
          rows.map((row) => row.totalCost),
          'USD',
        );
        expect(sum.compare(total.totalCost)).toBe(0);
        expect(Mass.sum(rows.map((row) => row.fed)).compare(total.fed)).toBe(0);
      }),
    );
  });
});
