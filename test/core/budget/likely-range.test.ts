/*
 * The likely range of a hay budget: a winter as planned is the budget itself, and the range holds as often as it says.
 */
import { hayBudget } from '../../../src/core/budget/hay-budget.js';
import { periodHayNeed } from '../../../src/core/budget/hay-need.js';
import { likelyRange, yardOf } from '../../../src/core/budget/likely-range.js';
import { seededRandom } from '../../../src/core/trial/seeded-random.js';
import { Mass } from '../../../src/core/units/mass.js';
import { addDays, daysBetween } from '../../../src/core/time/calendar-day.js';
import { coverageOfLikelyRange, inventedYard } from '../../support/simulated-yards.js';

describe('the likely range of a hay budget', () => {
  it('runs a winter as planned exactly as the budget does', () => {
    const random = seededRandom({ seed: '7' });
    for (let yards = 0; yards < 10; yards += 1) {
      const { input, doubts } = inventedYard(random);
      const budget = hayBudget(input);
      if (!budget.ok) throw new Error('The invented yard is refused');
      const outcome = yardOf(
        input,
        budget.stock.map(({ on }) => on),
      ).run({
        needTimes: doubts.herds.map(() => 1),
        lots: doubts.lots.map(({ loss }) => ({ seasonLoss: loss.typical.toNumber(), balanceTimes: 1 })),
      });
      const { runsOutOn, short, needed } = budget.yard;
      expect(outcome.runsOutAfterDays).toBe(runsOutOn === null ? null : daysBetween(input.from, runsOutOn));
      expect(outcome.shortKg).toBeCloseTo(short.kilograms.toNumber(), 3);
      expect(outcome.neededKg).toBeCloseTo(needed.kilograms.toNumber(), 3);
      expect(outcome.stockKg).toHaveLength(budget.stock.length);
      budget.stock.forEach(({ byKind }, index) => {
        const kg = Mass.sum(byKind.map(({ mass }) => mass)).kilograms.toNumber();
        expect(outcome.stockKg[index]).toBeCloseTo(kg, 3);
      });
    }
  });

  it('leaves out the days that a herd is fed already, as the need and the budget do', () => {
    const random = seededRandom({ seed: '11' });
    for (let yards = 0; yards < 5; yards += 1) {
      const { input, doubts } = inventedYard(random);
      const fed = { ...input, herds: input.herds.map((herd) => ({ ...herd, feedsFrom: addDays(input.from, 1) })) };
      const later = { ...input, from: addDays(input.from, 1) };
      const [budget, need, needLater] = [hayBudget(fed), periodHayNeed(fed), periodHayNeed(later)];
      if (!budget.ok || !need.ok || !needLater.ok) throw new Error('The invented yard is refused');
      const { neededKg } = yardOf(fed).run({
        needTimes: doubts.herds.map(() => 1),
        lots: doubts.lots.map(({ loss }) => ({ seasonLoss: loss.typical.toNumber(), balanceTimes: 1 })),
      });
      const whole = needLater.total.kilograms.toNumber();
      for (const kg of [neededKg, budget.yard.needed.kilograms.toNumber(), need.total.kilograms.toNumber()])
        expect(kg).toBeCloseTo(whole, 3);
    }
  });

  it('holds what happens in 80 to 98 of 100 winters, where it says 90', () => {
    const { runOut, short } = coverageOfLikelyRange({ yards: 20, draws: 50, seed: '20261125' });
    for (const share of [runOut, short]) expect([share >= 0.8, share <= 0.98]).toEqual([true, true]);
  });

  it('is the same for the same budget', () => {
    const { input, doubts } = inventedYard(seededRandom({ seed: '3' }));
    expect(likelyRange(yardOf(input), doubts)).toEqual(likelyRange(yardOf(input), doubts));
  });
});
