/* Figures cross between threads exactly: what arrives is what was sent, digit for digit and of the same class. */
import { packed, unpacked } from '../../../src/core/units/crossing.js';
import { Decimal, decimal } from '../../../src/core/units/decimal.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money, PricePerMass } from '../../../src/core/units/money.js';
import fc, { examples } from '../../support/properties.js';

const crossed = <T>(value: T): T => unpacked(structuredClone(packed(value))) as T;
const figure = fc
  .tuple(fc.bigInt({ min: -(10n ** 30n), max: 10n ** 30n }), fc.integer({ min: 0, max: 24 }))
  .map(([digits, places]) => new Decimal(digits.toString()).div(new Decimal(10).pow(places)));

describe('A figure that crosses', () => {
  it('keeps every digit', () => {
    fc.assert(
      fc.property(figure, (value) => {
        expect(crossed(value).eq(value)).toBe(true);
        expect(crossed(Mass.kilograms(value)).kilograms.eq(value)).toBe(true);
        expect(crossed(Money.of(value, 'CAD')).amount.eq(value)).toBe(true);
        expect(crossed(PricePerMass.perKilogram(value, 'USD')).in('kg').eq(value)).toBe(true);
      }),
      { numRuns: examples(200) },
    );
  });

  it('of sixty digits is not cut short', () => {
    const third = decimal(1).div(3);
    expect(crossed(third).toFixed()).toBe(`0.${'3'.repeat(60)}`);
  });

  it('is of its own class again, wherever it stood', () => {
    const sent = {
      lots: new Map([['a', { left: Mass.of('1', 'lb'), tried: [Money.of('2.50', 'USD')], none: undefined, no: null }]]),
      on: new Set(['2027-01-15']),
      at: new Date('2027-01-15T15:00:00Z'),
      floats: [Number.NaN, -0, 0.1],
      bytes: new Uint8Array([1, 2]),
    };
    const got = crossed(sent);
    expect(got).toEqual(sent);
    expect(got.lots.get('a')?.left).toBeInstanceOf(Mass);
    expect(got.lots.get('a')?.left.in('lb').toFixed()).toBe('1');
    expect(got.lots.get('a')?.tried[0]).toBeInstanceOf(Money);
    expect(Object.is(got.floats[1], -0)).toBe(true);
  });

  it('is nothing that a caller can make up in a body', () => {
    // Text and numbers of a request pass as they are; the mark is a name that no schema takes.
    expect(crossed({ text: 'mass', '\u0000figures': 'mass' })).toEqual({ text: 'mass', '\u0000figures': 'mass' });
  });
});
