import { TIE_FIGURES, type TieFigure, untied } from '../../../src/core/stock/tie-out.js';
import { Money } from '../../../src/core/units/money.js';

const all = (amount: string): Record<TieFigure, Money> =>
  Object.fromEntries(TIE_FIGURES.map((name) => [name, Money.of(amount, 'USD')])) as Record<TieFigure, Money>;

describe('a month of the books', () => {
  it('ties where every two figures of the same thing are the same to the cent', () => {
    expect(untied(all('12.34'))).toEqual([]);
    expect(untied({ ...all('12.34'), closeoutFeed: Money.of('12.3449', 'USD') })).toEqual([]);
  });

  it.each(TIE_FIGURES)('does not where %s is a cent off, and says which reports differ', (name) => {
    const told = untied({ ...all('12.34'), [name]: Money.of('12.35', 'USD') });
    expect(told.length).toBeGreaterThan(0);
    for (const words of told) expect(words).toMatch(/: (12\.34 and 12\.35|12\.35 and 12\.34)$/);
  });
});
