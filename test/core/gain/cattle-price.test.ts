import { cattleWorth, inCattleUnit, pricePerCattleMass } from '../../../src/core/gain/cattle-price.js';
import { decimal } from '../../../src/core/units/decimal.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money } from '../../../src/core/units/money.js';

const lb = (value: string | number): Mass => Mass.of(String(value), 'lb');

describe('what cattle are worth', () => {
  // Source: Harp, R. (slides), Stocker/Feedlot Example: 360 lb at $1.05 is $378 a calf; 700 lb less 3 % shrink is
  // 679 lb, at $0.90 $611.10.
  it('by weight, without and with a pencil shrink', () => {
    const calf = cattleWorth({
      price: { basis: 'per-mass', price: pricePerCattleMass('1.05', 'USD', 'lb') },
      head: 1,
      totalWeight: lb(360),
    });
    expect(calf.ok && calf.worth.toString()).toBe('378 USD');
    const shrunk = cattleWorth({
      price: { basis: 'per-mass', price: pricePerCattleMass('90', 'USD', 'cwt'), pencilShrink: decimal('0.03') },
      head: 1,
      totalWeight: lb(700),
    });
    expect(shrunk.ok && [shrunk.worth.toString(), shrunk.payWeight?.in('lb').toFixed()]).toEqual(['611.1 USD', '679']);
  });

  it('by the head, or as one sum, whatever they weigh', () => {
    const price = Money.of('1850.50', 'USD');
    expect(cattleWorth({ price: { basis: 'per-head', price }, head: 12, totalWeight: null })).toMatchObject({
      ok: true,
      payWeight: null,
    });
    const [each, all] = [
      cattleWorth({ price: { basis: 'per-head', price }, head: 12, totalWeight: null }),
      cattleWorth({ price: { basis: 'lump-sum', price }, head: 12, totalWeight: lb(9000) }),
    ];
    // By hand: 12 x 1,850.50.
    expect(each.ok && each.worth.toString()).toBe('22206 USD');
    expect(all.ok && all.worth.toString()).toBe('1850.5 USD');
  });

  it('is refused by weight where there is none', () => {
    expect(
      cattleWorth({
        price: { basis: 'per-mass', price: pricePerCattleMass('2', 'USD', 'lb') },
        head: 3,
        totalWeight: null,
      }),
    ).toMatchObject({ ok: false, problems: [{ code: 'weight-missing', field: 'meanWeight' }] });
  });

  // A hundredweight is 100 lb: NIST Handbook 44, appendix C.
  it('has a hundredweight of 100 lb, to the last digit', () => {
    const price = pricePerCattleMass('182.35', 'USD', 'cwt');
    expect([inCattleUnit(price, 'cwt').toFixed(4), inCattleUnit(price, 'lb').toFixed(6)]).toEqual([
      '182.3500',
      '1.823500',
    ]);
    expect(price.for(lb(700)).rounded().toString()).toBe('1276.45 USD');
  });
});
