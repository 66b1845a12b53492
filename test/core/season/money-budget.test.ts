import { budgetAgainstActual, heldAgainst, type BudgetAmount } from '../../../src/core/season/money-budget.js';
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
