import fc, { examples } from '../../support/properties.js';
import { hayBudget, type HayBudgetInput } from '../../../src/core/budget/hay-budget.js';
import { periodHayNeed } from '../../../src/core/budget/hay-need.js';
import { FEEDING_WASTE_CHOICES, type BudgetFeedingMethod } from '../../../src/core/budget/loss-choices.data.js';
import {
  measuredFeedingWaste,
  publishedFeedingWaste,
  publishedStorageLoss,
} from '../../../src/core/budget/loss-figures.js';
import { wastedShareOf } from '../../../src/core/judge/wasted-share.js';
import { type HayStorage, STORAGE_LOSS_BY_METHOD } from '../../../src/core/stock/storage-loss.data.js';
import { Mass } from '../../../src/core/units/mass.js';

const lb = (value: number): Mass => Mass.of(String(value), 'lb');

describe('published losses and their bounds', () => {
  // Sources as printed: University of Kentucky Extension 2012 (inside, on the ground 5 to 7 %), Rotz and Abrams and
  // others beside it.
  it('storage: the middle of the followed row, bounds of all rows for the method', () => {
    const roof = publishedStorageLoss('under-roof');
    expect([roof.typical.toNumber(), roof.low.toNumber(), roof.high.toNumber()]).toEqual([0.06, 0.03, 0.07]);
    // Iowa State University, 25 to 35 % on the ground; University of Tennessee 37 %; net wrap on sod 10.6 % (tall
    // fescue, 1995).
    const ground = publishedStorageLoss('outdoors-on-ground');
    expect([ground.typical.toNumber(), ground.low.toNumber(), ground.high.toNumber()]).toEqual([0.3, 0.106, 0.37]);
  });
  // Buskirk et al. 2003 (Michigan State University): cone 3.5 %, ring 6.1 %; Oklahoma State University: cone 5.3 %,
  // open ring 20.5 %.
  it('feeding: cone and ring', () => {
    expect([
      publishedFeedingWaste('cone-feeder').typical.toNumber(),
      publishedFeedingWaste('cone-feeder').high.toNumber(),
    ]).toEqual([0.035, 0.053]);
    expect([
      publishedFeedingWaste('ring-feeder').typical.toNumber(),
      publishedFeedingWaste('ring-feeder').high.toNumber(),
    ]).toEqual([0.061, 0.205]);
  });
  it('every choice has its rows, a source, and a typical figure within its bounds', () => {
    const all = [
      ...(Object.keys(STORAGE_LOSS_BY_METHOD) as HayStorage[]).map(publishedStorageLoss),
      ...(Object.keys(FEEDING_WASTE_CHOICES) as BudgetFeedingMethod[]).map(publishedFeedingWaste),
    ];
    expect(all).toHaveLength(11);
    for (const one of all)
      expect([one.low.lte(one.typical), one.typical.lte(one.high), one.source.length > 10]).toEqual([true, true, true]);
  });
});

describe('own feeding waste', () => {
  it('has the interval of a ratio worked by hand about the share that is judged', () => {
    // Residuals 0, 30, -30 lb about 10 % of 2,000, 1,000 and 1,000 lb: v = 1,800 / (2 · 3 · 1,333.33²), half width
    // 4.302653 · 0.0129904 = 0.055893. A ratio is the same in any unit.
    const days = [
      { fedKg: 2000, lostKg: 200 },
      { fedKg: 1000, lostKg: 130 },
      { fedKg: 1000, lostKg: 70 },
    ];
    const own = measuredFeedingWaste({ share: 0.1, days });
    expect(own.typical.toNumber()).toBeCloseTo(0.1, 12);
    expect(own.low.toNumber()).toBeCloseTo(0.1 - 0.055893, 5);
    expect(own.high.toNumber()).toBeCloseTo(0.1 + 0.055893, 5);
  });
  it('has no interval from one day', () => {
    expect(measuredFeedingWaste({ share: 0.1, days: [{ fedKg: 2000, lostKg: 200 }] })).toMatchObject({
      bounds: 'none',
      source: '1 day of its own feedings with the leftovers weighed',
    });
  });
  it('stays within 0 and 0.6, low below typical below high, for any feedings, at the share of the judge', () => {
    const feeding = fc.record({ fed: fc.integer({ min: 1, max: 20_000 }), part: fc.integer({ min: 0, max: 100 }) });
    fc.assert(
      fc.property(fc.array(feeding, { minLength: 1, maxLength: 12 }), (feedings) => {
        const days = feedings.map(({ fed, part }) => ({ fedKg: fed, lostKg: Math.floor((fed * part) / 100) }));
        const { share } = wastedShareOf({ measured: days, statedShare: null, fedAtPresent: true });
        const { low, typical, high } = measuredFeedingWaste({ share, days });
        return (
          low.gte(0) &&
          low.lte(typical) &&
          typical.lte(high) &&
          high.lte('0.6') &&
          Math.abs(typical.toNumber() - share) < 1e-6
        );
      }),
      { numRuns: examples(1000) },
    );
  });
});

describe('intake that changes by month', () => {
  const input: HayBudgetInput = {
    herds: [
      {
        herdId: 'h',
        headEvents: [{ day: '2026-12-01', kind: 'in', head: 10 }],
        dryMatterIntakePerHeadDay: lb(20),
        ofMonths: [{ month: '2027-01', dryMatterIntakePerHeadDay: lb(30) }],
        dryMatter: '1',
        waste: '0',
        kinds: [{ hayKind: 'meadow', share: '1' }],
      },
    ],
    lots: [
      {
        lotId: 'l',
        hayKind: 'meadow',
        balance: lb(10_000),
        storedOn: '2026-12-01',
        countedOn: '2026-12-01',
        seasonLoss: '0',
      },
    ],
    from: '2026-12-01',
    until: '2027-03-01',
    currency: 'USD',
    prices: [],
  };
  it('counts each month by its own figure, in the need and in the yard alike', () => {
    const need = periodHayNeed(input);
    if (!need.ok) throw new Error(JSON.stringify(need.problems));
    // 31 days at 200 lb, 31 at 300, 28 at 200.
    expect(need.rows.map((row) => row.needed.in('lb').toNumber())).toEqual([6200, 9300, 5600]);
    const budget = hayBudget(input);
    if (!budget.ok) throw new Error(JSON.stringify(budget.problems));
    expect(budget.yard.needed.in('lb').toNumber()).toBe(21_100);
    // 6,200 lb in December leave 3,800: twelve days and two thirds at 300 lb, so the lot ends on the 13th of January.
    expect(budget.lots[0]?.runsOutOn).toBe('2027-01-13');
    expect(budget.yard.short.in('lb').toNumber()).toBe(11_100);
  });
});
