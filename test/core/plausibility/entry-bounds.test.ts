/*
 * Every bound of entries says where it comes from, what is impossible lies outside of what is usual, and money is
 * judged by the ton whatever it was given by. The prices are those of published reports, as named beside each;
 * from memory.
 */
import {
  BALE_WEIGHT_POSSIBLE,
  CHARGES_OF_TON,
  CURRENCY_OF_DOLLAR,
  DAY_BOUNDS,
  HEAD_BOUNDS,
  LEFT_BOUNDS,
  LOT_MASS_POSSIBLE,
  OFFER_BOUNDS,
  PRICE_OF_TON,
  WEIGHT_BOUNDS,
  WEIGHT_CHANGE,
  YARDAGE_OF_HEAD_DAY,
} from '../../../src/core/plausibility/entry-bounds.data.js';
import { moneyMisfit, priceMisfit } from '../../../src/core/plausibility/money-fit.js';
import { massMisfit } from '../../../src/core/stock/hay-mass-fit.js';
import { usuallyOfferedKg } from '../../../src/core/laying/offer-fit.js';
import { decimal } from '../../../src/core/units/decimal.js';
import { Mass } from '../../../src/core/units/mass.js';
import { PricePerMass } from '../../../src/core/units/money.js';

const ALL = {
  ...BALE_WEIGHT_POSSIBLE,
  LOT_MASS_POSSIBLE,
  ...PRICE_OF_TON,
  CHARGES_OF_TON,
  YARDAGE_OF_HEAD_DAY,
  DAY_BOUNDS,
  LEFT_BOUNDS,
  ...HEAD_BOUNDS,
  ...OFFER_BOUNDS,
  ...WEIGHT_BOUNDS,
  ...WEIGHT_CHANGE,
};

describe('bounds of entries', () => {
  it.each(Object.entries(ALL))('says where %s comes from', (_name, { source }) => {
    expect(source).toMatch(/common practice|from memory|extension|NRC|USDA|breed descriptions|data\.ts/i);
  });

  it.each([...Object.values(PRICE_OF_TON), CHARGES_OF_TON, YARDAGE_OF_HEAD_DAY, ...Object.values(WEIGHT_BOUNDS)])(
    'takes for possible whatever is usual (%#)',
    ({ usual, possible }) => {
      expect([possible[0] <= usual[0], usual[0] < usual[1], usual[1] <= possible[1]]).toEqual([true, true, true]);
    },
  );

  it.each([
    // USDA NASS Agricultural Prices, U.S. means: alfalfa of 2012, other hay of 2016, corn of 2012 (7 dollars a bushel).
    ['hay', '211', 'ton'],
    ['hay', '122', 'ton'],
    ['hay', '0.09', 'lb'],
    ['grain', '250', 'ton'],
  ] as const)('finds a published price of %s usual: %s a %s', (group, amount, unit) => {
    expect(priceMisfit(PricePerMass.of(amount, 'USD', unit), group)).toBeUndefined();
  });

  it.each([
    ['145', 'ton', undefined],
    ['0', 'ton', undefined],
    ['1450', 'ton', false],
    ['14.5', 'ton', false],
    ['145', 'lb', true],
    ['0.145', 'ton', false],
    ['145', 'kg', true],
  ] as const)('of 145 dollars a ton of hay, judges %s a %s', (amount, unit, impossible) => {
    expect(priceMisfit(PricePerMass.of(amount, 'USD', unit), 'hay')?.impossible).toBe(impossible);
  });

  it('judges a currency by about what a dollar is in it', () => {
    for (const [currency, scale] of Object.entries(CURRENCY_OF_DOLLAR)) {
      const most = decimal(PRICE_OF_TON.hay.usual[1]).times(scale);
      const of = (amount: typeof most) => moneyMisfit(amount, PRICE_OF_TON.hay, currency as 'USD');
      expect([of(most), of(most.plus('0.01'))?.impossible]).toEqual([undefined, false]);
    }
  });

  it.each([
    [1000, undefined],
    [370, false],
    [2400, false],
    [150, true],
    [4000, true],
  ])('of round bales, judges %d lb', (pounds, impossible) => {
    const mass = Mass.of(pounds * 40, 'lb');
    expect(massMisfit({ mass, bales: 40, baleForm: 'round' })?.impossible).toBe(impossible);
  });

  it('offers a cow of 600 kg 30 kg on a day, and 24 more for each day more', () => {
    expect([1, 2, 7].map((days) => usuallyOfferedKg({ bodyWeightKg: 600, days }))).toEqual([30, 54, 174]);
  });
});
