import fc from '../../support/properties.js';
import { convertShares, shareOn, type ShareToConvert } from '../../../src/core/laying/layer-shares';
import { LAYER_TEMPLATES } from '../../../src/core/laying/layer-templates.data';
import { BULK_DENSITIES, bookBulkDensity } from '../../../src/core/feeds/hay-densities.data';
import {
  hayVolume,
  layingCautions,
  likelyEatenOrder,
  type LaidFeeding,
} from '../../../src/core/laying/laying-cautions';
import { LAYER_BASES, type LayerBasis } from '../../../src/core/laying/layer';
import { rationDrift } from '../../../src/core/laying/drift';
import { toM3 } from '../../../src/desk/calculations/quantities';
import { FEEDING_SPACE } from '../../../src/core/laying/feeding-space.data';

const measured = (value: number) => ({ value, origin: 'measured', source: 'weighed' }) as const;
const layer = (name: string, share: number, density: number, dryMatter: number): ShareToConvert => ({
  name,
  share,
  bulkDensityKgPerM3: measured(density),
  dryMatterPercent: measured(dryMatter),
});
const codes = (cautions: readonly { code: string }[]) => cautions.map(({ code }) => code);

const anyLayers = fc
  .array(
    fc.record({
      part: fc.double({ min: 0.01, max: 1, noNaN: true }),
      density: fc.double({ min: 20, max: 300, noNaN: true }),
      dryMatter: fc.double({ min: 30, max: 100, noNaN: true }),
    }),
    { minLength: 1, maxLength: 6 },
  )
  .map((parts) => {
    const total = parts.reduce((sum, { part }) => sum + part, 0);
    return parts.map(({ part, density, dryMatter }, index) =>
      layer(`layer ${index}`, part / total, density, dryMatter),
    );
  });
const convert = (basis: LayerBasis, layers: readonly ShareToConvert[]) => {
  const outcome = convertShares({ basis, layers });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
};

describe('shares on three bases', () => {
  test('half and half by volume is not half and half by weight: 100 and 50 kg/m3 make 2:1', () => {
    const { layers } = convert('volume', [layer('dense', 0.5, 100, 90), layer('loose', 0.5, 50, 90)]);
    expect(layers.map(({ asFedShare }) => asFedShare)).toEqual([2 / 3, 1 / 3]);
    expect(layers.map(({ dryMatterShare }) => dryMatterShare)[0]).toBeCloseTo(2 / 3, 12);
  });
  test('wet hay loses share when it is told by dry matter', () => {
    const { layers } = convert('as-fed', [layer('dry hay', 0.5, 100, 90), layer('silage', 0.5, 100, 45)]);
    expect(layers[0]?.dryMatterShare).toBeCloseTo(2 / 3, 12);
  });
  test('the shares of every basis add up to 100 %', () => {
    fc.assert(
      fc.property(anyLayers, fc.constantFrom(...LAYER_BASES), (layers, basis) => {
        const converted = convert(basis, layers);
        for (const each of LAYER_BASES)
          expect(converted.layers.reduce((sum, one) => sum + shareOn({ layer: one, basis: each }), 0)).toBeCloseTo(
            1,
            9,
          );
      }),
    );
  });
  test('volume to weight to dry matter and back gives what was typed', () => {
    fc.assert(
      fc.property(anyLayers, fc.constantFrom(...LAYER_BASES), fc.constantFrom(...LAYER_BASES), (layers, from, by) => {
        const there = convert(from, layers);
        const back = convert(
          by,
          layers.map((each, index) => ({ ...each, share: shareOn({ layer: there.layers[index]!, basis: by }) })),
        );
        layers.forEach((each, index) =>
          expect(shareOn({ layer: back.layers[index]!, basis: from })).toBeCloseTo(each.share, 9),
        );
      }),
    );
  });
  test('the densities and dry matters used stand in the answer, and book values are named', () => {
    const row = bookBulkDensity({ form: 'loose-hay' });
    const converted = convert('volume', [
      { ...layer('a', 1, 1, 90), bulkDensityKgPerM3: { value: row.kgPerM3, origin: 'book-value', source: row.source } },
    ]);
    expect(converted.restsOnBookValues).toBe(true);
    expect(converted.layers[0]?.bulkDensityKgPerM3).toMatchObject({ origin: 'book-value', source: row.source });
  });
  test('what cannot be is refused with the field and what is allowed', () => {
    const wrong = convertShares({ basis: 'volume', layers: [layer('a', 0.5, 100, 90), layer('b', 0.3, 0, 101)] });
    expect(wrong).toMatchObject({
      ok: false,
      problems: [
        { code: 'bulkDensityKgPerM3-out-of-range', field: 'layers[1].bulkDensityKgPerM3' },
        { code: 'dryMatterPercent-out-of-range' },
        { code: 'shares-do-not-add-up', given: '80 %' },
      ],
    });
    expect(convertShares({ basis: 'volume', layers: [] })).toMatchObject({
      ok: false,
      problems: [{ code: 'no-layers' }],
    });
    expect(convertShares({ basis: 'volume', layers: [layer('a', Number.NaN, 100, 90)] }).ok).toBe(false);
  });
  test('thirds typed as 33.3 % are scaled, not refused', () => {
    const { layers } = convert('as-fed', [
      layer('a', 0.333, 1, 90),
      layer('b', 0.333, 1, 90),
      layer('c', 0.333, 1, 90),
    ]);
    expect(layers[0]?.asFedShare).toBeCloseTo(1 / 3, 12);
  });
  // TAMU-HAY in test/reference/published-values.json (cases bale-4x5, bale-5x5): 11.21 lb/ft3.
  test('round bale density is the published 11.21 lb/ft3, within the published range', () => {
    const row = bookBulkDensity({ form: 'round-bale' });
    expect(row.kgPerM3 / (0.45359237 / 0.3048 ** 3)).toBeCloseTo(11.21, 9);
    for (const { kgPerM3, rangeKgPerM3 } of BULK_DENSITIES)
      expect(kgPerM3 >= rangeKgPerM3[0] && kgPerM3 <= rangeKgPerM3[1]).toBe(true);
  });
});

describe('templates', () => {
  // Shares from the project's own requirements: 40/35/25, 30/45/25, 50/25/25 (common practice, no source).
  test.each([
    ['general', [40, 35, 25]],
    ['growing', [30, 45, 25]],
    ['mid-gestation', [50, 25, 25]],
  ])('%s', (key, shares) => {
    const template = LAYER_TEMPLATES.find((each) => each.key === key);
    expect(template?.layers.map(({ share }) => Math.round(share * 100))).toEqual(shares);
    expect(template?.layers.map(({ role }) => role)).toEqual(['coarse', 'rich', 'mixed']);
    expect(template?.source).toBe('common practice, no source');
    expect(template?.layers.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 12);
  });
});

describe('laying', () => {
  const coarse = { name: 'Straw', role: 'coarse', kgAsFed: 400, bulkDensityKgPerM3: 60 } as const;
  const rich = { name: 'Alfalfa', role: 'rich', kgAsFed: 350, bulkDensityKgPerM3: 100 } as const;
  const mixed = { name: 'Meadow', role: 'mixed', kgAsFed: 250, bulkDensityKgPerM3: 80 } as const;
  const sound: LaidFeeding = {
    layers: [coarse, rich, mixed],
    weather: 'dry',
    hayWasWet: false,
    blended: false,
    legumeShareOfDryMatter: 0.35,
    head: 50,
    space: { spaceClass: 'cow-1300-lb', access: 'once-daily', feedingLengthM: 50 * 30 * 0.0254, volumeM3: 20 },
  };
  test('sound laying raises none, and the top is likely eaten first', () => {
    expect(layingCautions(sound)).toEqual([]);
    expect(likelyEatenOrder({ layers: sound.layers })).toMatchObject({
      order: [{ name: 'Meadow' }, { name: 'Alfalfa' }, { name: 'Straw' }],
      source: 'common practice, no source',
    });
  });
  test('leafy under coarse, by role or by the recorded texture of the lot', () => {
    expect(layingCautions({ ...sound, layers: [rich, coarse, coarse] })).toMatchObject([
      { code: 'leafy-under-coarse', given: 2, subject: { name: 'Alfalfa' } },
    ]);
    expect(layingCautions({ ...sound, layers: [{ ...rich, texture: 'medium' }, coarse] })).toEqual([]);
    expect(codes(layingCautions({ ...sound, layers: [rich, { ...mixed, texture: 'coarse-stemmy' }] }))).toEqual([
      'leafy-under-coarse',
    ]);
  });
  test('dew, frost, rain or snow; what was seen on the hay outranks the weather', () => {
    for (const weather of ['dew', 'frost', 'rain', 'snow'] as const)
      expect(codes(layingCautions({ ...sound, weather, hayWasWet: null }))).toEqual(['laid-while-wet']);
    expect(layingCautions({ ...sound, weather: 'dew', hayWasWet: false })).toEqual([]);
    expect(codes(layingCautions({ ...sound, hayWasWet: true, legumeShareOfDryMatter: 0.8 }))).toEqual([
      'laid-while-wet',
      'legume-bloat',
    ]);
  });
  test('blended after laying is named; one layer cannot be blended', () => {
    expect(codes(layingCautions({ ...sound, blended: true }))).toEqual(['blended-after-laying']);
    expect(layingCautions({ ...sound, blended: true, layers: [mixed] })).toEqual([]);
  });
  test('feeding length below the published range, and more hay than room', () => {
    const [short] = layingCautions({ ...sound, space: { ...sound.space, feedingLengthM: 50 * 25 * 0.0254 } });
    expect(short).toMatchObject({ code: 'bunk-length-short', threshold: 26, sourceStatus: 'confirmed in page' });
    expect(short?.given).toBeCloseTo(25, 9);
    expect(codes(layingCautions({ ...sound, space: { ...sound.space, volumeM3: 10 } }))).toEqual(['hay-exceeds-space']);
    expect(
      layingCautions({ ...sound, space: { ...sound.space, access: 'always-available', feedingLengthM: 1 } }),
    ).toEqual([]);
  });
  // Federation of Animal Science Societies 2020 as tabulated by Penn State Extension: cows of 1300 lb 26 to 30 in, 1000
  // lb 24 to 30 in, bulls 30 to 36 in.
  test('published feeding lengths', () => {
    const length = (spaceClass: string) =>
      FEEDING_SPACE.find((row) => row.spaceClass === spaceClass && row.access === 'once-daily')?.inchesPerHead;
    expect([length('cow-1300-lb'), length('cow-1000-lb'), length('bull'), length('bred-heifer')]).toEqual([
      [26, 30],
      [24, 30],
      [30, 36],
      [22, 26],
    ]);
  });
  test('volume is the sum of weight over density', () => {
    expect(hayVolume({ layers: [coarse, rich] }).volumeM3).toBeCloseTo(400 / 60 + 3.5, 12);
    expect(() => hayVolume({ layers: [{ kgAsFed: 1, bulkDensityKgPerM3: 0 }] })).toThrow(RangeError);
  });
  // 800 lb at 4.25 lb/ft3 and 1200 lb at 2.5 lb/ft3 (the book densities of loose hay and straw) in 300 ft3, by hand:
  // 668.235294 / 300, to the last digit of a float.
  test('the share of a room in cubic feet is the share in cubic meters', () => {
    const kg = (pounds: number) => pounds * 0.45359237;
    const layers = [
      { ...rich, kgAsFed: kg(800), bulkDensityKgPerM3: bookBulkDensity({ form: 'loose-hay' }).kgPerM3 },
      { ...coarse, kgAsFed: kg(1200), bulkDensityKgPerM3: bookBulkDensity({ form: 'loose-straw' }).kgPerM3 },
    ];
    const volumeM3 = toM3({ value: 300, unit: 'ft3' });
    const filled = layingCautions({ ...sound, layers, space: { ...sound.space, volumeM3 } });
    expect(filled.find(({ code }) => code === 'hay-exceeds-space')?.given).toBe(2.227450980392157);
  });
});

describe('drift', () => {
  const planned = [
    { lotId: 'a', role: 'coarse', dryMatterKgPerHead: 4 },
    { lotId: 'b', role: 'rich', dryMatterKgPerHead: 3 },
    { lotId: 'c', role: 'mixed', dryMatterKgPerHead: 3 },
  ] as const;
  test('the same feeding has no drift', () => {
    expect(rationDrift({ planned, fed: planned })).toMatchObject({
      misplacedShare: 0,
      dryMatterDifferenceKgPerHead: 0,
      outOfOrder: [],
      notPlanned: [],
      notFed: [],
    });
  });
  test('share, dry matter, order and foreign hay are told apart', () => {
    const drift = rationDrift({
      planned,
      fed: [
        { lotId: 'b', role: 'rich', dryMatterKgPerHead: 6 },
        { lotId: 'a', role: 'coarse', dryMatterKgPerHead: 4 },
        { lotId: 'd', role: 'mixed', dryMatterKgPerHead: 2 },
      ],
    });
    expect(drift.dryMatterDifferencePercent).toBeCloseTo(20, 9);
    expect(drift.outOfOrder).toEqual([{ plannedLower: 'a', plannedUpper: 'b' }]);
    expect([drift.notPlanned, drift.notFed]).toEqual([['d'], ['c']]);
    expect(drift.misplacedShare).toBeCloseTo((Math.abs(4 / 12 - 0.4) + Math.abs(0.5 - 0.3) + 0.3 + 2 / 12) / 2, 12);
    expect(drift.byRole.find(({ role }) => role === 'rich')?.shareDifference).toBeCloseTo(0.2, 12);
  });
  test('nothing planned gives no percent', () => {
    expect(rationDrift({ planned: [], fed: planned })).toMatchObject({
      dryMatterDifferencePercent: null,
      misplacedShare: null,
      notPlanned: ['a', 'b', 'c'],
    });
  });
});
