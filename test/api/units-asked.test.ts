/*
 * An answer speaks the units that its reader asked for, in figures, in sentences and in the names of its fields: the
 * same herd, asked at every address that judges or plans, in both systems. Invented.
 */
import { z } from 'zod';
import { ENDPOINTS } from '../../src/platform/http/endpoint.js';
import type { UnitSystem } from '../../src/core/units/unit.js';
import type { ApiClient } from '../support/client.js';
import { clientOf, join, type Operation, operationWith, person } from '../support/people.js';
import { herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { toldInOtherUnits } from '../support/other-units.js';
import { openWorld, type World } from '../support/world.js';

const ON = '2027-01-14';
const MONTHS = { from: '2027-01-14', until: '2027-04-30' };
const percent = (value: string) => ({ value, unit: '%' });

let world: World;
let operation: Operation;
let consulting: ApiClient;
let placeId: string;
let hay: string;
let grain: string;
let cubes: string;
let mineral: string;
const herds: Record<string, string> = {};
const rations: Record<string, string> = {};

const post = async (path: string, body: object, status = 201): Promise<string> =>
  (await operation.as.owner.post<WithId>(operation.at(path), body, { expect: status })).body.id;

async function inUse(name: string, herdId: string, parts: readonly object[]): Promise<void> {
  const rationId = await post('/rations', {
    herdId,
    name: `Ration of ${name}`,
    basis: 'as-fed',
    amount: { weight: { value: '22', unit: 'lb' }, basis: 'as-fed' },
    layers: [{ role: 'mixed', parts }],
  });
  for (const [step, body] of [
    ['proposal', {}],
    ['acceptance', {}],
    ['use', { from: '2027-01-02' }],
  ] as const)
    await post(`/rations/${rationId}/${step}`, body, 200);
  rations[name] = rationId;
}

/** Cattle of every sort that has words of its own: heifers that carry a calf, light calves on grain and urea, cows. */
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world, { roles: ['manager', 'hand', 'nutritionist'] });
  const consultant = await person(world, 'consultant');
  await join(world, consultant, operation.id, 'nutritionist', { seesPrices: true });
  consulting = await clientOf(world, consultant);
  const ranchId = await ranch(operation);
  const bunkLength = { value: '20', unit: 'ft' };
  placeId = await post('/places', { ranchId, name: 'Bunk', kind: 'bunk-line', bunkLength });
  hay = (await lot(operation, ranchId, { name: 'Meadow', tons: '200' })).lotId;
  grain = (await lot(operation, ranchId, { name: 'Corn', hayKind: 'corn-grain', tons: '20' })).lotId;
  cubes = (await lot(operation, ranchId, { name: 'Urea cubes', hayKind: 'protein-cubes', tons: '20' })).lotId;
  await post('/lab-tests', labTestBody(hay));
  await post(
    '/lab-tests',
    labTestBody(cubes, {
      method: 'label',
      analysis: { dryMatter: percent('90'), crudeProtein: percent('38') },
    }),
  );
  for (const [name, more] of Object.entries({
    heifers: {
      cattleClass: 'replacement-heifer',
      sex: 'heifer',
      bodyWeight: { value: '820', unit: 'lb' },
      matureWeight: { value: '1250', unit: 'lb' },
      targetDailyGain: undefined,
      bredOn: '2026-06-20',
    },
    calves: { bodyWeight: { value: '400', unit: 'lb' }, targetDailyGain: { value: '2', unit: 'lb' } },
    cows: {
      cattleClass: 'lactating-cow',
      sex: 'cow',
      bodyWeight: { value: '1200', unit: 'lb' },
      targetDailyGain: undefined,
      calvedOn: '2026-12-20',
    },
  }))
    herds[name] = await herd(operation, ranchId, { name, head: 40, placeId, ...more });
  const all = { hayLotId: hay, sharePercent: '100' };
  mineral = (await lot(operation, ranchId, { name: 'Mineral', hayKind: 'mineral', tons: '2' })).lotId;
  const kept = { hayLotId: mineral, weight: { value: '4', unit: 'oz' }, freeChoice: true };
  await inUse('heifers', herds['heifers'] ?? '', [all, kept]);
  await inUse('cows', herds['cows'] ?? '', [all]);
  await inUse('calves', herds['calves'] ?? '', [
    { hayLotId: hay, sharePercent: '10' },
    { hayLotId: grain, sharePercent: '60' },
    { hayLotId: cubes, sharePercent: '30' },
  ]);
  for (const herdId of Object.values(herds))
    await post('/feedings', {
      herdId,
      fedOn: '2027-01-13',
      method: 'windrow-on-ground',
      layers: [{ role: 'coarse', parts: [{ hayLotId: hay, weight: { value: '800', unit: 'lb' } }] }],
    });
  await post('/weather-days', {
    ranchId,
    onDay: ON,
    meanTemperature: { value: '-15', unit: 'F' },
    wind: { value: '15', unit: 'mph' },
    mudDepth: { value: '6', unit: 'in' },
  });
  await post('/water-checks', {
    placeId,
    source: 'Well',
    state: 'open',
    checkedOn: '2027-01-13',
    sulfateMgPerL: '2600',
    dissolvedSolidsMgPerL: '6000',
    flow: { value: '0.2', unit: 'gal/min' },
    tank: { value: '500', unit: 'L' },
  });
  await post('/hay-observations', {
    hayLotId: hay,
    seenOn: '2027-01-13',
    probe: { temperature: { value: '131', unit: 'F' }, depth: { value: '3', unit: 'ft' } },
  });
});
afterAll(() => world.close());

/** One answer of every address that judges, plans or lays. */
async function everyAnswer(units: UnitSystem): Promise<[address: string, answer: unknown][]> {
  const { owner } = operation.as;
  const found: [string, unknown][] = [];
  const get = async (path: string, query: Record<string, string> = {}, client = owner): Promise<void> => {
    const address = path.startsWith('/v1') ? path : operation.at(path);
    found.push([path, (await client.get(address, { query: { units, ...query }, expect: 200 })).body]);
  };
  const ask = async (path: string, body: object, query: Record<string, string>): Promise<void> => {
    found.push([path, (await owner.post(operation.at(path), body, { query, key: null, expect: 200 })).body]);
  };
  for (const [name, herdId] of Object.entries(herds)) {
    const thumb = { on: ON, coldMethod: 'rule-of-thumb' };
    await get(`/herds/${herdId}/ration-review`, { on: ON });
    await get(`/rations/${rations[name] ?? ''}/evaluation`, { on: ON });
    await get(`/rations/${rations[name] ?? ''}/evaluation`, thumb);
    await get(`/herds/${herdId}/requirements`, { on: ON });
    await get(`/herds/${herdId}/requirements`, { on: '2026-11-14', diet: 'solved' });
    await get(`/herds/${herdId}/state`, { on: ON });
    await get(`/herds/${herdId}/ration-drift`, { from: '2027-01-10', until: ON });
    await ask(`/herds/${herdId}/least-cost-ration`, { on: ON, days: 30 }, { units });
    // The words of a year come from the same place in either system, and a year takes seconds.
    if (units === 'metric') await ask(`/herds/${herdId}/least-cost-ration`, { on: ON, days: 366 }, { units });
  }
  for (const records of ['/weather-days', '/water-checks', '/hay-observations', '/places']) await get(records);
  await get('/ration-reviews', { on: ON });
  await get('/v1/portfolio/herds', { on: ON }, consulting);
  await get(`/places/${placeId}/feed-sheet`, { on: ON });
  await get('/season-ration-plan', { from: '2027-01', until: '2027-04', weather: 'known' });
  await get('/reports/hay-budget', MONTHS);
  await ask(
    '/what-if',
    {
      herdIds: Object.values(herds),
      assume: { weather: { meanTemperature: { value: '-30', unit: 'F' }, wind: { value: '60', unit: 'mph' } } },
      rations: [{ kind: 'in-use' }, { kind: 'present' }],
    },
    { units, on: ON, coldMethod: 'rule-of-thumb' },
  );
  return found;
}

const NAMED: Readonly<Record<string, string>> = { on: ON, from: '2027-01-01', until: '2027-01-16', month: '2027-01' };

/** Every address of the books that is read and takes units, by what there is: of each list the first record. */
async function everyReadable(units: UnitSystem): Promise<{ read: string[]; told: string[] }> {
  const { owner } = operation.as;
  const idsOf = new Map<string, string>([['operationId', operation.id]]);
  const read: string[] = [];
  const told: string[] = [];
  const readable = ENDPOINTS.filter(({ method, path }) => method === 'GET' && path.includes(':operationId'));
  for (const { path, operationId, query } of readable.sort((a, b) => a.path.length - b.path.length)) {
    const shape = query instanceof z.ZodObject ? (query.shape as Record<string, z.ZodType>) : {};
    const params = [...path.matchAll(/:(\w+)/g)].map(([, name = '']) => name);
    const last = params.at(-1) ?? '';
    const place = (of: string): string => of.replaceAll(/:(\w+)/g, (_all, name: string) => idsOf.get(name) ?? 'none');
    const listed = path.endsWith(`/:${last}`) ? path.slice(0, -`/:${last}`.length) : undefined;
    if (!idsOf.has(last) && listed !== undefined) {
      const { body, status } = await owner.get<{ items?: { id?: string }[] }>(place(listed), { query: { limit: '1' } });
      const id = status === 200 ? body.items?.[0]?.id : undefined;
      if (id !== undefined) idsOf.set(last, id);
    }
    if (!('units' in shape) || !params.every((name) => idsOf.has(name))) continue;
    const asked = Object.entries(shape).flatMap(([name, schema]) =>
      schema.safeParse(undefined).success ? [] : [[name, NAMED[name] ?? idsOf.get(name) ?? '']],
    );
    const { body, status } = await owner.get(place(path), {
      query: { ...(Object.fromEntries(asked) as Record<string, string>), units },
    });
    if (status !== 200) continue;
    read.push(operationId);
    told.push(...toldInOtherUnits(body, units).map((one) => `${operationId} ${one}`));
  }
  return { read, told: [...new Set(told)] };
}

describe.each(['us', 'metric'] as const)('asked for %s units', (units) => {
  it('no readable address of the books answers in others', async () => {
    const { read, told } = await everyReadable(units);
    expect(told).toEqual([]);
    expect(read).toEqual(
      expect.arrayContaining(['getSamplingPlan', 'getRation', 'listRations', 'getFeeding', 'listHayLots', 'getHayLot']),
    );
    expect(read.length).toBeGreaterThan(25);
  });

  it('no address answers in others', async () => {
    const told = (await everyAnswer(units)).flatMap(([address, answer]) =>
      toldInOtherUnits(answer, units).map((one) => `${address.replace(/[0-9a-f-]{36}/, ':id')} ${one}`),
    );
    expect([...new Set(told)]).toEqual([]);
  });
});

/* An ounce is 28.349523125 g (NIST Handbook 44, appendix C); 200 short tons are 181.4 t, 18 in 45.72 cm. */
it('tells the intake of a mineral and how to sample a lot in the units of the reader, and what was typed', async () => {
  const sheet = async (units: UnitSystem): Promise<{ intake: object }[]> =>
    (
      await operation.as.hand.get<{ herds: { freeChoice: { intake: object }[] }[] } & Record<string, unknown>>(
        operation.at(`/places/${placeId}/feed-sheet`),
        { query: { units, on: ON }, expect: 200 },
      )
    ).body.herds.flatMap(({ freeChoice }) => freeChoice);
  const typed = { value: '4', unit: 'oz' };
  expect(await sheet('metric')).toMatchObject([{ intake: { value: '113.398', unit: 'g', typed } }]);
  expect(await sheet('us')).toMatchObject([{ intake: { ...typed, typed } }]);
  const plan = async (units: UnitSystem): Promise<string> =>
    (
      await operation.as.hand.get<{ steps: { words: string }[] } & Record<string, unknown>>(
        operation.at(`/hay-lots/${hay}/sampling-plan`),
        { query: { units }, expect: 200 },
      )
    ).body.steps
      .map(({ words }) => words)
      .join(' ');
  expect(await plan('metric')).toMatch(/no more than 181 t\. .* 30 cm to 46 cm into the bale/);
  expect(await plan('us')).toMatch(/no more than 200 ton\. .* 12 in to 18 in into the bale/);
});

/*
 * By the definitions of the units: -15 °F is -235/9 °C, a mile is 1.609344 km, an inch 2.54 cm, a US gallon
 * 3.785411784 L, a foot 0.3048 m, 131 °F is 55 °C.
 */
it('what was typed of weather, water and a probe is told in both systems, and as it was typed', async () => {
  const first = async (path: string, units: UnitSystem): Promise<unknown> =>
    (await operation.as.owner.get<{ items: unknown[] }>(operation.at(path), { query: { units }, expect: 200 })).body
      .items[0];
  expect(await first('/weather-days', 'metric')).toMatchObject({
    meanTemperature: { value: '-26.111', unit: 'C', typed: { value: '-15', unit: 'F' } },
    wind: { value: '24.14', unit: 'km/h', typed: { value: '15', unit: 'mph' } },
    mudDepth: { value: '15.24', unit: 'cm', typed: { value: '6', unit: 'in' } },
  });
  expect(await first('/weather-days', 'us')).toMatchObject({
    meanTemperature: { value: '-15', unit: 'F', typed: { value: '-15', unit: 'F' } },
  });
  expect(await first('/water-checks', 'metric')).toMatchObject({
    flow: { value: '0.757', unit: 'L/min', typed: { value: '0.2', unit: 'gal/min' } },
    tank: { value: '500', unit: 'L' },
    supplyPerDay: { value: 1090.2, unit: 'L' },
  });
  expect(await first('/water-checks', 'us')).toMatchObject({
    tank: { value: '132.086', unit: 'gal', typed: { value: '500', unit: 'L' } },
    supplyPerDay: { value: 288, unit: 'gal' },
  });
  expect(await first('/hay-observations', 'metric')).toMatchObject({
    probe: {
      temperature: { value: '55', unit: 'C', typed: { value: '131', unit: 'F' } },
      depth: { value: '0.914', unit: 'm', typed: { value: '3', unit: 'ft' } },
    },
  });
  expect(await first('/places', 'metric')).toMatchObject({
    bunkLength: { value: '6.096', unit: 'm', typed: { value: '20', unit: 'ft' } },
  });
});

interface Daily {
  value: number;
  unit: string;
}

interface Line {
  nutrient: string;
  unit: string;
  supply: number | null;
  need: number | null;
  percentOfDryMatter: { supply: number | null; need: number | null } | null;
}

/*
 * By hand: pounds of protein over pounds of dry matter, as ranchers in the US count both; what is eaten and what is
 * needed by one divisor.
 */
it('the same line is told as shares of the dry matter, and gain in words', async () => {
  const { owner } = operation.as;
  const review = async (name: string) =>
    (
      await owner.get<{ lines: Line[]; gainInWords: string | null; notes: { code: string }[] }>(
        operation.at(`/herds/${herds[name] ?? ''}/ration-review`),
        { query: { on: ON, units: 'us' }, expect: 200 },
      )
    ).body;
  const { lines, gainInWords, notes } = await review('heifers');
  const metric = await owner.get<{ lines: Line[] }>(operation.at(`/herds/${herds['heifers'] ?? ''}/ration-review`), {
    query: { on: ON, units: 'metric' },
    expect: 200,
  });
  const unitsOf = (of: Line[]) => of.flatMap(({ nutrient, unit }) => (/[pP]rotein/.test(nutrient) ? [unit] : []));
  expect(unitsOf(lines)).toEqual(['lb/d', 'lb/d', 'lb/d']);
  expect(unitsOf(metric.body.lines)).toEqual(['g/d', 'g/d', 'g/d']);
  // 453.59237 g in a pound (NIST Handbook 44, appendix C).
  const grams = metric.body.lines.find((one) => one.nutrient === 'crudeProtein')?.need ?? NaN;
  expect(lines.find((one) => one.nutrient === 'crudeProtein')?.need).toBeCloseTo(grams / 453.59237, 3);
  const dryMatterLb = lines.find((one) => one.nutrient === 'dryMatter')?.supply ?? 0;
  const protein = lines.find((one) => one.nutrient === 'crudeProtein');
  expect(protein?.unit).toBe('lb/d');
  expect(protein?.percentOfDryMatter?.supply).toBeCloseTo(((protein?.supply ?? 0) / dryMatterLb) * 100, 1);
  expect(protein?.percentOfDryMatter?.need).toBeCloseTo(((protein?.need ?? 0) / dryMatterLb) * 100, 1);
  expect(lines.find((one) => one.nutrient === 'netEnergyMaintenance')?.percentOfDryMatter).toBeNull();
  expect(gainInWords).toMatch(/(gain|lose) [\d.]+ lb a day|lose weight/);
  expect(notes.map((one) => one.code)).toContain('default-calf-birth-weight');
  expect((await review('cows')).gainInWords).toBeNull();
});

it('tells days per condition score of heifers that carry a calf, and what trace minerals they need', async () => {
  const { owner } = operation.as;
  const herdId = herds['heifers'] ?? '';
  const { body } = await owner.get<{ daysToOneConditionScore: number | null; conditionDirection: string | null }>(
    operation.at(`/herds/${herdId}/ration-review`),
    { query: { on: ON }, expect: 200 },
  );
  expect(['gain', 'loss', 'steady']).toContain(body.conditionDirection);
  const needs = await owner.get<{
    requirements: { perHead: { copper: Daily; zinc: Daily; vitaminA: Daily; dryMatterIntake: { value: string } } }[];
  }>(operation.at(`/herds/${herdId}/requirements`), { query: { on: ON, units: 'metric' }, expect: 200 });
  const perHead = needs.body.requirements[0]?.perHead;
  // National Research Council 2000, Table 5-1: copper 10 and zinc 30 mg in a kilogram of dry matter.
  const intake = Number(perHead?.dryMatterIntake.value);
  expect((perHead?.copper.value ?? 0) / intake).toBeCloseTo(10, 1);
  expect((perHead?.zinc.value ?? 0) / intake).toBeCloseTo(30, 1);
  expect([perHead?.copper.unit, perHead?.vitaminA.unit]).toEqual(['mg/d', 'IU/d']);
});

it('takes a ration by pounds and ounces of each feed, on record and in a what-if', async () => {
  const { owner } = operation.as;
  const layers = [
    { role: 'coarse', parts: [{ hayLotId: hay, weight: { value: '20', unit: 'lb' } }] },
    {
      role: 'mixed',
      parts: [
        { hayLotId: grain, weight: { value: '4', unit: 'lb' } },
        { hayLotId: cubes, weight: { value: '8', unit: 'oz' } },
      ],
    },
  ];
  const herdId = herds['cows'] ?? '';
  const kept = await owner.post<{
    amount: { weight: { value: string; unit: string } };
    perHead: { asFed: { value: string } };
  }>(operation.at('/rations'), { herdId, name: 'By the pound', layers }, { query: { units: 'us' }, expect: 201 });
  expect(kept.body.amount.weight).toMatchObject({ value: '24.5', unit: 'lb', typed: { value: '24.5', unit: 'lb' } });
  expect(Number(kept.body.perHead.asFed.value)).toBeCloseTo(24.5, 3);
  const whatIf = await owner.post<{
    herds: { rations: { evaluation: { perHead: { asFed: { value: string } } } }[] }[];
  }>(
    operation.at('/what-if'),
    { herdIds: [herdId], rations: [{ kind: 'unsaved', name: 'By the pound', layers }] },
    { query: { units: 'us', on: ON }, key: null, expect: 200 },
  );
  expect(Number(whatIf.body.herds[0]?.rations[0]?.evaluation.perHead.asFed.value)).toBeCloseTo(24.5, 3);
});
