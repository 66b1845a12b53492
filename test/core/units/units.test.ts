import fc, { examples } from '../../support/properties.js';
import publishedValues from '../../reference/published-values.json';
import { DECIMAL_TEXT, Decimal, decimal, figureText, shareOut, sumDecimals } from '../../../src/core/units/decimal.js';
import { Mass, type MassUnit } from '../../../src/core/units/mass.js';
import {
  convert,
  convertDecimal,
  fromBaseUnit,
  shownUnit,
  toBaseUnit,
  unitIn,
  type Unit,
  unitRow,
  unitsOf,
} from '../../../src/core/units/unit.js';
import { DIMENSIONS, type UnitRow, UNITS } from '../../../src/core/units/units.data.js';
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
      fc.property(typedDecimal, fc.constantFrom(...unitsOf('mass')), (value, unit) => {
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

  // Source of the rule: half to even, IEEE 754-2019, 4.3.1. The quotients are of whole numbers, worked out with BigInt.
  it('rounds an exact half cent to even, whatever the unit of the price and of the weight', () => {
    const inGrains = (unit: MassUnit): bigint =>
      BigInt(Mass.of('1', unit).in('kg').times(decimal(10).pow(12)).toFixed());
    const halfEven = (numerator: bigint, denominator: bigint): bigint => {
      const [whole, left] = [numerator / denominator, numerator % denominator];
      const twice = 2n * left;
      const up = twice > denominator || (twice === denominator && whole % 2n === 1n);
      return up ? whole + 1n : whole;
    };
    let halves = 0;
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 40_000 }),
        fc.integer({ min: 1, max: 60_000 }),
        fc.constantFrom(...unitsOf('mass')),
        fc.constantFrom(...unitsOf('mass')),
        (cents, weight, per, unit) => {
          const [numerator, denominator] = [BigInt(cents) * BigInt(weight) * inGrains(unit), inGrains(per)];
          if ((2n * numerator) % denominator === 0n && numerator % denominator !== 0n) halves += 1;
          const price = PricePerMass.of(decimal(cents).div(100), 'USD', per);
          const answer = price.for(Mass.of(weight, unit)).rounded();
          expect(answer.amount.times(100).toFixed()).toBe(String(halfEven(numerator, denominator)));
          expect(price.in(per).eq(decimal(cents).div(100))).toBe(true);
        },
      ),
      { numRuns: examples(3000) },
    );
    expect(halves).toBeGreaterThan(5);
    // 81.25 a ton x 22,280 lb = 905.125, and 81.25 x 22,312 lb = 906.425.
    const of = (pounds: number) =>
      PricePerMass.of('81.25', 'USD', 'ton').for(Mass.of(pounds, 'lb')).rounded().toString();
    expect([of(22_280), of(22_312)]).toEqual(['905.12 USD', '906.42 USD']);
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

/** NIST Special Publication 811 (2008), appendix B.8, to the digits printed there; temperatures: its appendix B.9. */
const NIST_811: readonly (readonly [Unit, number])[] = [
  ['ft', 0.3048],
  ['in', 0.0254],
  ['lb', 0.45359237],
  ['gal', 3.785412],
  ['ft3', 28.31685],
  ['lb/ft3', 16.01846],
  ['mph', 1.609344],
];

describe('units', () => {
  it.each(NIST_811)('one %s is %f of its base unit', (unit, size) => {
    expect(toBaseUnit(1, unit) / size).toBeCloseTo(1, 6);
  });

  it('tells temperatures from the freezing to the boiling of water, and -40', () => {
    for (const [celsius, fahrenheit] of [
      [0, 32],
      [100, 212],
      [-40, -40],
    ] as const) {
      expect(toBaseUnit(fahrenheit, 'F')).toBeCloseTo(celsius, 12);
      expect(fromBaseUnit(celsius, 'F')).toBeCloseTo(fahrenheit, 12);
      expect(convertDecimal(String(fahrenheit), 'F', 'C').toNumber()).toBe(celsius);
      expect(convertDecimal(String(celsius), 'C', 'F').toNumber()).toBe(fahrenheit);
    }
  });

  it('goes from unit to unit by one exact factor', () => {
    expect(convert(1, 'lb', 'g')).toBe(453.59237);
    expect(convert(1, 'in', 'cm')).toBe(2.54);
    expect(convert(0.5, '%', 'ppm')).toBe(5000);
    expect(convert(45.359237, 'Mcal/cwt', 'Mcal/kg')).toBe(1);
    expect(convertDecimal('1', 'gal', 'L').toFixed()).toBe('3.785411784');
  });

  it('comes back to the figure from every unit', () => {
    fc.assert(
      fc.property(typedDecimal, fc.constantFrom(...(Object.keys(UNITS) as Unit[])), (text, unit) => {
        const value = Number(text);
        const near = Math.max(1, Math.abs(value)) * 1e-12;
        expect(Math.abs(fromBaseUnit(toBaseUnit(value, unit), unit) - value)).toBeLessThan(near);
      }),
    );
  });

  it('converts floats as the decimals do, to the 15th digit where 12 are served', () => {
    const scales = (Object.keys(UNITS) as Unit[]).filter((unit) => unitRow(unit).dimension !== 'temperature');
    const pairs = scales.flatMap((from) =>
      scales.filter((to) => unitRow(to).dimension === unitRow(from).dimension).map((to) => [from, to] as const),
    );
    fc.assert(
      fc.property(typedDecimal, fc.constantFrom(...pairs), (text, [from, to]) => {
        fc.pre(Number(text) !== 0);
        const exact = convertDecimal(text, from, to);
        const error = new Decimal(convert(Number(text), from, to)).div(exact).minus(1).abs();
        expect(error.lt(1e-15)).toBe(true);
      }),
      { numRuns: examples(1000) },
    );
  });

  it('shows each dimension in one unit a system and size, and keeps a gram a gram', () => {
    expect(shownUnit('mass', 'us', 'large')).toBe('ton');
    expect(unitIn('us', 'kg')).toBe('lb');
    expect(unitIn('us', 'Mcal/kg')).toBe('Mcal/lb');
    expect(unitIn('metric', 'gal')).toBe('L');
    expect(unitIn('us', 'g')).toBe('g');
    const shown = Object.values<UnitRow>(UNITS)
      .filter((row) => row.shown)
      .map((row) => [row.dimension, row.system, row.size].join());
    expect(new Set(shown).size).toBe(shown.length);
  });

  it('has each base unit in the table, at size one', () => {
    for (const [dimension, base] of Object.entries(DIMENSIONS)) {
      expect(unitRow(base)).toMatchObject({ dimension, of: '1' });
    }
  });

  it('carries the codes of the published lists', () => {
    const published = (id: string) => publishedValues.find((one) => one.id === id)?.expected;
    expect(unitRow('lb').ucum).toBe(published('ucum-lb'));
    expect(unitRow('ton').ucum).toBe(published('ucum-ston'));
    expect(unitRow('oz').ucum).toBe(published('ucum-oz'));
  });
});

describe('a figure as it is written', () => {
  it('has a digit somewhere, and digits after a point where there is one', () => {
    for (const text of ['0', '.5', '-.5', '0.5', '12.050', '-0.25']) expect(DECIMAL_TEXT.test(text)).toBe(true);
    for (const text of ['', '.', '-', '5.', '-.', '00.5', '01', '+1', '1e3', '1,5', ' 1', '.5.5'])
      expect(DECIMAL_TEXT.test(text)).toBe(false);
    expect(decimal('.5').plus(decimal('-.25')).toFixed()).toBe('0.25');
  });

  it('keeps to its digits and places', () => {
    const bales = figureText({ digits: 3, places: 2 });
    for (const text of ['.5', '.25', '007', '999.99']) expect(bales.test(text)).toBe(true);
    for (const text of ['.125', '1000', '-1', '1.125']) expect(bales.test(text)).toBe(false);
    expect(figureText({ digits: 1, places: 1, signed: true, leadingZeros: false }).test('-.5')).toBe(true);
  });
});
