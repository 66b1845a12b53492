import publishedValues from '../../reference/published-values.json';
import { nitrateBand, nitrateFromNitrateNitrogen } from '../../../src/core/cautions/nitrate';
import { MOISTURE_GUIDES, type HeatingGuideKey, type NitrateGuideKey } from '../../../src/core/cautions/guides.data';
import { heatingAction, stackingMoistureCautions } from '../../../src/core/cautions/hay-in-store';
import { sulfurFromWater, sulfurMaximum, tetanyRatio } from '../../../src/core/cautions/minerals';
import { CAUTIONS } from '../../../src/core/cautions/cautions.data';
import { passes } from '../../../src/core/cautions/caution';
import { dissolvedSolidsBand, waterCautions } from '../../../src/core/cautions/water';

/** Cases and sources: test/reference/published-values.json; each test names the case, the case names its source. */
interface PublishedCase {
  id: string;
  topic: string;
  inputs: Record<string, unknown>;
  expected: unknown;
  source: string;
}
const cases = publishedValues as PublishedCase[];
const topic = (name: string) => cases.filter((each) => each.topic === name);
const byId = (id: string): PublishedCase => {
  const found = cases.find((each) => each.id === id);
  if (found === undefined) throw new Error(`No published case ${id}`);
  return found;
};
const number = (each: PublishedCase, key: string): number => Number(each.inputs[key]);
const LITRES_PER_GALLON = 3.785411784;
const celsius = (fahrenheit: number) => ((fahrenheit - 32) * 5) / 9;

const NITRATE_GUIDE_OF_CASE: Record<string, NitrateGuideKey> = {
  'no3-clemson': 'clemson',
  'no3-4band': 'new-mexico-south-dakota',
  'no3-6band': 'six-band-laboratory',
};
const nitrateGuide = (id: string) => NITRATE_GUIDE_OF_CASE[id.split('-').slice(0, 2).join('-')];
const HEATING_GUIDE_OF_CASE: Record<string, HeatingGuideKey> = {
  purdue: 'purdue',
  uk: 'kentucky',
  cdqap: 'california',
};

describe('nitrate bands as published', () => {
  const banded = topic('nitrate').filter((each) => nitrateGuide(each.id) !== undefined);
  test('all eleven band cases are run', () => expect(banded).toHaveLength(11));
  test.each(banded.map((each) => [each.id, each] as const))('%s', (id, each) => {
    const guide = nitrateGuide(id) ?? 'clemson';
    expect(nitrateBand({ guide, nitrateNitrogenPpmDm: number(each, 'NO3N_ppm_DM') }).label).toBe(each.expected);
  });
  test('no3-convert-1000', () => {
    const each = byId('no3-convert-1000');
    expect(nitrateFromNitrateNitrogen({ nitrateNitrogenPpm: number(each, 'NO3N_ppm') }).nitratePpm).toBeCloseTo(
      each.expected as number,
      0,
    );
  });
});

describe('hay heating and baling moisture as published', () => {
  const heating = topic('hay_heating');
  test('all seven heating cases are run', () => expect(heating).toHaveLength(7));
  test.each(heating.map((each) => [each.id, each] as const))('%s', (id, each) => {
    const guide = HEATING_GUIDE_OF_CASE[id.split('-')[1] ?? ''] ?? 'purdue';
    const { action, step } = heatingAction({ coreTemperatureC: celsius(number(each, 'temp_F')), guide });
    expect(String(each.expected).startsWith(action)).toBe(true);
    expect(step === null).toBe(String(each.expected).startsWith('no action'));
  });
  const moisture = topic('hay_moisture');
  const FORM = {
    'small square': 'small-square',
    'large round': 'round',
    'large square': 'large-square',
    'conventional three-tie': 'small-square',
    'large half-ton to one-ton': 'large-square',
  } as const;
  test('all five moisture cases are run', () => expect(moisture).toHaveLength(5));
  test.each(moisture.map((each) => [each.id, each] as const))('%s', (id, each) => {
    const guide = id.includes('purdue') ? 'purdue' : 'california';
    const baleForm = FORM[each.inputs['bale'] as keyof typeof FORM];
    const limit = each.expected as number;
    expect(MOISTURE_GUIDES[guide].maxMoisturePercent[baleForm]).toBe(limit);
    expect(stackingMoistureCautions({ lotName: 'a lot', baleForm, moisturePercent: limit, guide })).toEqual([]);
    expect(stackingMoistureCautions({ lotName: 'a lot', baleForm, moisturePercent: limit + 0.1, guide })).toHaveLength(
      1,
    );
  });
});

describe('minerals and water as published', () => {
  test.each(['tetany-1', 'tetany-3'])('%s', (id) => {
    const each = byId(id);
    const expected = each.expected as { ratio: number; risk: boolean };
    const { ratio } = tetanyRatio({
      potassiumPercent: number(each, 'K_pct'),
      calciumPercent: number(each, 'Ca_pct'),
      magnesiumPercent: number(each, 'Mg_pct'),
    });
    expect(Math.abs((ratio ?? 0) - expected.ratio)).toBeLessThanOrEqual(0.02);
    const { value, raisedWhen } = CAUTIONS['grass-tetany-ratio'].thresholds.ratio;
    expect(passes(ratio ?? 0, raisedWhen, value)).toBe(expected.risk);
  });
  test('sulfur-low-forage', () =>
    expect(sulfurMaximum({ forageShare: 0.1 }).value).toBe(byId('sulfur-low-forage').expected));
  test('sulfur-high-forage', () =>
    expect(sulfurMaximum({ forageShare: 0.9 }).value).toBe(byId('sulfur-high-forage').expected));
  test('sulfur-mature-cow-limit', () =>
    expect(CAUTIONS['sulfur-mature-cow'].thresholds.gramsPerDay.value).toBe(byId('sulfur-mature-cow-limit').expected));
  test('sulfur-from-water', () => {
    const each = byId('sulfur-from-water');
    const { sulfurGPerDay } = sulfurFromWater({
      waterLPerDay: number(each, 'water_gal_d') * LITRES_PER_GALLON,
      sulfateMgPerL: number(each, 'sulfate_mg_L'),
    });
    expect(Math.abs(sulfurGPerDay - (each.expected as number))).toBeLessThanOrEqual(0.1);
  });
  test('req-mineral-Mg and req-mineral-S: the minima and the 1996 maximum of the table', () => {
    const { growing, pregnant, earlyMilk } = CAUTIONS['magnesium-low'].thresholds;
    expect(byId('req-mineral-Mg').expected).toBe(
      `${[growing, pregnant, earlyMilk].map((each) => each.value.toFixed(2)).join('/')} %`,
    );
    expect(byId('req-mineral-S').expected).toContain(
      `max ${sulfurMaximum({ forageShare: 1, choice: 'single-0.40' }).value.toFixed(2)}`,
    );
  });
  const solids = topic('water').filter((each) => each.id.startsWith('tds-'));
  test('all four cases of dissolved solids are run', () => expect(solids).toHaveLength(4));
  test.each(solids.map((each) => [each.id, each] as const))('%s', (_id, each) => {
    expect(String(each.expected)).toContain(
      dissolvedSolidsBand({ dissolvedSolidsMgPerL: number(each, 'TDS_mg_L') }).label,
    );
  });
  test('water-sulfate-limit', () => {
    const each = byId('water-sulfate-limit');
    const water = {
      sourceName: 'the well',
      frozen: null,
      supplyLPerDay: null,
      needLPerDay: null,
      dissolvedSolidsMgPerL: null,
      pregnantOrMilking: false,
      milking: false,
      calves: false,
    };
    expect(
      waterCautions({ ...water, sulfateMgPerL: number(each, 'sulfate_mg_L') }).map((caution) => caution.code),
    ).toEqual(['water-sulfate']);
    expect(waterCautions({ ...water, sulfateMgPerL: number(each, 'sulfate_mg_L') - 1 })).toEqual([]);
  });
  test('sample-cores and sample-lot-size', () => {
    const { cores, lotTons } = CAUTIONS['sample-too-small'].thresholds;
    expect([cores.value, lotTons.value]).toEqual([byId('sample-cores').expected, byId('sample-lot-size').expected]);
  });
});
