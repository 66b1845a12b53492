import fc from '../../support/properties.js';
import { nrc2000ConceptusWeight } from '../../../src/core/requirements/pregnancy.js';
import { nrc2000RetainedEnergy } from '../../../src/core/requirements/gain.js';
import type { AnimalDescription } from '../../../src/core/requirements/requirement-set.js';
import { KG_PER_LB as LB, needs } from '../ration/ration-fixtures.js';

/** 950 lb on the scale, 1,250 lb when grown, 200 days bred. */
const BRED: AnimalDescription = {
  class: 'first-calf-heifer',
  sex: 'heifer',
  fullBodyWeightKg: 950 * LB,
  matureFullBodyWeightKg: 1250 * LB,
  weighedWithCalf: true,
  daysPregnant: 200,
  calfBirthWeightKg: 36,
};
const codes = (animal: AnimalDescription) => needs(animal).notes.map(({ code }) => code);

describe('the own growth of heifers', () => {
  test('a bred heifer of 950 lb that will be a cow of 1,250 lb needs energy and protein to grow', () => {
    const set = needs(BRED);
    // NRC 2000: 80 % of mature weight after calving, calf and fluids taken off; 83 days are left of 283.
    const own =
      950 * LB * 0.96 - nrc2000ConceptusWeight({ calfBirthWeightKg: 36, daysPregnant: 200 }).conceptusWeightKg;
    const gain = (0.8 * 1250 * LB * 0.96 - own) / 83;
    expect(set.shrunkGainKgPerDay).toBeCloseTo(gain, 9);
    expect(gain / LB).toBeGreaterThan(1);
    expect(set.netEnergyGainMcalPerDay).toBeCloseTo(
      nrc2000RetainedEnergy({
        equivalentShrunkBodyWeightKg: (own * 478) / (1250 * LB * 0.96),
        shrunkGainKgPerDay: gain,
      }).retainedEnergyMcalPerDay,
      9,
    );
    expect(set.metabolizableProteinParts.gainGPerDay).toBeGreaterThan(50);
    expect(codes(BRED)).toContain('growth-to-target');
  });

  test('calf and fluids are taken off a weight as the scale shows it, and not a second time', () => {
    const { conceptusWeightKg } = nrc2000ConceptusWeight({ calfBirthWeightKg: 36, daysPregnant: 200 });
    const own = { ...BRED, weighedWithCalf: false, fullBodyWeightKg: BRED.fullBodyWeightKg - conceptusWeightKg / 0.96 };
    expect(needs(own).shrunkGainKgPerDay).toBeCloseTo(needs(BRED).shrunkGainKgPerDay, 9);
  });

  test('a stated gain rules, none at all included', () => {
    expect(needs({ ...BRED, targetShrunkGainKgPerDay: 0.2 }).shrunkGainKgPerDay).toBe(0.2);
    expect(needs({ ...BRED, targetShrunkGainKgPerDay: 0 }).netEnergyGainMcalPerDay).toBe(0);
  });

  test('what is not known is said, and not counted', () => {
    const { matureFullBodyWeightKg: _, ...noMature } = BRED;
    expect(needs(noMature).netEnergyGainMcalPerDay).toBe(0);
    expect(needs(noMature).notes).toContainEqual(
      expect.objectContaining({
        code: 'growth-not-counted',
        message: expect.stringContaining('mature weight is not known') as string,
      }),
    );
    // The grown weight of the tables stands in for energy alone, and a need without gain is said to be one.
    const grown = needs(noMature).notes.find((one) => one.code === 'default-final-weight');
    expect(JSON.stringify(grown?.message)).toContain('No grown or mature weight is entered');
    expect(codes(noMature)).toContain('no-wanted-gain');
    expect(codes({ class: 'growing-calf', sex: 'steer', fullBodyWeightKg: 240 })).toContain('no-wanted-gain');
    expect(codes({ ...noMature, targetShrunkGainKgPerDay: 0 })).not.toContain('no-wanted-gain');
    expect(codes(BRED)).not.toContain('no-wanted-gain');
    const open: AnimalDescription = {
      class: 'replacement-heifer',
      sex: 'heifer',
      fullBodyWeightKg: 585 * LB,
      matureFullBodyWeightKg: 1300 * LB,
      ageMonths: 9,
    };
    expect(codes(open)).toContain('growth-not-counted');
    expect(codes({ ...open, daysToBreeding: 230 })).not.toContain('growth-not-counted');
    expect(codes({ ...BRED, class: 'dry-pregnant-cow', sex: 'cow' })).not.toContain('growth-not-counted');
  });

  test('an open heifer is brought to 60 % by breeding and 80 % by calving (NRC 2000), the steeper way rules', () => {
    const at = (daysToBreeding: number) =>
      needs({
        class: 'replacement-heifer',
        sex: 'heifer',
        fullBodyWeightKg: 585 * LB,
        matureFullBodyWeightKg: 1300 * LB,
        daysToBreeding,
      }).shrunkGainKgPerDay / LB;
    // 195 lb to breeding in 150 days are 1.30 lb a day; 455 lb to calving in 433 days are 1.05.
    expect(at(150)).toBeCloseTo((0.96 * (0.6 * 1300 - 585)) / 150, 9);
    // In 230 days 0.85 against 0.89.
    expect(at(230)).toBeCloseTo((0.96 * (0.8 * 1300 - 585)) / (230 + 283), 9);
  });

  test('after calving the way goes on to 92 % at the second calving', () => {
    const set = needs({
      class: 'first-calf-heifer',
      sex: 'heifer',
      fullBodyWeightKg: 1000 * LB,
      matureFullBodyWeightKg: 1250 * LB,
      daysInMilk: 65,
    });
    expect(set.shrunkGainKgPerDay / LB).toBeCloseTo((0.96 * (0.92 * 1250 - 1000)) / 300, 9);
  });

  test('asks no more than 2 lb a day (Ohio State) and says what is out of reach', () => {
    const late = { ...BRED, daysPregnant: 270 };
    expect(needs(late).shrunkGainKgPerDay / LB).toBeLessThanOrEqual(2);
    expect(codes(late)).toContain('growth-target-out-of-reach');
  });

  test('never asks a heifer to lose, and less the heavier she is', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 600, max: 1400, noNaN: true }),
        fc.double({ min: 0, max: 100, noNaN: true }),
        fc.integer({ min: 0, max: 300 }),
        (pounds, more, daysPregnant) => {
          const at = (weight: number) =>
            needs({ ...BRED, fullBodyWeightKg: weight * LB, daysPregnant }).shrunkGainKgPerDay;
          expect(at(pounds)).toBeGreaterThanOrEqual(0);
          expect(at(pounds + more)).toBeLessThanOrEqual(at(pounds) + 1e-12);
        },
      ),
    );
    expect(needs({ ...BRED, fullBodyWeightKg: 1400 * LB }).netEnergyGainMcalPerDay).toBe(0);
  });
});
