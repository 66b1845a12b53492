import fc from '../../support/properties.js';
import {
  breakEvenPriceByNutrient,
  petersen1932FeedValue,
  type PricedFeed,
} from '../../../src/core/forage/break-even.js';
import { pricePerNutrient } from '../../../src/core/forage/price.js';
import { PricePerMass } from '../../../src/core/units/money.js';

const perTon = (amount: string) => PricePerMass.of(amount, 'USD', 'ton');
const corn: PricedFeed = {
  id: 'corn',
  price: perTon('160'),
  dryMatterPercent: 88,
  energyPercentOfDryMatter: 88,
  crudeProteinPercentOfDryMatter: 9,
};
const meal: PricedFeed = {
  id: 'soybean meal',
  price: perTon('400'),
  dryMatterPercent: 90,
  energyPercentOfDryMatter: 84,
  crudeProteinPercentOfDryMatter: 52,
};

describe('break-even price of a hay', () => {
  it('is the price at which its nutrient costs what the cheapest alternative asks', () => {
    const alternatives = [
      { id: 'grass', price: perTon('100'), dryMatterPercent: 90, nutrientPercentOfDryMatter: 50 },
      { id: 'straw', price: perTon('90'), dryMatterPercent: 90, nutrientPercentOfDryMatter: 40 },
    ];
    const hay = { dryMatterPercent: 90, nutrientPercentOfDryMatter: 60 };
    const { breakEvenPrice, cheapest, cheapestPricePerNutrient } = breakEvenPriceByNutrient({ hay, alternatives });
    expect(cheapest).toBe('grass');
    // Same dry matter, 60 against 50 parts: six fifths of the price.
    expect(breakEvenPrice.in('ton').toDecimalPlaces(30).toString()).toBe('120');
    const back = pricePerNutrient({ asFedPrice: breakEvenPrice, ...hay }).pricePerNutrient;
    expect(back.in('lb').minus(cheapestPricePerNutrient.in('lb')).abs().lt('1e-40')).toBe(true);
    expect(() => breakEvenPriceByNutrient({ hay, alternatives: [] })).toThrow(RangeError);
  });

  it('values the two reference feeds at their own price, and a blend of them at the blended price', () => {
    expect(
      petersen1932FeedValue({ hay: corn, energyFeed: corn, proteinFeed: meal })
        .value.in('ton')
        .toDecimalPlaces(30)
        .toString(),
    ).toBe('160');
    expect(
      petersen1932FeedValue({ hay: meal, energyFeed: corn, proteinFeed: meal })
        .value.in('ton')
        .toDecimalPlaces(30)
        .toString(),
    ).toBe('400');
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 100 }), (percentOfMeal) => {
        const share = percentOfMeal / 100;
        const blend = (of: (feed: PricedFeed) => number) => of(corn) * (1 - share) + of(meal) * share;
        const hay = {
          dryMatterPercent: 100,
          energyPercentOfDryMatter: blend((feed) => (feed.energyPercentOfDryMatter * feed.dryMatterPercent) / 100),
          crudeProteinPercentOfDryMatter: blend(
            (feed) => (feed.crudeProteinPercentOfDryMatter * feed.dryMatterPercent) / 100,
          ),
        };
        const { value } = petersen1932FeedValue({ hay, energyFeed: corn, proteinFeed: meal });
        expect(value.in('ton').toNumber()).toBeCloseTo(160 + 240 * share, 6);
      }),
    );
  });

  it('says when a price comes out negative and refuses feeds that cannot be told apart', () => {
    const dear = { ...meal, price: perTon('5000') };
    expect(petersen1932FeedValue({ hay: corn, energyFeed: corn, proteinFeed: dear }).aPriceIsNegative).toBe(true);
    expect(petersen1932FeedValue({ hay: corn, energyFeed: corn, proteinFeed: meal }).aPriceIsNegative).toBe(false);
    expect(() => petersen1932FeedValue({ hay: corn, energyFeed: corn, proteinFeed: { ...corn, id: 'twin' } })).toThrow(
      RangeError,
    );
    expect(() =>
      petersen1932FeedValue({
        hay: corn,
        energyFeed: corn,
        proteinFeed: { ...meal, price: PricePerMass.of('400', 'CAD', 'ton') },
      }),
    ).toThrow(RangeError);
  });
});
