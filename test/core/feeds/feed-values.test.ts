import { FEED_VALUES, feedValue } from '../../../src/core/feeds/feed-values.data.js';
import { OTHER_FEED_CODES, OTHER_FEEDS, type OtherFeed } from '../../../src/core/feeds/other-feeds.data.js';
import { checkLabTest } from '../../../src/core/forage/lab-test-plausibility.js';
import { dietContextOf } from '../../../src/core/judge/diet-context.js';
import { rationSupply } from '../../../src/core/judge/ration-supply.js';
import { rationLotOf } from '../../../src/core/ration/ration-lot.js';
import { waterForSalt } from '../../../src/core/requirements/water.js';

describe('book values of feeds beside hay', () => {
  it('are themselves plausible tests of their group, each with a source and a key of its own', () => {
    expect(new Set(FEED_VALUES.map((row) => row.key)).size).toBe(FEED_VALUES.length);
    for (const { key, group, analysis, source } of FEED_VALUES) {
      const checked = checkLabTest({ analysis, basis: 'dry-matter', group });
      expect([key, checked.ok ? checked.value.warnings.map((one) => one.message) : checked.problems]).toEqual([
        key,
        [],
      ]);
      expect(source.length).toBeGreaterThan(10);
    }
  });

  // North Dakota State University Extension, Feeding corn to beef cattle, Table 1 (after NASEM 2016): undegradable
  // protein is printed as a share of the protein.
  it.each([
    ['barley-grain', { tdn: 84.1, nem: 2.06, neg: 1.4, cp: 12.8, undegradable: 50.8, ndf: 18.3, adf: 7.1 }],
    ['corn-grain', { tdn: 87.6, nem: 2.17, neg: 1.49, cp: 8.8, undegradable: 65.3, ndf: 9.7, adf: 3.6 }],
    ['wheat-grain', { tdn: 86.8, nem: 2.15, neg: 1.47, cp: 13.8, undegradable: 35.6, ndf: 12.4, adf: 4.2 }],
    ['oats-grain', { tdn: 83, nem: 2.03, neg: 1.37, cp: 12.6, undegradable: 56.5, ndf: 26.7, adf: 13.3 }],
  ])('%s stands as North Dakota State prints it', (key, printed) => {
    const analysis = feedValue(key)?.analysis;
    expect(analysis).toMatchObject({
      totalDigestibleNutrientsPercent: printed.tdn,
      netEnergyMaintenanceMcalPerKg: printed.nem,
      netEnergyGainMcalPerKg: printed.neg,
      crudeProteinPercent: printed.cp,
      neutralDetergentFiberPercent: printed.ndf,
      acidDetergentFiberPercent: printed.adf,
    });
    expect(100 - (analysis?.degradableProteinPercentOfCrudeProtein ?? 0)).toBeCloseTo(printed.undegradable, 9);
  });

  // Alabama Cooperative Extension, Nutrient composition of by-product feeds, Table 1: DM, TDN, CP, Ca, P.
  it.each([
    ['cottonseed-meal', [90, 78, 45, 0.2, 1]],
    ['corn-gluten-feed', [90, 83, 24, 0.08, 0.55]],
    ['distillers-grains', [90, 95, 28, 0.05, 0.88]],
    ['soybean-hulls', [90, 78, 12, 0.55, 0.2]],
    ['wheat-middlings', [90, 83, 18, 0.16, 1.1]],
  ])('%s stands as Alabama prints it', (key, printed) => {
    const analysis = feedValue(key)?.analysis;
    expect([
      analysis?.dryMatterPercent,
      analysis?.totalDigestibleNutrientsPercent,
      analysis?.crudeProteinPercent,
      analysis?.calciumPercent,
      analysis?.phosphorusPercent,
    ]).toEqual(printed);
  });

  it('salt is sodium chloride by its atomic masses (IUPAC: 22.990 and 35.453) and nothing else', () => {
    const analysis = feedValue('salt')?.analysis;
    expect(analysis?.sodiumPercent).toBeCloseTo((100 * 22.99) / (22.99 + 35.453), 1);
    expect(analysis).toMatchObject({ crudeProteinPercent: 0, totalDigestibleNutrientsPercent: 0, fatPercent: 0 });
  });

  it('stand in for a lot of their kind until it is tested, and say so', () => {
    const lot = (hayKind: 'corn-grain' | 'mineral', tests: Parameters<typeof rationLotOf>[0]['tests'] = []) =>
      rationLotOf({ lotId: 'a', lotName: 'A', hayKind, tests });
    expect(lot('corn-grain').composition.netEnergyMaintenanceMcalPerKg).toMatchObject({
      value: 2.17,
      origin: 'book-value',
    });
    const tested = lot('corn-grain', [
      { id: 't', method: 'wet-chemistry', analysis: { dryMatterPercent: 86, crudeProteinPercent: 9.4 } },
    ]);
    expect(tested.composition.crudeProteinPercent).toMatchObject({ value: 9.4, origin: 'lab-test' });
    expect(tested.composition.totalDigestibleNutrientsPercent).toMatchObject({ value: 87.6, origin: 'book-value' });
    // A name that tells nothing stands for nothing.
    expect(lot('mineral').composition).toEqual({});
  });

  it('every kind that names a book value has one of its own group', () => {
    for (const code of OTHER_FEED_CODES) {
      const { bookValueKey, group }: OtherFeed = OTHER_FEEDS[code];
      if (bookValueKey !== undefined) expect([code, feedValue(bookValueKey)?.group]).toEqual([code, group]);
    }
  });

  it('a pound and an ounce of salt raise the water that a ration is judged with by 5 gallons', () => {
    const hay = rationLotOf({ lotId: 'h', lotName: 'Brome', hayKind: 'brome', tests: [] });
    const salt = rationLotOf({ lotId: 's', lotName: 'Salt', hayKind: 'salt', tests: [] });
    const sodium = (saltKg: number) =>
      dietContextOf(
        rationSupply({
          layers: [
            {
              role: 'mixed',
              lots: [
                { lot: hay, asFedKgPerHeadPerDay: 11 },
                { lot: salt, asFedKgPerHeadPerDay: saltKg },
              ],
            },
          ],
        }),
      ).sodiumGPerDay;
    const water = (saltKg: number) => waterForSalt({ sodiumGPerDay: sodium(saltKg) ?? 0 }).waterLPerDay;
    // The salt of the book is 98 to 100 % dry.
    expect((water(17 * 0.028349523) - water(0.028349523)) / 3.785411784).toBeGreaterThan(4.8);
    expect((water(17 * 0.028349523) - water(0.028349523)) / 3.785411784).toBeLessThan(5.1);
  });

  it('0.12 lb of salt leaves every supply of a tested hay known, to the gram', () => {
    const hay = rationLotOf({ lotId: 'h', lotName: 'Brome', hayKind: 'brome', tests: [] });
    const salt = rationLotOf({ lotId: 's', lotName: 'Salt', hayKind: 'salt', tests: [] });
    const of = (saltKg: number) =>
      rationSupply({
        layers: [
          {
            role: 'mixed',
            lots: [
              { lot: hay, asFedKgPerHeadPerDay: 11 },
              { lot: salt, asFedKgPerHeadPerDay: saltKg },
            ],
          },
        ],
      });
    const without = of(0);
    const withSalt = of(0.12 * 0.45359237);
    for (const supply of ['crudeProteinG', 'degradableProteinG', 'netEnergyMaintenanceMcal'] as const) {
      expect(withSalt[supply]).toMatchObject({ isAtLeast: false, missingIn: [], bookValueLots: ['Brome'] });
      expect(withSalt[supply].value).toBeCloseTo(without[supply].value ?? Number.NaN, 9);
    }
    // 54.4 g of salt of 99 % dry matter hold 21.2 g of sodium.
    expect(withSalt.minerals.sodium.atLeast).toBeCloseTo(21.2, 1);
  });
});
