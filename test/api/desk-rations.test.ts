/*
 * The nutritionist's desk over HTTP: rations from draft to superseded, their judgement, and who may do what. Everything
 * here is invented.
 */
import { quote as quoteOf } from '../support/books.js';
import { clientOf, join, type Operation, operationWith, person } from '../support/people.js';
import { herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Ration extends WithId {
  state: string;
  version: number;
  revision: number;
  inUseFrom: string | null;
  inUseUntil: string | null;
  perHead: { asFed: { value: string; unit: string }; dryMatter: { value: string } };
  layers: {
    position: number;
    role: string;
    parts: {
      hayLotId: string;
      sharePercent: string;
      volumeSharePercent: number;
      asFedSharePercent: number;
      dryMatterSharePercent: number;
      perHead: { value: string };
      bulkDensity: { origin: string; value: number };
    }[];
  }[];
  [field: string]: unknown;
}

/** Untested straw and much alfalfa for calves: what the judge warns of has to be asked for. */
const DESPITE_CAUTIONS = {
  allowUntested: true,
  maxLegumePercent: 100,
  maxFiberPercentOfWeight: 2,
  minDegradableProteinPercent: 0,
};

describe('rations', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  let herdId: string;
  let meadow: string;
  let alfalfa: string;
  let straw: string;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    ranchId = await ranch(operation);
    herdId = await herd(operation, ranchId, { head: 80 });
    meadow = (await lot(operation, ranchId, { name: 'Meadow' })).lotId;
    alfalfa = (await lot(operation, ranchId, { name: 'Alfalfa', hayKind: 'alfalfa' })).lotId;
    straw = (await lot(operation, ranchId, { name: 'Oat straw', hayKind: 'oat-straw' })).lotId;
    await operation.as.manager.post(operation.at('/lab-tests'), labTestBody(meadow), { expect: 201 });
  });
  afterAll(async () => {
    await world.close();
  });

  const body = (more: Record<string, unknown> = {}): Record<string, unknown> => ({
    herdId,
    name: 'Winter ration',
    basis: 'as-fed',
    amount: { weight: { value: '16', unit: 'lb' }, basis: 'as-fed' },
    layers: [
      { role: 'coarse', parts: [{ hayLotId: straw, sharePercent: '20' }] },
      { role: 'rich', parts: [{ hayLotId: alfalfa, sharePercent: '35' }] },
      { role: 'mixed', parts: [{ hayLotId: meadow, sharePercent: '45' }] },
    ],
    ...more,
  });
  const draft = async (more: Record<string, unknown> = {}): Promise<Ration> =>
    (await operation.as.nutritionist.post<Ration>(operation.at('/rations'), body(more), { expect: 201 })).body;
  const step = async (
    who: 'owner' | 'manager' | 'nutritionist',
    id: string,
    name: string,
    given: object = {},
    expect = 200,
  ): Promise<Ration> =>
    (await operation.as[who].post<Ration>(operation.at(`/rations/${id}/${name}`), given, { expect })).body;

  it('tells the shares on all three bases, with the densities and dry matters that turned them', async () => {
    const ration = await draft({
      basis: 'volume',
      layers: [
        { role: 'coarse', parts: [{ hayLotId: straw, sharePercent: '50' }] },
        {
          role: 'rich',
          parts: [{ hayLotId: alfalfa, sharePercent: '50', bulkDensity: { value: '5', unit: 'lb/ft3' } }],
        },
      ],
    });
    const [below, above] = ration.layers.map((layer) => layer.parts[0]);
    // Straw at 2.5 lb/ft3 and alfalfa at 5: half the volume each is one third and two thirds of the weight.
    expect(below).toMatchObject({
      volumeSharePercent: 50,
      asFedSharePercent: 33.333,
      bulkDensity: { value: 2.5, origin: 'book-value' },
    });
    expect(above).toMatchObject({
      volumeSharePercent: 50,
      asFedSharePercent: 66.667,
      bulkDensity: { value: 5, origin: 'measured' },
    });
    expect(Number(below?.perHead.value) + Number(above?.perHead.value)).toBeCloseTo(16, 3);
    expect(ration).toMatchObject({ state: 'draft', revision: 1, restsOnBookValues: true });
    // 28 lb are 12.70058636 kg (NIST Handbook 44, appendix C): typed pounds come back as they were typed.
    const typed = await draft({ amount: { weight: { value: '28', unit: 'lb' }, basis: 'as-fed' } });
    expect(typed.perHead.asFed).toEqual({ value: '28', unit: 'lb' });
    expect(typed.layers.map(({ parts }) => parts[0]?.perHead.value)).toEqual(['5.6', '9.8', '12.6']);
  });

  it("takes shares from a template, shipped or kept, and keeps the template's basis", async () => {
    const listed = await operation.as.hand.get<{
      items: {
        key: string;
        shipped: boolean;
        source: string;
        basis: string;
        layers: { role: string; sharePercent: string }[];
      }[];
    }>(operation.at('/layer-templates'), { expect: 200 });
    const shipped = listed.body.items.filter((one) => one.shipped);
    expect(
      shipped.map((one) => [
        one.key,
        one.source,
        one.basis,
        one.layers.map((layer) => `${layer.role} ${layer.sharePercent}`),
      ]),
    ).toEqual([
      ['general', 'common practice, no source', 'volume', ['coarse 40', 'rich 35', 'mixed 25']],
      ['growing', 'common practice, no source', 'volume', ['coarse 30', 'rich 45', 'mixed 25']],
      ['mid-gestation', 'common practice, no source', 'volume', ['coarse 50', 'rich 25', 'mixed 25']],
    ]);
    const parts = (id: string): object => ({ parts: [{ hayLotId: id }] });
    const layers = [
      { role: 'coarse', ...parts(straw) },
      { role: 'rich', ...parts(alfalfa) },
      { role: 'mixed', ...parts(meadow) },
    ];
    const ration = await draft({ basis: undefined, templateKey: 'growing', layers });
    expect(ration).toMatchObject({ basis: 'volume', templateKey: 'growing' });
    expect(ration.layers.map((layer) => layer.parts[0]?.volumeSharePercent)).toEqual([30, 45, 25]);
    const own = (
      await operation.as.nutritionist.post<WithId & { version: number }>(
        operation.at('/layer-templates'),
        {
          name: 'Ours',
          basis: 'dry-matter',
          layers: [
            { role: 'coarse', sharePercent: '60' },
            { role: 'rich', sharePercent: '40' },
          ],
        },
        { expect: 201 },
      )
    ).body;
    const kept = await draft({ basis: undefined, templateKey: own.id, layers: layers.slice(0, 2) });
    expect(kept.layers.map((layer) => layer.parts[0]?.dryMatterSharePercent)).toEqual([60, 40]);
    await operation.as.manager.post(
      operation.at('/layer-templates'),
      { name: 'No', basis: 'volume', layers: [{ role: 'coarse', sharePercent: '100' }] },
      { expect: 403 },
    );
    const wrong = await operation.as.nutritionist.post(
      operation.at('/rations'),
      body({ basis: undefined, templateKey: 'growing', layers: layers.slice(0, 2) }),
      { expect: 422 },
    );
    expect(wrong.body).toMatchObject({ errors: [{ pointer: '#/layers', code: 'not-the-layers-of-the-template' }] });
  });

  it('refuses shares that do not add up, lots that are not there and layers without shares', async () => {
    const off = await operation.as.nutritionist.post(
      operation.at('/rations'),
      body({
        layers: [
          { role: 'coarse', parts: [{ hayLotId: straw, sharePercent: '60' }] },
          { role: 'rich', parts: [{ hayLotId: alfalfa, sharePercent: '50' }] },
        ],
      }),
      { expect: 422 },
    );
    expect(off.body).toMatchObject({ errors: [{ pointer: '#/layers', code: 'shares-do-not-add-up' }] });
    const astray = await operation.as.nutritionist.post(
      operation.at('/rations'),
      body({ layers: [{ role: 'coarse', parts: [{ hayLotId: herdId, sharePercent: '100' }] }] }),
      { expect: 404 },
    );
    expect(astray.body).toMatchObject({ errors: [{ pointer: '#/layers/0/parts/0/hayLotId' }] });
    const bare = await operation.as.nutritionist.post(
      operation.at('/rations'),
      body({ layers: [{ role: 'coarse', parts: [{ hayLotId: straw }] }] }),
      { expect: 422 },
    );
    expect(bare.body).toMatchObject({ errors: [{ code: 'share-missing' }] });
  });

  it('goes draft, proposed, returned, proposed, accepted, in use, superseded; the words stay', async () => {
    const first = await draft({ name: 'First' });
    await step('nutritionist', first.id, 'proposal', { words: 'For the calves.' });
    await operation.as.nutritionist.patch(
      operation.at(`/rations/${first.id}`),
      { name: 'Too late' },
      {
        ifMatch: (await operation.as.nutritionist.get(operation.at(`/rations/${first.id}`))).headers['etag'] ?? '',
        expect: 409,
      },
    );
    await operation.as.nutritionist.post(operation.at(`/rations/${first.id}/acceptance`), {}, { expect: 403 });
    await operation.as.hand.post(operation.at(`/rations/${first.id}/acceptance`), {}, { expect: 403 });
    expect((await step('manager', first.id, 'return', { words: 'Less straw, please.' })).state).toBe('draft');
    const present = await operation.as.nutritionist.get<Ration>(operation.at(`/rations/${first.id}`), { expect: 200 });
    const lighter = [
      { role: 'coarse', parts: [{ hayLotId: straw, sharePercent: '10' }] },
      { role: 'rich', parts: [{ hayLotId: alfalfa, sharePercent: '40' }] },
      { role: 'mixed', parts: [{ hayLotId: meadow, sharePercent: '50' }] },
    ];
    const changed = await operation.as.nutritionist.patch<Ration>(
      operation.at(`/rations/${first.id}`),
      { layers: lighter },
      { ifMatch: present.headers['etag'] ?? '', expect: 200 },
    );
    expect(changed.body).toMatchObject({ revision: 2 });
    expect(changed.body.layers.map((layer) => layer.parts[0]?.sharePercent)).toEqual(['10', '40', '50']);
    await operation.as.nutritionist.patch(
      operation.at(`/rations/${first.id}`),
      { name: 'From an old page' },
      { ifMatch: present.headers['etag'] ?? '', expect: 412 },
    );
    await step('nutritionist', first.id, 'proposal');
    expect((await step('owner', first.id, 'acceptance', { words: 'Good.' })).state).toBe('accepted');
    await operation.as.nutritionist.post(
      operation.at(`/rations/${first.id}/use`),
      { from: '2027-01-01' },
      { expect: 403 },
    );
    expect(await step('manager', first.id, 'use', { from: '2027-01-01' })).toMatchObject({
      state: 'in-use',
      inUseFrom: '2027-01-01',
      inUseUntil: null,
    });
    await operation.as.nutritionist.post(
      operation.at(`/rations/${first.id}/notes`),
      { words: 'Watch the bunk on Monday.' },
      { expect: 201 },
    );
    await operation.as.hand.post(operation.at(`/rations/${first.id}/notes`), { words: 'Seen.' }, { expect: 403 });

    const second = await draft({ name: 'Second' });
    await step('nutritionist', second.id, 'proposal');
    await step('manager', second.id, 'acceptance');
    expect(await step('manager', second.id, 'use', { from: '2027-01-12' })).toMatchObject({ state: 'in-use' });
    expect((await operation.as.hand.get<Ration>(operation.at(`/rations/${first.id}`))).body).toMatchObject({
      state: 'superseded',
      inUseFrom: '2027-01-01',
      inUseUntil: '2027-01-12',
    });
    const on = async (day: string): Promise<string> =>
      (await operation.as.hand.get<Ration>(operation.at(`/herds/${herdId}/ration`), { query: { on: day } })).body[
        'name'
      ] as string;
    expect([await on('2027-01-01'), await on('2027-01-11'), await on('2027-01-12'), await on('2027-06-01')]).toEqual([
      'First',
      'First',
      'Second',
      'Second',
    ]);
    await operation.as.hand.get(operation.at(`/herds/${herdId}/ration`), { query: { on: '2026-12-31' }, expect: 404 });
    expect(await step('manager', second.id, 'end', { on: '2027-03-01' })).toMatchObject({ inUseUntil: '2027-03-01' });
    await operation.as.hand.get(operation.at(`/herds/${herdId}/ration`), { query: { on: '2027-03-01' }, expect: 404 });
    await step('manager', second.id, 'use', { from: '2027-04-01' }, 409);

    const notes = await operation.as.manager.get<{ items: { kind: string; words: string; writer: string }[] }>(
      operation.at(`/rations/${first.id}/notes`),
      { expect: 200 },
    );
    expect(notes.body.items.map((one) => `${one.writer}: ${one.kind}: ${one.words}`)).toEqual([
      'nutritionist: proposed: For the calves.',
      'manager: returned: Less straw, please.',
      'nutritionist: proposed: ',
      'owner: accepted: Good.',
      'manager: in-use: In use from 2027-01-01.',
      'nutritionist: note: Watch the bunk on Monday.',
      'manager: ended: Superseded by "Second" from 2027-01-12.',
    ]);
    const listed = async (state: string): Promise<string[]> =>
      (
        await operation.as.hand.get<{ items: Ration[] }>(operation.at('/rations'), { query: { state }, expect: 200 })
      ).body.items.map((one) => one['name'] as string);
    expect(await listed('superseded')).toEqual(['First']);
    expect(await listed('in-use')).toEqual(['Second']);
    expect((await listed('draft')).length).toBeGreaterThan(0);
    const page = await operation.as.hand.get<{ items: Ration[]; nextCursor: string }>(operation.at('/rations'), {
      query: { limit: '1' },
      expect: 200,
    });
    const next = await operation.as.hand.get<{ items: Ration[] }>(operation.at('/rations'), {
      query: { limit: '1', cursor: page.body.nextCursor },
      expect: 200,
    });
    expect(next.body.items[0]?.id).not.toBe(page.body.items[0]?.id);
  });

  it('judges a ration: supply, need, gain, cautions; money only for those who may see it', async () => {
    const ration = await draft({ name: 'Judged' });
    const seen = await operation.as.nutritionist.get<
      Record<string, unknown> & {
        lines: { nutrient: string; unit: string }[];
        costPerLot: object[];
        ratios: Record<string, number>;
        bookValues: { hayLot: string }[];
        cautions: { code: string; source: string; advice: string; consult: string[] }[];
      }
    >(operation.at(`/rations/${ration.id}/evaluation`), { expect: 200 });
    expect(seen.body).toMatchObject({
      onDay: '2027-01-15',
      head: 80,
      refusedBecause: [],
      costPerHeadDay: { amount: '1.20', currency: 'USD' },
    });
    expect(seen.body.lines.map((line) => line.nutrient)).toEqual([
      'dryMatter',
      'netEnergyMaintenance',
      'netEnergyGain',
      'totalDigestibleNutrients',
      'metabolizableProtein',
      'crudeProtein',
      'degradableProtein',
      'calcium',
      'phosphorus',
      'magnesium',
      'potassium',
      'sulfur',
      'sodium',
      'fiberCapacity',
      'longStemForage',
    ]);
    expect(seen.body.bookValues.map((one) => one.hayLot).sort()).toEqual(['Alfalfa', 'Meadow', 'Oat straw']);
    expect(seen.body.cautions.map((one) => one.code)).toContain('lab-test-missing');
    for (const caution of seen.body.cautions) expect(caution.consult.length).toBeGreaterThan(0);
    const hand = await operation.as.hand.get<{ costPerHeadDay: null; costPerLot: object[] }>(
      operation.at(`/rations/${ration.id}/evaluation`),
      { expect: 200 },
    );
    expect(hand.body).toMatchObject({ costPerHeadDay: null, costPerLot: [] });
    const metric = await operation.as.hand.get<{ lines: { nutrient: string; unit: string; supply: number }[] }>(
      operation.at(`/rations/${ration.id}/evaluation`),
      { query: { units: 'metric', edition: 'NASEM2016' }, expect: 200 },
    );
    const dry = metric.body.lines.find((line) => line.nutrient === 'dryMatter');
    const dryUs = (seen.body.lines as unknown as { nutrient: string; supply: number; unit: string }[]).find(
      (line) => line.nutrient === 'dryMatter',
    );
    expect(dry?.unit).toBe('kg/d');
    expect((dry?.supply ?? 0) / 0.45359237).toBeCloseTo(dryUs?.supply ?? 0, 2);
    const { basis, amount, layers } = body() as { basis: string; amount: object; layers: object[] };
    const unsaved = await operation.as.nutritionist.post<{ lines: object[]; rationId: null }>(
      operation.at(`/herds/${herdId}/ration-evaluation`),
      { basis, amount, layers },
      { key: null, expect: 200 },
    );
    expect(unsaved.body.rationId).toBeNull();
    expect(unsaved.body.lines).toEqual(seen.body.lines);
  });

  it('tells what the herd needs in both editions, with weather and working', async () => {
    const { manager, hand } = operation.as;
    const plain = await hand.get<{
      requirements: {
        edition: string;
        perHead: { netEnergyMaintenance: { value: number; unit: string }; water: { unit: string } };
        working: { family: string; steps: { source: string }[] }[];
      }[];
      weather: object | null;
    }>(operation.at(`/herds/${herdId}/requirements`), { query: { on: '2027-01-20', diet: 'solved' }, expect: 200 });
    expect(plain.body.requirements.map((one) => one.edition)).toEqual(['NRC2000', 'NASEM2016']);
    expect(plain.body.weather).toBeNull();
    for (const { steps } of plain.body.requirements.flatMap((one) => one.working))
      for (const one of steps) expect(one.source).not.toBe('');
    await hand.post(
      operation.at('/weather-days'),
      {
        ranchId,
        onDay: '2027-01-20',
        meanTemperature: { value: '-10', unit: 'F' },
        wind: { value: 20, unit: 'mph' },
        wet: true,
      },
      { expect: 201 },
    );
    const cold = await hand.get<
      typeof plain.body & { weather: { coat: string; temperature: { value: number; unit: string } } }
    >(operation.at(`/herds/${herdId}/requirements`), { query: { on: '2027-01-20', diet: 'solved' }, expect: 200 });
    expect(cold.body.weather).toMatchObject({ coat: 'wet-and-matted', temperature: { value: -10, unit: 'F' } });
    expect(cold.body.requirements[0]?.perHead.netEnergyMaintenance.value ?? 0).toBeGreaterThan(
      plain.body.requirements[0]?.perHead.netEnergyMaintenance.value ?? Infinity,
    );
    expect(cold.body.requirements[0]?.working.map((one) => one.family)).toContain('cold');
    const thumb = await hand.get<{ requirements: { coldMethod: string }[] }>(
      operation.at(`/herds/${herdId}/requirements`),
      { query: { on: '2027-01-20', coldMethod: 'rule-of-thumb', edition: 'NRC2000' }, expect: 200 },
    );
    expect(thumb.body.requirements.map((one) => one.coldMethod)).toEqual(['rule-of-thumb']);
    const days = await manager.get<{ items: { id: string }[] }>(operation.at('/weather-days'), { expect: 200 });
    await hand.post(
      operation.at(`/weather-days/${days.body.items[0]?.id ?? ''}/reversal`),
      { reason: 'Wrong ranch' },
      { expect: 201 },
    );
    const after = await hand.get<typeof plain.body>(operation.at(`/herds/${herdId}/requirements`), {
      query: { on: '2027-01-20', diet: 'solved' },
      expect: 200,
    });
    expect(after.body.weather).toBeNull();
  });

  it('solves for the cheapest ration, in words; says which demands conflict; needs sight of prices', async () => {
    const quote = { name: 'Alfalfa on offer', hayKind: 'alfalfa', price: { amount: '240', per: 'ton' } };
    const solved = await operation.as.nutritionist.post<{
      status: string;
      layers: { parts: { perHead: { value: string } }[] }[];
      shadowPrices: { words: string }[];
      unused: { words: string }[];
      costPerHeadDay: { amount: string };
    }>(
      operation.at(`/herds/${herdId}/least-cost-ration`),
      { days: 30, quotes: [quote], proteinSystem: 'crude', intakeCapPercent: 130, ...DESPITE_CAUTIONS },
      { key: null, expect: 200 },
    );
    expect(solved.body.status).toBe('solved');
    expect(solved.body.shadowPrices.map((one) => one.words).join(' ')).toMatch(/would cost [\d.]+ USD/);
    expect(solved.body.unused.map((one) => one.words).join(' ')).toMatch(
      /would come in as rich below|would not come in/,
    );
    expect(Number(solved.body.costPerHeadDay.amount)).toBeGreaterThan(0);
    const stuck = await operation.as.nutritionist.post<{ status: string; conflict: { words: string }[] }>(
      operation.at(`/herds/${herdId}/least-cost-ration`),
      { days: 30, lots: [{ hayLotId: straw }], proteinSystem: 'crude', ...DESPITE_CAUTIONS },
      { key: null, expect: 200 },
    );
    expect(stuck.body.status).toBe('infeasible');
    expect(stuck.body.conflict.length).toBeGreaterThan(0);
    await operation.as.manager.post(
      operation.at(`/herds/${herdId}/least-cost-ration`),
      { days: 30 },
      { key: null, expect: 403 },
    );
  });

  it('rounds the cheapest ration to whole bales if asked, and says what that costs and misses', async () => {
    type Whole = {
      costPerHeadDay: { amount: string };
      wholeBales: {
        parts: { name: string; bales: number | null; perFeeding: { value: string; unit: string } }[];
        costPerHeadDay: { amount: string };
        costOfRounding: { perHeadDay: { amount: string }; forThePeriod: { amount: string } };
        missed: { words: string }[];
        words: string[];
        refusedBecause: string | null;
      } | null;
    };
    const at = operation.at(`/herds/${herdId}/least-cost-ration`);
    const body = {
      days: 30,
      proteinSystem: 'crude',
      intakeCapPercent: 130,
      ...DESPITE_CAUTIONS,
      lots: [{ hayLotId: straw }],
      quotes: [
        {
          name: 'Big squares',
          hayKind: 'alfalfa',
          price: { amount: '240', per: 'ton' },
          baleWeight: { value: '1000', unit: 'lb' },
        },
      ],
    };
    const plain = await operation.as.nutritionist.post<Whole>(at, body, { key: null, expect: 200 });
    expect(plain.body.wholeBales).toBeNull();
    const { wholeBales, costPerHeadDay } = (
      await operation.as.nutritionist.post<Whole>(
        at,
        { ...body, wholeBales: { everyDays: 2 } },
        { key: null, expect: 200 },
      )
    ).body;
    const squares = wholeBales?.parts.find((one) => one.name === 'Big squares');
    expect(Number.isInteger(squares?.bales)).toBe(true);
    // One feeding of n bales of 1,000 lb.
    expect(Number(squares?.perFeeding.value)).toBeCloseTo((squares?.bales ?? NaN) * 1000, 3);
    expect(Number(wholeBales?.costOfRounding.perHeadDay.amount)).toBeCloseTo(
      Number(wholeBales?.costPerHeadDay.amount) - Number(costPerHeadDay.amount),
      1,
    );
    expect(wholeBales?.words[0]).toMatch(/one feeding for 2 days: .*bales? of Big squares/);
    expect(wholeBales?.words.join(' ')).toMatch(/Every demand is met|Missed: /);
    expect(wholeBales?.refusedBecause).toBeNull();
    const long = await operation.as.nutritionist.post<{ errors: { pointer: string }[] }>(
      at,
      { ...body, days: 3, wholeBales: { everyDays: 7 } },
      { key: null, expect: 422 },
    );
    expect(long.body.errors.map((one) => one.pointer)).toEqual(['#/wholeBales/everyDays']);
  });

  it('takes offers on record into the cheapest ration at their delivered price, all open or those named', async () => {
    type Solved = {
      status: string;
      layers: {
        parts: { hayLotId: string | null; hayQuoteId: string | null; name: string; perHead: { value: string } }[];
      }[];
      unused: { hayQuoteId: string | null; name: string }[];
      costPerHeadDay: { amount: string };
    };
    const solve = async (
      more: object,
      who: 'nutritionist' | 'owner' = 'nutritionist',
      expect = 200,
    ): Promise<Solved & { errors: { pointer: string; code: string }[] }> =>
      (
        await operation.as[who].post<Solved & { errors: { pointer: string; code: string }[] }>(
          operation.at(`/herds/${herdId}/least-cost-ration`),
          {
            days: 30,
            lots: [{ hayLotId: straw }],
            proteinSystem: 'crude',
            intakeCapPercent: 130,
            ...DESPITE_CAUTIONS,
            ...more,
          },
          { key: null, expect },
        )
      ).body;
    const seen = ({ layers, unused }: Solved): string[] =>
      [...layers.flatMap((layer) => layer.parts), ...unused].flatMap((one) => one.hayQuoteId ?? []).sort();
    // 24 tons at 190 and 480 of freight: 5,040 over 24 tons is 210 a ton at the ranch.
    const offer = await quoteOf(operation);
    const lapsed = await quoteOf(operation, { name: 'Lapsed', offeredOn: '2027-01-02', validUntil: '2027-01-08' });
    const bought = await quoteOf(operation, { name: 'Bought' });
    await operation.as.manager.post(
      operation.at(`/hay-quotes/${bought.id}/purchase`),
      { purchasedOn: '2027-01-12', lot: { ranchId, storageMethod: 'tarp' } },
      { expect: 201 },
    );
    const all = await solve({ offers: 'all-open' });
    expect(all.status).toBe('solved');
    expect(seen(all)).toEqual([offer.id]);
    const named = await solve({ offers: [{ hayQuoteId: offer.id, role: 'rich' }] }, 'owner');
    const inline = await solve({
      quotes: [
        {
          name: 'The same told here',
          hayKind: 'alfalfa',
          role: 'rich',
          price: { amount: '210', per: 'ton' },
          available: { value: '24', unit: 'ton' },
        },
      ],
    });
    expect([named.costPerHeadDay, seen(named)]).toEqual([inline.costPerHeadDay, [offer.id]]);
    expect(named.layers.flatMap((layer) => layer.parts.map((part) => part.perHead))).toEqual(
      inline.layers.flatMap((layer) => layer.parts.map((part) => part.perHead)),
    );
    expect(
      inline.layers.flatMap((layer) => layer.parts).filter((part) => part.name === 'The same told here'),
    ).toMatchObject([{ hayLotId: null, hayQuoteId: null }]);
    // A better test of the seller's needs less of it.
    const richer = await solve({
      offers: [
        {
          hayQuoteId: offer.id,
          role: 'rich',
          analysis: { dryMatterPercent: 90, crudeProteinPercent: 24, totalDigestibleNutrientsPercent: 66 },
        },
      ],
    });
    expect(Number(richer.costPerHeadDay.amount)).toBeLessThan(Number(named.costPerHeadDay.amount));
    const refused = await solve(
      {
        offers: [
          { hayQuoteId: offer.id },
          { hayQuoteId: lapsed.id },
          { hayQuoteId: bought.id },
          { hayQuoteId: herdId },
        ],
      },
      'nutritionist',
      422,
    );
    expect(refused.errors.map((one) => [one.pointer, one.code])).toEqual(
      [1, 2, 3].map((index) => [`#/offers/${index}/hayQuoteId`, 'offer-not-open']),
    );
    expect(
      (await solve({ offers: [{ hayQuoteId: offer.id }, { hayQuoteId: offer.id }] }, 'nutritionist', 422)).errors,
    ).toMatchObject([{ pointer: '#/offers/1/hayQuoteId', code: 'said-twice' }]);
    const blind = await person(world, 'nutritionist');
    await join(world, blind, operation.id, 'nutritionist', { seesPrices: false });
    await (
      await clientOf(world, blind)
    ).post(
      operation.at(`/herds/${herdId}/least-cost-ration`),
      { days: 30, offers: 'all-open' },
      { key: null, expect: 403 },
    );
  });
});
