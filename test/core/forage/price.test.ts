import fc from '../../support/properties.js';
import {
  deliveredCost,
  freightForDistance,
  pricePerDryMatter,
  pricePerMegacalorie,
  pricePerNutrient,
  rankByNutrientPrice,
} from '../../../src/core/forage/price.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money, PricePerMass } from '../../../src/core/units/money.js';

const perTon = (amount: string) => PricePerMass.of(amount, 'USD', 'ton');

describe('price of hay and of what is in it', () => {
  it('is exact where the arithmetic is: $110 at 88 % dry matter is $125 a ton of it', () => {
    expect(
      pricePerDryMatter({ asFedPrice: perTon('110'), dryMatterPercent: 88 })
        .in('ton')
        .toDecimalPlaces(40)
        .toString(),
    ).toBe('125');
    const { pricePerNutrient: price } = pricePerNutrient({
      asFedPrice: perTon('110'),
      dryMatterPercent: 88,
      nutrientPercentOfDryMatter: 50,
    });
    expect(price.in('lb').toDecimalPlaces(40).toString()).toBe('0.125');
  });

  it('buys back the hay: nutrient price times nutrient is the price paid', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 50_000 }),
        fc.double({ min: 60, max: 100, noNaN: true }),
        fc.double({ min: 0.1, max: 90, noNaN: true }),
        (cents, dryMatterPercent, nutrientPercentOfDryMatter) => {
          const price = perTon((cents / 100).toFixed(2));
          const result = pricePerNutrient({ asFedPrice: price, dryMatterPercent, nutrientPercentOfDryMatter });
          expect(
            result.pricePerNutrient.in('ton').times(result.nutrientShareAsFed).minus(price.in('ton')).abs().lt('1e-40'),
          ).toBe(true);
        },
      ),
    );
  });

  it(
    'spreads price and freight over what is left; multiplying by one plus waste reads lower, about 4 % at 20 % ' +
      '(Iowa against Missouri)',
    () => {
      const inputs = {
        price: perTon('100'),
        bought: Mass.of('10', 'ton'),
        freightAndCharges: Money.of('200', 'USD'),
        storageLossPercent: 0,
        feedingWastePercent: 20,
      };
      const divided = deliveredCost(inputs);
      const multiplied = deliveredCost({ ...inputs, arithmetic: 'multiply' });
      expect(divided.landedPrice.in('ton').toDecimalPlaces(30).toString()).toBe('120');
      expect(divided.landedCost.toString()).toBe('1200 USD');
      expect(divided.pricePerEaten.in('ton').toDecimalPlaces(30).toString()).toBe('150');
      expect(multiplied.pricePerEaten.in('ton').toDecimalPlaces(30).toString()).toBe('144');
      expect(() => deliveredCost({ ...inputs, feedingWastePercent: 100 })).toThrow(RangeError);
      expect(() => deliveredCost({ ...inputs, bought: Mass.zero })).toThrow(RangeError);
      expect(() => deliveredCost({ ...inputs, storageLossPercent: -1 })).toThrow(RangeError);
    },
  );

  it('prices the bale that Missouri wastes: $45 at 36 % is $61.20 by multiplying and $70.31 per bale eaten', () => {
    // University of Missouri, ring feeders: the printed figure multiplies; dividing is the price of what is eaten.
    const inputs = {
      price: PricePerMass.of('45', 'USD', 'ton'),
      bought: Mass.of('1', 'ton'),
      freightAndCharges: Money.zero('USD'),
      storageLossPercent: 0,
      feedingWastePercent: 36,
    };
    expect(
      deliveredCost({ ...inputs, arithmetic: 'multiply' })
        .pricePerEaten.in('ton')
        .toFixed(2),
    ).toBe('61.20');
    expect(deliveredCost(inputs).pricePerEaten.in('ton').toFixed(2)).toBe('70.31');
  });

  it('refuses shares that mean nothing', () => {
    expect(() =>
      pricePerNutrient({ asFedPrice: perTon('100'), dryMatterPercent: 90, nutrientPercentOfDryMatter: 0 }),
    ).toThrow(RangeError);
    expect(() => pricePerDryMatter({ asFedPrice: perTon('100'), dryMatterPercent: 101 })).toThrow(RangeError);
    expect(() =>
      pricePerMegacalorie({ asFedPrice: perTon('100'), dryMatterPercent: 90, energyMcalPerKgDryMatter: 0 }),
    ).toThrow(RangeError);
    expect(() => freightForDistance({ ratePerLoadedDistance: Money.of('4', 'USD'), distance: -1 })).toThrow(RangeError);
    expect(
      pricePerMegacalorie({
        asFedPrice: PricePerMass.of('0.09', 'USD', 'kg'),
        dryMatterPercent: 90,
        energyMcalPerKgDryMatter: 1.25,
      })
        .toDecimalPlaces(30)
        .toString(),
    ).toBe('0.08');
  });

  it('ranks hays on offer by what a nutrient costs, cheapest first', () => {
    const ranked = rankByNutrientPrice([
      { id: 'grass', price: perTon('120'), dryMatterPercent: 90, nutrientPercentOfDryMatter: 8 },
      { id: 'alfalfa', price: perTon('200'), dryMatterPercent: 90, nutrientPercentOfDryMatter: 20 },
      { id: 'straw', price: perTon('70'), dryMatterPercent: 90, nutrientPercentOfDryMatter: 4 },
    ]);
    expect(ranked.map((row) => [row.rank, row.id])).toEqual([
      [1, 'alfalfa'],
      [2, 'grass'],
      [3, 'straw'],
    ]);
  });
});
