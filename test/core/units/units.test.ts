import fc from 'fast-check';
import { Decimal, decimal, shareOut, sumDecimals } from '../../../src/core/units/decimal.js';
import { Mass, MASS_UNIT_CODES } from '../../../src/core/units/mass.js';
import { Money, PricePerMass } from '../../../src/core/units/money.js';

const typedDecimal = fc
  .tuple(fc.integer({ min: -999_999, max: 999_999 }), fc.integer({ min: 0, max: 9999 }))
  .map(([whole, fraction]) => `${whole}.${String(fraction).padStart(4, '0')}`);

describe('mass', () => {
  // Source: NIST Handbook 44, appendix C (international avoirdupois pound, 1959).
  it('uses the exact pound, short ton and ounce', () => {
    expect(Mass.of('1', 'lb').kilograms.toFixed()).toBe('0.45359237');
    expect(Mass.of('1', 'ton').in('lb').toFixed()).toBe('2000');
    expect(Mass.of('16', 'oz').in('lb').toFixed()).toBe('1');
  });

  it('round-trips every unit through kilograms', () => {
    fc.assert(
      fc.property(typedDecimal, fc.constantFrom(...MASS_UNIT_CODES), (value, unit) => {
        const back = Mass.of(value, unit).in(unit);
        expect(back.toDecimalPlaces(12).eq(new Decimal(value))).toBe(true);
      }),
    );
  });

  it('refuses a float, which cannot be written exactly', () => {
    expect(() => decimal(0.1)).toThrow(/float/);
  });
});

describe('money', () => {
  it('prices a mass and comes back to the price', () => {
    const price = PricePerMass.of('180', 'USD', 'ton');
    const cost = price.for(Mass.of('12.5', 'ton'));
    expect(cost.rounded().toString()).toBe('2250 USD');
    expect(cost.per(Mass.of('12.5', 'ton')).in('ton').toDecimalPlaces(20).toFixed()).toBe('180');
  });

  it('does not add two currencies', () => {
    expect(() => Money.of('1', 'USD').plus(Money.of('1', 'CAD'))).toThrow(/Cannot combine/);
  });

  it('shares freight over lots to the cent, whatever the weights', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -1_000_000, max: 1_000_000 }),
        fc
          .array(fc.integer({ min: 0, max: 5000 }), { minLength: 1, maxLength: 9 })
          .filter((weights) => weights.some((weight) => weight > 0)),
        (cents, weights) => {
          const total = decimal(cents).div(100);
          const shares = shareOut(total, weights.map(decimal), 2);
          expect(sumDecimals(shares).eq(total)).toBe(true);
          shares.forEach((share, index) => {
            const exact = total.times(weights[index] ?? 0).div(weights.reduce((sum, weight) => sum + weight, 0));
            expect(share.minus(exact).abs().lt('0.01')).toBe(true);
          });
        },
      ),
    );
  });
});
