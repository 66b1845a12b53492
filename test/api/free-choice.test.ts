/*
 * A mineral and a rack of straw that are kept in front of the cattle: counted by the intake that is stated, not laid.
 * The mineral is the one of Clemson University Extension (BC-3001): at least 13 % calcium. The ranch is invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import { cows, feedingBody, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Sheet {
  herds: {
    layers: { lines: { hayLotId: string; lay: { value: string } }[] }[];
    freeChoice: { hayLotId: string; intake: { value: string; unit: string }; forTheHerd: { value: string } }[];
    total: { value: string } | null;
    carried: { countedAsFed: string[] } | null;
    plan: {
      need: { value: string };
      days: { onDay: string; percentOfNeed: number; lots: { bales: number }[] }[];
    } | null;
  }[];
}
interface Evaluation {
  lines: { nutrient: string; supply: number | null }[];
  costPerHeadDay: { amount: string } | null;
}

describe('fed free choice', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  let placeId: string;
  let herdId: string;
  let meadow: string;
  let mineral: string;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    ranchId = await ranch(operation);
    placeId = await post('/places', { ranchId, name: 'Bunk', kind: 'bunk-line' });
    herdId = await cows(operation, ranchId, { head: 40, placeId });
    meadow = (await lot(operation, ranchId, { name: 'Meadow', tons: '90', baleCount: 150 })).lotId;
    mineral = (await lot(operation, ranchId, { name: 'Winter mineral', hayKind: 'mineral', tons: '1', baleCount: 40 }))
      .lotId;
    await post('/lab-tests', labTestBody(meadow));
    await post('/lab-tests', {
      hayLotId: mineral,
      lab: 'Tag',
      sampledOn: '2026-11-05',
      method: 'label',
      basis: 'as-received',
      analysis: { dryMatter: { value: '97', unit: '%' }, calcium: { value: '13', unit: '%', guarantee: 'minimum' } },
    });
  });
  afterAll(async () => {
    await world.close();
  });

  async function post(path: string, body: object, status = 201): Promise<string> {
    return (await operation.as.owner.post<WithId>(operation.at(path), body, { expect: status })).body.id;
  }
  const content = (extra: readonly object[], more: object = {}) => ({
    basis: 'as-fed',
    amount: { weight: { value: '26', unit: 'lb' }, basis: 'as-fed' },
    layers: [
      { role: 'mixed', parts: [{ hayLotId: meadow, sharePercent: '100' }] },
      ...extra.map((part) => ({ role: 'mixed', parts: [part] })),
    ],
    ...more,
  });
  const offered = (intake: object = { value: '4', unit: 'oz' }) => ({
    hayLotId: mineral,
    weight: intake,
    freeChoice: true,
  });
  const evaluated = async (extra: readonly object[]): Promise<Evaluation> =>
    (
      await operation.as.owner.post<Evaluation>(operation.at(`/herds/${herdId}/ration-evaluation`), content(extra), {
        key: null,
        query: { on: '2027-01-12', units: 'metric' },
        expect: 200,
      })
    ).body;
  const sheetOn = async (on: string): Promise<Sheet['herds'][number]> => {
    const { body } = await operation.as.hand.get<Sheet>(operation.at(`/places/${placeId}/feed-sheet`), {
      query: { on },
      expect: 200,
    });
    const [sheet] = body.herds;
    if (sheet === undefined) throw new Error('The herd stands there');
    return sheet;
  };
  const partsOf = async (feedingId: string): Promise<[string, boolean][]> =>
    (
      await operation.as.hand.get<{ layers: { parts: { hayLotId: string; freeChoice: boolean }[] }[] }>(
        operation.at(`/feedings/${feedingId}`),
        { expect: 200 },
      )
    ).body.layers.flatMap(({ parts }) => parts.map((part): [string, boolean] => [part.hayLotId, part.freeChoice]));
  const inUse = async (name: string, body: object, from: string): Promise<void> => {
    const id = await post('/rations', { herdId, name, ...body });
    for (const [step, told] of [
      ['proposal', {}],
      ['acceptance', {}],
      ['use', { from }],
    ] as const)
      await post(`/rations/${id}/${step}`, told, 200);
  };

  it('is counted in supply and cost by its stated intake', async () => {
    const supply = ({ lines }: Evaluation): number => lines.find((one) => one.nutrient === 'calcium')?.supply ?? NaN;
    const [plain, four, two] = [
      await evaluated([]),
      await evaluated([offered()]),
      await evaluated([offered({ value: '56.69904625', unit: 'g' })]),
    ];
    // 4 oz are 113.398 g, of them 13 % calcium.
    expect(supply(four) - supply(plain)).toBeCloseTo(14.742, 2);
    expect(supply(two) - supply(plain)).toBeCloseTo(7.371, 2);
    expect(Number(four.costPerHeadDay?.amount)).toBeGreaterThan(Number(plain.costPerHeadDay?.amount));
    // It is the same to the cattle whether it is weighed out or taken.
    expect(four.lines).toEqual((await evaluated([{ hayLotId: mineral, weight: { value: '4', unit: 'oz' } }])).lines);
  });

  it('stands on the sheet to be kept in front of the cattle, not laid', async () => {
    await inUse('Winter', content([offered()]), '2027-01-09');
    const sheet = await sheetOn('2027-01-11');
    expect(sheet.layers.flatMap((layer) => layer.lines.map((line) => line.hayLotId))).toEqual([meadow]);
    expect(sheet.total?.value).toBe('1040');
    // 40 head at a quarter of a pound.
    expect(sheet.freeChoice).toMatchObject([{ hayLotId: mineral, intake: { value: '4', unit: 'oz' } }]);
    expect(Number(sheet.freeChoice[0]?.forTheHerd.value)).toBeCloseTo(10, 2);
    const page = await operation.as.hand.get(operation.at(`/places/${placeId}/feed-sheet`), {
      query: { on: '2027-01-11' },
      headers: { Accept: 'text/html' },
      expect: 200,
    });
    expect(page.text).toContain('Keep in front of the cattle: Winter mineral');
    const { body } = await operation.as.owner.get<{ items: { name: string; layers: { parts: object[] }[] }[] }>(
      operation.at('/rations'),
      { query: { herdId }, expect: 200 },
    );
    expect(body.items[0]?.layers[1]?.parts).toMatchObject([{ freeChoice: true, weight: { value: '4', unit: 'oz' } }]);
  });

  it('is drawn by its stated intake when the sheet is confirmed, and is free choice in the feeding', async () => {
    const { body } = await operation.as.hand.post<{
      feedingId: string;
      lots: { hayLotId: string; fed: { value: string } }[];
    }>(operation.at('/feed-sheet-confirmations'), { herdId, fedOn: '2027-01-11' }, { expect: 201 });
    expect(Object.fromEntries(body.lots.map((one) => [one.hayLotId, Number(one.fed.value)]))).toEqual({
      [meadow]: 1040,
      [mineral]: 10,
    });
    expect(await partsOf(body.feedingId)).toEqual([
      [meadow, false],
      [mineral, true],
    ]);
  });

  it('is marked in a file of feedings too', async () => {
    const file = [
      'feeding,herd,fed_on,method,layer,role,lot,weight_lb,bales,free_choice',
      '1,Cows,2027-01-10,windrow-on-ground,1,mixed,Meadow,1000,,',
      '1,Cows,2027-01-10,windrow-on-ground,2,mixed,Winter mineral,,1,yes',
    ].join('\n');
    await operation.as.owner.post(operation.at('/imports/feedings'), file, {
      headers: { 'content-type': 'text/csv' },
      expect: 201,
    });
    const { body } = await operation.as.hand.get<{ items: WithId[] }>(operation.at('/feedings'), {
      query: { herdId, from: '2027-01-10', until: '2027-01-10' },
      expect: 200,
    });
    expect(await partsOf(body.items[0]?.id ?? '')).toEqual([
      [meadow, false],
      [mineral, true],
    ]);
  });

  it('a rack of straw does not stand in for hay that whole bales lay later', async () => {
    const straw = (await lot(operation, ranchId, { name: 'Straw', hayKind: 'barley-straw', tons: '20' })).lotId;
    const rack = { hayLotId: straw, weight: { value: '5', unit: 'lb' }, freeChoice: true };
    // 1,300 lb a day of 1,200-lb bales: the first day is a hundred pounds behind.
    const amount = { weight: { value: '32.5', unit: 'lb' }, basis: 'as-fed' };
    await inUse('By the bale', content([rack], { baleRounding: 'nearest-whole', amount }), '2027-01-12');
    const first = (await sheetOn('2027-01-12')).plan;
    // The straw in the rack is no layer: 40 head at 32.5 lb are 1,300 lb, and a 1,200-lb bale is 92.3 % of that.
    expect(first?.need.value).toBe('1300');
    expect(first?.days[0]?.percentOfNeed).toBe(92.3);
    const page = await operation.as.hand.get(operation.at(`/places/${placeId}/feed-sheet`), {
      query: { on: '2027-01-12' },
      headers: { Accept: 'text/html' },
      expect: 200,
    });
    for (const { onDay, percentOfNeed } of first?.days ?? [])
      expect(page.text).toContain(`${onDay} ${percentOfNeed} %`);
    const planned = first?.days.slice(1) ?? [];
    await operation.as.hand.post(
      operation.at('/feed-sheet-confirmations'),
      { herdId, fedOn: '2027-01-12' },
      { expect: 201 },
    );
    const after = (await sheetOn('2027-01-13')).plan?.days ?? [];
    expect(planned.length).toBeGreaterThan(5);
    expect(after.slice(0, planned.length)).toEqual(planned);
  });

  it.each([
    ['no intake', [{ freeChoice: true, sharePercent: '100' }], '/weight'],
    ['nothing that is laid', [{ freeChoice: true, weight: { value: '4', unit: 'oz' } }], '#/layers'],
    [
      'a lot that is laid too',
      [
        { freeChoice: true, weight: { value: '4', unit: 'oz' } },
        { freeChoice: false, weight: { value: '4', unit: 'oz' } },
      ],
      '/hayLotId',
    ],
  ])('refuses %s', async (_what, parts, at) => {
    const { body } = await operation.as.owner.post<{ errors: { pointer: string }[] }>(
      operation.at('/rations'),
      {
        herdId,
        name: 'Wrong',
        basis: 'as-fed',
        layers: [{ role: 'mixed', parts: parts.map((one) => ({ hayLotId: mineral, ...one })) }],
      },
      { expect: 422 },
    );
    expect(body.errors[0]?.pointer).toContain(at);
  });

  it('is not counted in the review where it was not entered as fed, and the review says so', async () => {
    const other = await cows(operation, ranchId, { name: 'Not entered', head: 20, placeId });
    const id = await post('/rations', { herdId: other, name: 'With mineral', ...content([offered()]) });
    for (const [step, told] of [
      ['proposal', {}],
      ['acceptance', {}],
      ['use', { from: '2027-01-02' }],
    ] as const)
      await post(`/rations/${id}/${step}`, told, 200);
    await post('/feedings', feedingBody(other, [[meadow, '520']]));
    const review = async () =>
      (
        await operation.as.manager.get<{ notes: { code: string; message: string }[] }>(
          operation.at(`/herds/${other}/ration-review`),
          { query: { on: '2027-01-12' }, expect: 200 },
        )
      ).body.notes.filter((one) => one.code === 'free-choice-not-entered');
    expect((await review()).map((one) => one.message)).toEqual([expect.stringContaining('Winter mineral')]);
    await post('/feedings', feedingBody(other, [[mineral, '5']]));
    expect(await review()).toEqual([]);
  });
});
