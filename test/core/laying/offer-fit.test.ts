/*
 * What cannot be offered to cattle of a weight. The bounds and their sources stand in offer-bounds.data.ts; the cases
 * are ten-fold slips, and what ranches do lay at once: common practice, no source. Intakes: Texas A&M AgriLife
 * Extension (2.3 to 2.5 % of weight for milking cows), Alabama Extension 2022 (young cattle 3 %).
 */
import {
  heaviestBaleKg,
  isUnlikelyOffer,
  mostDaysLaidFor,
  mostOfferedKg,
  offerMisfit,
} from '../../../src/core/laying/offer-fit.js';
import fc from '../../support/properties.js';

const KG_PER_LB = 0.45359237;
const most = (pounds: number, days = 1) => mostOfferedKg({ bodyWeightKg: pounds * KG_PER_LB, days }) / KG_PER_LB;

describe('what cattle can be offered', () => {
  it.each([
    ['a cow at 2 %', 1300, 26],
    ['a milking cow at 2.5 %', 1200, 30],
    ['a calf at 3 %', 550, 16.5],
  ])('takes what extension tells of %s, and refuses ten times as much a day', (_who, weight, pounds) => {
    const mostLb = most(weight);
    expect(pounds).toBeLessThan(mostLb);
    expect(pounds * 10).toBeGreaterThan(mostLb);
    expect(isUnlikelyOffer({ dryMatterKg: pounds, bodyWeightKg: weight })).toBe(false);
    expect(isUnlikelyOffer({ dryMatterKg: pounds * 2.6, bodyWeightKg: weight })).toBe(true);
  });

  it('takes half as much again for a calf beside its cow, half of it wasted', () => {
    expect((1200 * 0.025 + 500 * 0.025) * 2).toBeLessThan(most(1200));
  });

  it('takes bales for a week, a fourth of them wasted, and refuses seven hundred pounds a cow', () => {
    const week = most(1300, mostDaysLaidFor('ring-feeder'));
    expect((7 * 0.025 * 1300) / 0.75).toBeLessThan(week);
    expect(week).toBeLessThan(704);
    expect(most(1300, mostDaysLaidFor('bunk'))).toBeLessThan(260);
  });

  it('says of one part how much would be possible, and that much is', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0.01, max: 500, noNaN: true }), { minLength: 1, maxLength: 5 }),
        fc.double({ min: 5, max: 200, noNaN: true }),
        (parts, mostKg) => {
          const misfit = offerMisfit(parts, mostKg);
          expect(misfit === undefined).toBe(parts.reduce((sum, one) => sum + one, 0) <= mostKg * (1 + 1e-9));
          if (misfit === undefined || misfit.part === null) return;
          const { index, allowedShare } = misfit.part;
          expect(
            offerMisfit(
              parts.map((kg, at) => (at === index ? kg * allowedShare : kg)),
              mostKg,
            ),
          ).toBeUndefined();
        },
      ),
    );
  });

  it('knows what one bale weighs at most, of hay only', () => {
    expect(heaviestBaleKg({ hayKind: 'meadow', baleForm: 'round', meanBaleKg: 500 })).toBe(500);
    expect(heaviestBaleKg({ hayKind: 'meadow', baleForm: 'round', meanBaleKg: null })).toBe(1500);
    expect(heaviestBaleKg({ hayKind: 'meadow', baleForm: 'loose', meanBaleKg: null })).toBeNull();
    expect(heaviestBaleKg({ hayKind: 'mineral', baleForm: 'round', meanBaleKg: 25 })).toBeNull();
  });
});
