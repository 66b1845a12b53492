import fc from '../../support/properties.js';
import type { ForageAnalysis } from '../../../src/core/forage/forage-analysis.js';
import { averageLabTests, labTestWeight } from '../../../src/core/forage/lab-test-average.js';
import type { FeedGroup } from '../../../src/core/nutrients/feed-groups.data.js';
import { LAB_NUTRIENTS, labReport } from '../../../src/core/nutrients/nutrients.js';
import { checkLabTest } from '../../../src/core/forage/lab-test-plausibility.js';
import { rationLotOf } from '../../../src/core/ration/ration-lot.js';
import { refused } from '../../../src/core/outcome/outcome.js';

const GOOD: ForageAnalysis = {
  dryMatterPercent: 90,
  crudeProteinPercent: 12,
  acidDetergentFiberPercent: 36,
  neutralDetergentFiberPercent: 58,
  ligninPercent: 5,
  ashPercent: 8,
  fatPercent: 2.5,
  totalDigestibleNutrientsPercent: 57,
};
const codes = (analysis: ForageAnalysis, basis: 'dry-matter' | 'as-received' = 'dry-matter') => {
  const answer = checkLabTest({ analysis, basis });
  return answer.ok ? [] : answer.problems.map((problem) => problem.code);
};
const warnings = (analysis: ForageAnalysis) => {
  const answer = checkLabTest({ analysis, basis: 'dry-matter' });
  return answer.ok ? answer.value.warnings.map((warning) => warning.code) : ['refused'];
};

describe('plausibility by the kind of feed', () => {
  const checked = (analysis: ForageAnalysis, group: FeedGroup) => {
    const answer = checkLabTest({ analysis, basis: 'as-received', group });
    return answer.ok
      ? answer.value.warnings.map(({ message }) => message)
      : answer.problems.map(({ code, field }) => `${code} ${field}`);
  };
  // Clemson University Extension, Free-Choice Mineral Guidelines (BC-3001): minima of the winter mineral.
  const CLEMSON_WINTER = {
    dryMatterPercent: 98,
    calciumPercent: 13,
    phosphorusPercent: 8,
    magnesiumPercent: 8,
    potassiumPercent: 0.4,
    sulfurPercent: 1.2,
    // 21 % salt, of which sodium is 22.99 / 58.44.
    sodiumPercent: 8.26,
  };
  it('takes the mineral that Clemson guides to, which hay could not be', () => {
    expect(checked(CLEMSON_WINTER, 'mineral')).toEqual([]);
    expect(checked(CLEMSON_WINTER, 'hay')).toContain('value-impossible phosphorusPercent');
  });
  it('takes salt: no energy, no protein, no fiber, and sodium by its atomic mass', () => {
    const salt = {
      dryMatterPercent: 99,
      crudeProteinPercent: 0,
      acidDetergentFiberPercent: 0,
      neutralDetergentFiberPercent: 0,
      totalDigestibleNutrientsPercent: 0,
      netEnergyMaintenanceMcalPerKg: 0,
      netEnergyGainMcalPerKg: 0,
      sodiumPercent: 38.9,
    };
    expect(checked(salt, 'mineral')).toEqual([]);
    expect(checked(salt, 'hay')).toContain('value-impossible sodiumPercent');
  });
  it('takes cubes of 38 % protein and a mean soybean meal, and refuses hay of it', () => {
    const cubes = { dryMatterPercent: 90, crudeProteinPercent: 38, calciumPercent: 1.2, phosphorusPercent: 1 };
    expect(checked(cubes, 'protein')).toEqual([]);
    expect(checked(cubes, 'hay')).not.toEqual([]);
    // NRC 2000, soybean meal solvent-extracted (from memory): 49.9 % of DM.
    expect(checked({ dryMatterPercent: 89, crudeProteinPercent: 44.4 }, 'protein')).toEqual([]);
  });
  it.each<[string, FeedGroup, ForageAnalysis]>([
    ['more calcium than calcium carbonate', 'mineral', { dryMatterPercent: 99, calciumPercent: 42 }],
    ['more magnesium than magnesium oxide', 'mineral', { dryMatterPercent: 99, magnesiumPercent: 62 }],
    ['more sodium than salt', 'mineral', { dryMatterPercent: 99, sodiumPercent: 40 }],
    ['a grain of lime', 'grain', { dryMatterPercent: 88, calciumPercent: 16 }],
    ['a silage of more than 40 % protein', 'silage', { dryMatterPercent: 35, crudeProteinPercent: 15 }],
  ])('refuses %s', (_name, group, analysis) => {
    expect(checked(analysis, group)[0]).toMatch(/^value-impossible /);
  });
  it('warns by the name of the feed', () => {
    expect(checked({ dryMatterPercent: 88, crudeProteinPercent: 40 }, 'grain')).toEqual([
      'Crude protein of 45.4545 % of DM is rare in grain.',
    ]);
  });
});

describe('plausibility of a lab test', () => {
  it('lets a sound test through without a word, on either basis', () => {
    expect(codes(GOOD)).toEqual([]);
    expect(warnings(GOOD)).toEqual([]);
    const asReceived = checkLabTest({
      analysis: { dryMatterPercent: 90, crudeProteinPercent: 10.8 },
      basis: 'as-received',
    });
    expect(asReceived.ok ? asReceived.value.analysis.crudeProteinPercent : NaN).toBeCloseTo(12, 12);
  });

  it.each<[string, ForageAnalysis, string[]]>([
    ['dry matter of zero', { dryMatterPercent: 0 }, ['dry-matter-impossible']],
    ['dry matter above 100', { dryMatterPercent: 100.1 }, ['dry-matter-impossible']],
    ['dry matter that is no number', { dryMatterPercent: Number.NaN }, ['dry-matter-impossible']],
    [
      'everything impossible at once, where the dry matter is too',
      {
        dryMatterPercent: 101,
        crudeProteinPercent: 45,
        acidDetergentFiberPercent: 60,
        neutralDetergentFiberPercent: 50,
      },
      ['dry-matter-impossible', 'value-impossible', 'adf-not-below-ndf'],
    ],
    ['crude protein above 40 %', { ...GOOD, crudeProteinPercent: 40.5 }, ['value-impossible', 'parts-exceed-whole']],
    ['ADF equal to NDF', { ...GOOD, acidDetergentFiberPercent: 58 }, ['adf-not-below-ndf']],
    ['ADF above NDF', { ...GOOD, acidDetergentFiberPercent: 61 }, ['adf-not-below-ndf']],
    ['lignin not below ADF', { ...GOOD, ligninPercent: 36 }, ['lignin-not-below-adf']],
    [
      'more energy for gain than for maintenance',
      { dryMatterPercent: 90, netEnergyMaintenanceMcalPerKg: 1.2, netEnergyGainMcalPerKg: 1.3 },
      ['gain-energy-not-below-maintenance-energy'],
    ],
    ['aNDFom above NDF', { ...GOOD, ashFreeNeutralDetergentFiberPercent: 59 }, ['ash-free-fiber-above-fiber']],
    [
      'parts above the whole',
      {
        dryMatterPercent: 90,
        crudeProteinPercent: 20,
        neutralDetergentFiberPercent: 80,
        ashPercent: 12,
        acidDetergentFiberPercent: 50,
      },
      ['parts-exceed-whole'],
    ],
    ['a negative mineral', { ...GOOD, calciumPercent: -0.1 }, ['value-impossible']],
  ])('refuses %s', (_name, analysis, expected) => {
    expect(codes(analysis)).toEqual(expected);
  });

  it(
    'judges on dry matter: 36.5 % protein as received at 90 % dry matter is 40.6 % and refused, with the value as ' +
      'given',
    () => {
      const answer = checkLabTest({
        analysis: { dryMatterPercent: 90, crudeProteinPercent: 36.5 },
        basis: 'as-received',
      });
      expect(answer.ok ? null : answer.problems[0]).toMatchObject({
        code: 'value-impossible',
        field: 'crudeProteinPercent',
        given: 36.5,
        allowed: '0 to 40 % of DM',
      });
    },
  );

  it('warns of the unlikely with the number and the threshold', () => {
    expect(warnings({ ...GOOD, crudeProteinPercent: 31, neutralDetergentFiberPercent: 45 })).toEqual([
      'value-unlikely',
    ]);
    expect(warnings({ ...GOOD, dryMatterPercent: 60 })).toEqual(['value-unlikely']);
    // A lab's 0.27 % typed as ppm; below detection is 0, and 20 ppm is little.
    expect(warnings({ ...GOOD, nitrateNitrogenPpm: 0.27 })).toEqual(['nitrate-unit-unlikely']);
    expect(warnings({ ...GOOD, nitrateNitrogenPpm: 0 })).toEqual([]);
    expect(warnings({ ...GOOD, nitrateNitrogenPpm: 20 })).toEqual([]);
    const answer = checkLabTest({ analysis: { ...GOOD, potassiumPercent: 6 }, basis: 'dry-matter' });
    expect(answer.ok ? answer.value.warnings[0] : null).toMatchObject({ given: 6, threshold: 5 });
  });

  it('finds a relative feed value that does not follow from its fibers', () => {
    expect(warnings({ ...GOOD, relativeFeedValue: 99 })).toEqual([]);
    // The same fibers read as received would print about 117.
    expect(warnings({ ...GOOD, relativeFeedValue: 117 })).toEqual(['relative-feed-value-differs']);
  });

  it('keeps every likely range inside its possible one, with a source', () => {
    for (const { possible, likely, source } of LAB_NUTRIENTS.map((code) => labReport(code).limits.hay)) {
      expect(possible[0]).toBeLessThanOrEqual(likely[0]);
      expect(possible[1]).toBeGreaterThanOrEqual(likely[1]);
      expect(likely[0]).toBeLessThan(likely[1]);
      expect(source).not.toBe('');
    }
    expect(new Set(LAB_NUTRIENTS.map((code) => labReport(code).field)).size).toBe(LAB_NUTRIENTS.length);
  });

  it('never throws and never passes an impossible value, whatever is typed', () => {
    const any = fc.oneof(fc.double(), fc.double({ min: -10, max: 120 }));
    fc.assert(
      fc.property(
        any,
        any,
        any,
        any,
        (dryMatterPercent, crudeProteinPercent, acidDetergentFiberPercent, neutralDetergentFiberPercent) => {
          const answer = checkLabTest({
            analysis: {
              dryMatterPercent,
              crudeProteinPercent,
              acidDetergentFiberPercent,
              neutralDetergentFiberPercent,
            },
            basis: 'dry-matter',
          });
          const possible =
            dryMatterPercent > 0 &&
            dryMatterPercent <= 100 &&
            crudeProteinPercent >= 0 &&
            crudeProteinPercent <= 40 &&
            acidDetergentFiberPercent >= 0 &&
            neutralDetergentFiberPercent <= 100 &&
            acidDetergentFiberPercent < neutralDetergentFiberPercent;
          if (!possible) expect(answer.ok).toBe(false);
          if (!answer.ok) expect(answer.problems.length).toBeGreaterThan(0);
        },
      ),
    );
    expect(() => refused([])).toThrow(RangeError);
  });
});

describe('several tests of one lot', () => {
  it('that contradict in sulfur: the highest against the limit, the mean against the need, both told', () => {
    const tests = [0.9, 0.1].map((sulfurPercent) => ({
      id: String(sulfurPercent),
      method: 'wet-chemistry' as const,
      analysis: { dryMatterPercent: 90, sulfurPercent },
    }));
    const { composition } = rationLotOf({ lotId: 'a', lotName: 'A', hayKind: 'meadow', tests });
    expect(composition.sulfurPercent).toEqual({
      value: 0.5,
      atMost: 0.9,
      origin: 'lab-test',
      source: 'lab tests that differ, 0.1 to 0.9',
      differ: { least: 0.1, most: 0.9 },
    });
  });

  it('weighs wet chemistry double and small samples less', () => {
    expect(labTestWeight({ method: 'wet-chemistry' }).weight).toBe(2);
    expect(labTestWeight({ method: 'near-infrared', coresSampled: 5 }).weight).toBe(0.25);
    expect(labTestWeight({ method: 'near-infrared', coresSampled: 60 }).weight).toBe(1);
    expect(labTestWeight({ method: 'book-value' }).weight).toBe(0);
    expect(() => labTestWeight({ method: 'near-infrared', coresSampled: 0 })).toThrow(RangeError);
    const { analysis, fields } = averageLabTests([
      {
        id: 'a',
        method: 'wet-chemistry',
        analysis: { dryMatterPercent: 90, crudeProteinPercent: 12, potassiumPercent: 2 },
      },
      {
        id: 'b',
        method: 'near-infrared',
        analysis: { dryMatterPercent: 87, crudeProteinPercent: 9, potassiumPercent: 3, acidDetergentFiberPercent: 38 },
      },
      { id: 'c', method: 'book-value', analysis: { dryMatterPercent: 60, crudeProteinPercent: 30 } },
    ]);
    expect(analysis).toEqual({
      dryMatterPercent: 89,
      crudeProteinPercent: 11,
      potassiumPercent: 2,
      acidDetergentFiberPercent: 38,
    });
    expect(fields.crudeProteinPercent).toMatchObject({ least: 9, most: 12 });
    expect(fields.potassiumPercent?.tests.map((test) => test.id)).toEqual(['a']);
  });

  it('takes the highest nitrate, for it is a danger and not a mean', () => {
    const { analysis } = averageLabTests([
      { id: 'a', method: 'near-infrared', analysis: { dryMatterPercent: 90, nitrateNitrogenPpm: 300 } },
      { id: 'b', method: 'near-infrared', analysis: { dryMatterPercent: 90, nitrateNitrogenPpm: 1900 } },
    ]);
    expect(analysis.nitrateNitrogenPpm).toBe(1900);
  });

  it('lies between its tests, and needs one that counts', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            protein: fc.double({ min: 4, max: 25, noNaN: true }),
            wet: fc.boolean(),
            cores: fc.integer({ min: 1, max: 40 }),
          }),
          { minLength: 1, maxLength: 6 },
        ),
        (samples) => {
          const { analysis } = averageLabTests(
            samples.map((sample, index) => ({
              id: String(index),
              method: sample.wet ? ('wet-chemistry' as const) : ('near-infrared' as const),
              coresSampled: sample.cores,
              analysis: { dryMatterPercent: 88, crudeProteinPercent: sample.protein },
            })),
          );
          expect(analysis.crudeProteinPercent ?? NaN).toBeGreaterThanOrEqual(
            Math.min(...samples.map((sample) => sample.protein)) - 1e-9,
          );
          expect(analysis.crudeProteinPercent ?? NaN).toBeLessThanOrEqual(
            Math.max(...samples.map((sample) => sample.protein)) + 1e-9,
          );
        },
      ),
    );
    expect(() => averageLabTests([{ id: 'a', method: 'book-value', analysis: { dryMatterPercent: 90 } }])).toThrow(
      RangeError,
    );
  });
});
