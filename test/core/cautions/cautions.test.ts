import { wordsIn } from '../../../src/core/units/wording.js';
import fc from '../../support/properties.js';
import { CAUTIONS, type CautionCode } from '../../../src/core/cautions/cautions.data';
import { CAUTION_SOURCES } from '../../../src/core/cautions/caution-sources.data';
import { passes, raiseCaution, worstFirst, type Threshold } from '../../../src/core/cautions/caution';
import { NITRATE_GUIDES, type NitrateGuideKey } from '../../../src/core/cautions/guides.data';
import { nitrateBand, nitrateCautions, nitrateFromNitrateNitrogen } from '../../../src/core/cautions/nitrate';
import { convertNitrate } from '../../../src/core/forage/nitrate';
import {
  prussicAcidCautions,
  spoilageCautions,
  stackTemperatureCautions,
  stackingMoistureCautions,
} from '../../../src/core/cautions/hay-in-store';
import { mineralCautions, totalSulfur, type MineralsOfTheRation } from '../../../src/core/cautions/minerals';
import {
  abruptChangeCautions,
  acidosisCautions,
  changedShare,
  legumeBloatCautions,
  proteinForRumenCautions,
  ureaCautions,
} from '../../../src/core/cautions/rumen';
import { labTestCautions } from '../../../src/core/cautions/lab-tests';
import { waterCautions } from '../../../src/core/cautions/water';

const codes = (cautions: readonly { code: string }[]) => cautions.map(({ code }) => code);
const guides = Object.keys(NITRATE_GUIDES) as NitrateGuideKey[];

describe('the catalogue', () => {
  test.each(Object.entries(CAUTIONS))(
    '%s says what to do, whom to ask and where its figures come from',
    (_code, entry) => {
      expect(wordsIn('us', entry.advice).length).toBeGreaterThan(20);
      expect(entry.consult.length).toBeGreaterThan(0);
      for (const threshold of Object.values<Threshold>(entry.thresholds)) {
        expect(Object.keys(CAUTION_SOURCES)).toContain(threshold.source);
        expect(threshold.unit).not.toBe('');
      }
    },
  );
  test('a caution is never raised without a number', () => {
    expect(() =>
      raiseCaution({
        code: 'water-short',
        severity: 'watch',
        given: Number.NaN,
        threshold: CAUTIONS['water-short'].thresholds.shareOfNeed,
        message: '',
      }),
    ).toThrow(RangeError);
  });
  test('carries the number, the threshold, its source and the disagreeing sources', () => {
    const [caution] = stackingMoistureCautions({ lotName: 'Lot 4', baleForm: 'round', moisturePercent: 24 });
    expect(caution).toMatchObject({
      given: 24,
      threshold: 18,
      unit: '% moisture',
      severity: 'danger',
      guide: 'Purdue',
      subject: { kind: 'lot', name: 'Lot 4' },
      sourceStatus: 'confirmed in page',
    });
    expect(caution?.otherSources.map(({ value }) => value)).toEqual([14, 16]);
    expect(caution?.consult).toContain('fire service');
  });
  test('the worst comes first, and equal ones keep their order', () => {
    const make = (code: CautionCode, severity: 'danger' | 'watch' | 'notice') =>
      raiseCaution({
        code,
        severity,
        given: 1,
        threshold: { value: 0, unit: 'x', raisedWhen: 'above', source: 'commonPractice' },
        message: '',
      });
    const sorted = worstFirst([
      make('lab-test-old', 'notice'),
      make('water-short', 'watch'),
      make('acidosis', 'danger'),
      make('sodium-low', 'notice'),
    ]);
    expect(codes(sorted)).toEqual(['acidosis', 'water-short', 'lab-test-old', 'sodium-low']);
  });
  test('a threshold is met in spite of the dust of conversions', () => {
    expect(passes(0.1 + 0.2, 'at-or-above', 0.3)).toBe(true);
    expect(passes(0.1 + 0.2, 'above', 0.3)).toBe(false);
    expect(passes(0.3, 'below', 0.1 + 0.2)).toBe(false);
    expect(passes(0.31, 'at-or-below', 0.3)).toBe(false);
  });
});

describe('nitrate', () => {
  const hay = { name: 'Oat hay', restsOnBookValue: false, canGatherNitrate: true };
  const grass = {
    name: 'Grass',
    shareOfRationDryMatter: 0.5,
    nitrateNitrogenPpmDm: 100,
    restsOnBookValue: false,
    canGatherNitrate: false,
  };
  test('one hay above its share is a danger, for pregnant animals sooner than for others', () => {
    const lots = [
      { ...hay, shareOfRationDryMatter: 0.6, nitrateNitrogenPpmDm: 1250 },
      { ...grass, shareOfRationDryMatter: 0.4 },
    ];
    expect(nitrateCautions({ lots, pregnant: true }).cautions).toMatchObject([
      { code: 'nitrate-single-hay', severity: 'danger', threshold: 1000, given: 1250 },
    ]);
    expect(nitrateCautions({ lots, pregnant: false }).cautions).toEqual([]);
  });
  test('below its share it is still named, because a layer can be eaten alone', () => {
    const lots = [
      { ...hay, shareOfRationDryMatter: 0.2, nitrateNitrogenPpmDm: 1250 },
      { ...grass, shareOfRationDryMatter: 0.8 },
    ];
    expect(nitrateCautions({ lots, pregnant: true }).cautions).toMatchObject([
      { code: 'nitrate-single-hay', severity: 'watch' },
    ]);
  });
  test('the mean of the ration is judged too, and is not known while one lot is not', () => {
    const lots = [{ ...hay, shareOfRationDryMatter: 0.5, nitrateNitrogenPpmDm: 5000 }, grass];
    const known = nitrateCautions({ lots, pregnant: true });
    expect(known.wholeRationNitrateNitrogenPpmDm).toBeCloseTo(2550, 9);
    expect(codes(known.cautions)).toEqual(['nitrate-single-hay', 'nitrate-whole-ration']);
    const unknown = nitrateCautions({
      lots: [{ ...hay, shareOfRationDryMatter: 0.5, nitrateNitrogenPpmDm: null }, grass],
      pregnant: true,
    });
    expect(unknown.wholeRationNitrateNitrogenPpmDm).toBeNull();
    expect(codes(unknown.cautions)).toEqual(['nitrate-unknown']);
  });
  test.each(guides)('%s: a share is never allowed larger in a higher band, and the last band is the worst', (guide) => {
    const bands = NITRATE_GUIDES[guide].bands;
    const strict = bands.map(
      ({ maxSharePregnant, maxShareOther }) => [maxSharePregnant ?? 0, maxShareOther ?? 0] as const,
    );
    strict.slice(1).forEach((band, index) => {
      expect(band[0]).toBeLessThanOrEqual(strict[index]?.[0] ?? 1);
      expect(band[1]).toBeLessThanOrEqual(strict[index]?.[1] ?? 1);
      expect(band[0]).toBeLessThanOrEqual(band[1]);
    });
  });
  test('every value has one band in every guide, and its edges enclose it', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 20000, noNaN: true }),
        fc.constantFrom(...guides),
        (nitrateNitrogenPpmDm, guide) => {
          const verdict = nitrateBand({ guide, nitrateNitrogenPpmDm });
          expect(verdict.value).toBeGreaterThanOrEqual(verdict.bandFrom);
          if (verdict.bandUpTo !== null) expect(verdict.value).toBeLessThanOrEqual(verdict.bandUpTo);
        },
      ),
    );
  });
  test('nitrate converts as the laboratory forms do, there and back', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 1e6, noNaN: true }), (nitrateNitrogenPpm) => {
        const { nitratePpm } = nitrateFromNitrateNitrogen({ nitrateNitrogenPpm });
        expect(convertNitrate({ value: nitratePpm, from: 'NO3', to: 'NO3-N' }).value).toBeCloseTo(
          nitrateNitrogenPpm,
          6,
        );
      }),
    );
  });
  test('a negative nitrate is a mistake of the program', () =>
    expect(() => nitrateBand({ guide: 'clemson', nitrateNitrogenPpmDm: -1 })).toThrow(RangeError));
});

describe('hay in store', () => {
  test('guides differ for the same stack, and the caution says so', () => {
    const at180F = ((180 - 32) * 5) / 9;
    const [kentucky] = stackTemperatureCautions({
      stackName: 'North stack',
      coreTemperatureC: at180F,
      guide: 'kentucky',
    });
    expect(kentucky).toMatchObject({
      severity: 'danger',
      guide: 'Kentucky',
    });
    expect(kentucky && wordsIn('us', kentucky.message)).toBe('North stack is at 180 °F: fire imminent.');
    expect(kentucky?.otherSources).toHaveLength(2);
    expect(stackTemperatureCautions({ stackName: 'North stack', coreTemperatureC: 55, guide: 'purdue' })).toEqual([]);
    expect(
      stackTemperatureCautions({ stackName: 'North stack', coreTemperatureC: 55, guide: 'california' }),
    ).toMatchObject([{ severity: 'notice' }]);
  });
  test('a preservative silences the moisture limit', () => {
    expect(
      stackingMoistureCautions({ lotName: 'Lot', baleForm: 'round', moisturePercent: 24, preservative: true }),
    ).toEqual([]);
  });
  test('spoilage: what was not looked at raises nothing', () => {
    const unseen = {
      lotName: 'Lot',
      mouldSeen: null,
      spoiledBalesSeen: null,
      wrapped: false,
      moisturePercent: null,
      ph: null,
    };
    expect(spoilageCautions(unseen)).toEqual([]);
    expect(codes(spoilageCautions({ ...unseen, mouldSeen: true, moisturePercent: 22 }))).toEqual([
      'visible-mould',
      'visible-mould',
    ]);
    expect(
      codes(spoilageCautions({ ...unseen, wrapped: true, spoiledBalesSeen: true, ph: 5.2, moisturePercent: 72 })),
    ).toEqual(['spoiled-bales', 'spoiled-bales', 'spoiled-bales']);
    expect(spoilageCautions({ ...unseen, wrapped: true, ph: 4.3, moisturePercent: 55 })).toEqual([]);
  });
  test('prussic acid concerns sorghums only, by test and by days from frost', () => {
    const lot = { lotName: 'Sudan', isSorghum: true, hydrogenCyanidePpmDm: 600, daysFromFrostToFeeding: 3 };
    expect(prussicAcidCautions(lot)).toMatchObject([
      { severity: 'watch', given: 600 },
      { severity: 'danger', given: 3 },
    ]);
    expect(prussicAcidCautions({ ...lot, hydrogenCyanidePpmDm: 1000, daysFromFrostToFeeding: 30 })).toMatchObject([
      { severity: 'danger', given: 1000 },
    ]);
    expect(prussicAcidCautions({ ...lot, isSorghum: false })).toEqual([]);
  });
});

describe('minerals', () => {
  const good: MineralsOfTheRation = {
    stage: 'pregnant',
    matureCow: true,
    dryMatterKgPerDay: 11,
    forageShare: 1,
    calciumPercent: 0.5,
    phosphorusPercent: 0.25,
    magnesiumPercent: 0.2,
    potassiumPercent: 1.5,
    sulfurPercent: 0.18,
    sodiumPercent: 0.1,
    sodiumNeedGPerDay: 8,
    waterLPerDay: 40,
    waterSulfateMgPerL: 50,
    restsOnBookValue: false,
  };
  test('a sound ration raises none', () => expect(mineralCautions(good)).toEqual([]));
  test('unknown minerals raise none and are not taken for zero', () => {
    expect(
      mineralCautions({
        ...good,
        calciumPercent: null,
        phosphorusPercent: null,
        magnesiumPercent: null,
        potassiumPercent: null,
        sulfurPercent: null,
        sodiumPercent: null,
      }),
    ).toEqual([]);
  });
  test('water can carry the sulfur over the limit', () => {
    const drunk = { ...good, waterSulfateMgPerL: 2500 };
    expect(codes(mineralCautions(drunk))).toEqual(['sulfur-antagonism', 'sulfur-mature-cow']);
    expect(totalSulfur(drunk)?.fromWaterG).toBeCloseTo(33.4, 1);
    expect(codes(mineralCautions({ ...drunk, forageShare: 0.3 }))).toContain('sulfur-total');
    expect(codes(mineralCautions({ ...drunk, sulfurMaximum: 'single-0.40' }))).toContain('sulfur-total');
  });
  test('a limit that is just passed is told in figures that pass it', () => {
    const told = mineralCautions({ ...good, waterSulfateMgPerL: 0, sulfurPercent: 32.00547 / 110 });
    expect(told.find(({ code }) => code === 'sulfur-mature-cow')?.message).toContain('takes in 32.01 g sulfur');
  });
  test('each mineral is caught alone', () => {
    expect(codes(mineralCautions({ ...good, potassiumPercent: 4 }))).toEqual(['grass-tetany-ratio']);
    expect(codes(mineralCautions({ ...good, magnesiumPercent: 0.11 }))).toEqual(['magnesium-low']);
    expect(codes(mineralCautions({ ...good, stage: 'growing', magnesiumPercent: 0.11 }))).toEqual([]);
    expect(codes(mineralCautions({ ...good, stage: 'early-milk', magnesiumPercent: 0.19 }))).toEqual(['magnesium-low']);
    expect(codes(mineralCautions({ ...good, phosphorusPercent: 0.55 }))).toEqual(['calcium-phosphorus-ratio']);
    expect(codes(mineralCautions({ ...good, calciumPercent: 1.8 }))).toEqual(['calcium-phosphorus-ratio']);
    expect(codes(mineralCautions({ ...good, sodiumPercent: 0.02 }))).toEqual(['sodium-low']);
  });
});

describe('rumen', () => {
  test('bloat: over half legume; worse when wet', () => {
    expect(legumeBloatCautions({ legumeShareOfDryMatter: 0.5, fedWet: true })).toEqual([]);
    expect(legumeBloatCautions({ legumeShareOfDryMatter: 0.6, fedWet: false })).toMatchObject([{ severity: 'notice' }]);
    expect(legumeBloatCautions({ legumeShareOfDryMatter: 0.6, fedWet: true })).toMatchObject([{ severity: 'watch' }]);
  });
  test('acidosis: grain over 0.5 % of weight, or too little long fiber beside grain', () => {
    expect(acidosisCautions({ starchyGrainKgPerDay: 2, bodyWeightKg: 500, longStemFiberPercent: 40 })).toEqual([]);
    expect(acidosisCautions({ starchyGrainKgPerDay: 4, bodyWeightKg: 500, longStemFiberPercent: 8 })).toMatchObject([
      { severity: 'watch' },
      { severity: 'danger' },
    ]);
    expect(acidosisCautions({ starchyGrainKgPerDay: 0, bodyWeightKg: 500, longStemFiberPercent: 8 })).toEqual([]);
  });
  test('changed share is symmetric, 0 for the same ration and 1 for another', () => {
    const a = [
      { lotId: 'a', shareOfDryMatter: 0.6 },
      { lotId: 'b', shareOfDryMatter: 0.4 },
    ];
    const b = [{ lotId: 'c', shareOfDryMatter: 1 }];
    expect(changedShare({ before: a, now: a }).changedShare).toBe(0);
    expect(changedShare({ before: a, now: b }).changedShare).toBeCloseTo(1, 12);
    expect(abruptChangeCautions({ before: a, now: b })).toMatchObject([{ code: 'abrupt-change', severity: 'watch' }]);
    expect(abruptChangeCautions({ before: [], now: b })).toEqual([]);
  });
  test('urea: share of protein, poor hay, light calves', () => {
    const fed = {
      proteinEquivalentFromNonProteinNitrogenG: 400,
      crudeProteinG: 1000,
      dryMatterKg: 20,
      hayCrudeProteinPercent: 5,
      bodyWeightKg: 180,
    };
    expect(codes(ureaCautions(fed))).toEqual(['urea-share', 'urea-share', 'urea-share', 'urea-amount']);
    expect(ureaCautions({ ...fed, proteinEquivalentFromNonProteinNitrogenG: 0 })).toEqual([]);
    expect(
      ureaCautions({
        ...fed,
        proteinEquivalentFromNonProteinNitrogenG: 200,
        hayCrudeProteinPercent: 9,
        bodyWeightKg: 500,
      }),
    ).toEqual([]);
  });
  test('urea by its amount: 1 % of the dry matter (from memory), 0.3 g per kg of weight (Lorgue et al.)', () => {
    // Cubes of 12 % protein equivalent: 10 lb of them are 1.08 lb on dry matter, and 1.08 / 2.81 = 0.384 lb (174 g).
    const heifer = {
      proteinEquivalentFromNonProteinNitrogenG: 1.08 * 453.59237,
      crudeProteinG: 3000,
      dryMatterKg: 19.6 * 0.45359237,
      hayCrudeProteinPercent: 9,
      bodyWeightKg: 281,
    };
    const [byWeight, byDryMatter] = ureaCautions(heifer).toSorted((a, b) => a.given - b.given);
    expect(byWeight).toMatchObject({ code: 'urea-amount', severity: 'danger', threshold: 0.3 });
    expect(byWeight?.given).toBeCloseTo(0.62, 2);
    expect(byDryMatter).toMatchObject({ code: 'urea-amount', severity: 'watch', threshold: 1 });
    expect(byDryMatter?.given).toBeCloseTo(1.96, 2);
    const little = { ...heifer, proteinEquivalentFromNonProteinNitrogenG: 0.9 * 0.01 * 8890 * 2.81 };
    expect(ureaCautions({ ...little, bodyWeightKg: 540 })).toEqual([]);
  });
  test('straw with too little protein; hay below 7 %', () => {
    expect(
      proteinForRumenCautions({ strawShareOfDryMatter: 0.7, crudeProteinPercent: 6, restsOnBookValue: true }),
    ).toMatchObject([{ code: 'straw-impaction', severity: 'danger', restsOnBookValue: true }]);
    expect(
      proteinForRumenCautions({ strawShareOfDryMatter: 0.7, crudeProteinPercent: 8, restsOnBookValue: false }),
    ).toMatchObject([{ code: 'straw-impaction', severity: 'watch' }]);
    expect(
      codes(proteinForRumenCautions({ strawShareOfDryMatter: 0, crudeProteinPercent: 6.5, restsOnBookValue: false })),
    ).toEqual(['low-protein-forage']);
    expect(
      proteinForRumenCautions({ strawShareOfDryMatter: 0, crudeProteinPercent: null, restsOnBookValue: false }),
    ).toEqual([]);
  });
});

describe('water and lab', () => {
  const water = {
    sourceName: 'East tank',
    frozen: false,
    supplyLPerDay: 5000,
    needLPerDay: 4000,
    dissolvedSolidsMgPerL: 500,
    sulfateMgPerL: 100,
    pregnantOrMilking: false,
    milking: false,
    calves: false,
  };
  test('open, plenty and clean water raises none', () => expect(waterCautions(water)).toEqual([]));
  test('frozen, short, salty', () => {
    expect(waterCautions({ ...water, frozen: true })).toMatchObject([{ code: 'water-frozen', severity: 'watch' }]);
    expect(waterCautions({ ...water, frozen: true, milking: true })).toMatchObject([
      { code: 'water-frozen', severity: 'danger' },
    ]);
    expect(waterCautions({ ...water, supplyLPerDay: 3500 })).toMatchObject([
      { code: 'water-short', severity: 'watch', given: 0.875 },
    ]);
    expect(waterCautions({ ...water, dissolvedSolidsMgPerL: 8000 })).toMatchObject([
      { severity: 'watch', threshold: 7000 },
    ]);
    expect(waterCautions({ ...water, dissolvedSolidsMgPerL: 8000, pregnantOrMilking: true })).toMatchObject([
      { severity: 'danger' },
    ]);
    // South Dakota State University Extension 2012: above 3000 ppm acutely toxic, contributing to
    // polioencephalomalacia.
    for (const calves of [true, false]) {
      const sulfateOf = (sulfateMgPerL: number) =>
        waterCautions({ ...water, sulfateMgPerL, calves }).find(({ code }) => code === 'water-sulfate');
      expect(sulfateOf(3000)?.severity).toBe('watch');
      expect(sulfateOf(4000)).toMatchObject({ severity: 'danger', given: 4000, threshold: 3000 });
      expect(sulfateOf(4000)?.advice).toContain('polioencephalomalacia');
    }
    expect(waterCautions({ ...water, sulfateMgPerL: 700, calves: true })).toMatchObject([
      { code: 'water-sulfate', threshold: 500 },
    ]);
    expect(
      waterCautions({ ...water, frozen: null, supplyLPerDay: null, dissolvedSolidsMgPerL: null, sulfateMgPerL: null }),
    ).toEqual([]);
  });
  test('lab: missing, late, old, thin', () => {
    const lot = { lotName: 'Lot', daysSinceSample: null, daysUntilFed: 10, balesCored: null, lotKg: 10000 };
    expect(codes(labTestCautions(lot))).toEqual(['lab-test-missing', 'lab-lead-time']);
    expect(codes(labTestCautions({ ...lot, daysUntilFed: 60 }))).toEqual(['lab-test-missing']);
    expect(codes(labTestCautions({ ...lot, daysSinceSample: 400, balesCored: 5, lotKg: 250 * 907.18474 }))).toEqual([
      'lab-test-old',
      'sample-too-small',
      'sample-too-small',
    ]);
    expect(labTestCautions({ ...lot, daysSinceSample: 30, balesCored: 20 })).toEqual([]);
    // 250 ton are 226.8 t, 3 ton 2.7 t (NIST Handbook 44, appendix C).
    const large = { ...lot, daysSinceSample: 30, balesCored: 20, lotKg: 250 * 907.18474, cameInAfterKg: 3 * 907.18474 };
    const told = (system: 'us' | 'metric') => labTestCautions(large).map(({ message }) => wordsIn(system, message));
    expect(told('us').join(' ')).toMatch(/Lot holds 250 ton; one sample represents 200 ton.* 3 ton came into Lot/s);
    expect(told('metric').join(' ')).toMatch(/Lot holds 227 t; one sample represents 181 t.* 2.7 t came into Lot/s);
  });
});
