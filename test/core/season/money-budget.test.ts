import {
  type BudgetAmount,
  budgetAgainstActual,
  type Held,
  heldAgainst,
  summedCosts,
  summedRows,
} from '../../../src/core/season/money-budget.js';
import { linesOf, rollUp } from '../../../src/core/season/roll-up.js';
import { Money } from '../../../src/core/units/money.js';

const usd = (amount: string): Money => Money.of(amount, 'USD');
const one = (month: string, line: BudgetAmount['line'], amount: string, herdId = 'a'): BudgetAmount => ({
  month,
  herdId,
  line,
  amount: usd(amount),
});

// Common practice, no source: variance is actual less budget; of costs less is good, of sales more.
describe('a money budget against actual', () => {
  it('has a row for every plan and for what came without one, by month, herd and line', () => {
    const rows = budgetAgainstActual(
      [one('2026-12', 'yardage', '100'), one('2026-11', 'hay', '500'), one('2026-11', 'hay', '50', 'b')],
      [one('2026-11', 'hay', '300'), one('2026-11', 'hay', '275'), one('2026-11', 'herd-costs', '40')],
      'USD',
    );
    expect(
      rows.map(({ month, herdId, line, budget, actual, variance, variancePercent, favorable }) => [
        `${month} ${herdId} ${line}`,
        budget?.toString() ?? null,
        actual.toString(),
        variance?.toString() ?? null,
        variancePercent?.toFixed() ?? null,
        favorable,
      ]),
    ).toEqual([
      ['2026-11 a hay', '500 USD', '575 USD', '75 USD', '15', false],
      ['2026-11 a herd-costs', null, '40 USD', null, null, null],
      ['2026-11 b hay', '50 USD', '0 USD', '-50 USD', '-100', true],
      ['2026-12 a yardage', '100 USD', '0 USD', '-100 USD', '-100', true],
    ]);
  });

  // By hand: hay is planned for a of two herds, 500; it came to 575 there and to 300 in the other, which has no plan.
  it('holds in sums what was planned against what came of that, and tells apart what had no plan', () => {
    const rows = budgetAgainstActual(
      [one('2026-11', 'hay', '500')],
      [one('2026-11', 'hay', '575'), one('2026-11', 'hay', '300', 'b'), one('2026-11', 'yardage', '60')],
      'USD',
    );
    const told = ({ budget, actual, unplanned, variance, variancePercent, favorable }: Held): unknown[] => [
      ...[budget, actual, unplanned, variance].map((money) => money?.toString() ?? null),
      variancePercent?.toFixed() ?? null,
      favorable,
    ];
    const hay = rows.filter(({ line }) => line === 'hay');
    expect(told(summedRows('hay', hay, 'USD'))).toEqual(['500 USD', '875 USD', '300 USD', '75 USD', '15', false]);
    expect(told(summedCosts(rows, 'USD'))).toEqual(['500 USD', '935 USD', '360 USD', '75 USD', '15', false]);
    expect(rows.map(told)).toEqual([
      ['500 USD', '575 USD', '0 USD', '75 USD', '15', false],
      [null, '60 USD', '60 USD', null, null, null],
      [null, '300 USD', '300 USD', null, null, null],
    ]);
  });

  it.each([
    ['cattle-sold', '90', false],
    ['cattle-sold', '100', true],
    ['hay', '90', true],
    ['hay', '100', true],
    ['hay', '101', false],
  ] as const)('of %s, %s against 100 is to the good: %s', (line, actual, good) => {
    expect(heldAgainst(line, usd('100'), usd(actual)).favorable).toBe(good);
  });

  it('has no percent of nothing', () => {
    expect(heldAgainst('hay', usd('0'), usd('12'))).toMatchObject({ variancePercent: null, favorable: false });
  });
});

describe('a roll-up', () => {
  it('adds what has one currency, and never two', () => {
    const of = (operationId: string, currency: 'USD' | 'CAD', amount: string) => ({
      operationId,
      currency,
      lines: linesOf(() => Money.of(amount, currency)),
    });
    const sums = rollUp([of('a', 'USD', '1.50'), of('b', 'CAD', '7'), of('c', 'USD', '2.25')]);
    expect(sums.map(({ currency, operationIds, lines }) => [currency, operationIds, lines.hay.toString()])).toEqual([
      ['CAD', ['b'], '7 CAD'],
      ['USD', ['a', 'c'], '3.75 USD'],
    ]);
  });
});
