/* Sheets of few head and of lots that end: no mineral rounds to nothing, no hay is laid that is not there. Invented. */
import type { FeedSheetAnswer } from '../../src/desk/feed-sheets/feed-sheet.schema.js';
import { perHeadShown } from '../../src/pages/yard/words.js';
import { type Operation, operationWith } from '../support/people.js';
import { feedingBody, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Refused extends WithId {
  errors: { pointer: string; code: string; allowed: string }[];
}

describe('the sheet of a small pen and of a lot that ends', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  let made = 0;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    ranchId = await ranch(operation);
  });
  afterAll(async () => {
    await world.close();
  });

  const post = async (path: string, body: object, status = 201): Promise<string> =>
    (await operation.as.owner.post<WithId>(operation.at(path), body, { expect: status })).body.id;
  const baled = async (name: string, bales: number): Promise<string> =>
    (
      await lot(operation, ranchId, {
        name,
        weight: { basis: 'weighed-bales', meanBaleWeight: { value: '1000', unit: 'lb' }, balesWeighed: 1 },
        baleCount: bales,
      })
    ).lotId;
  async function pen(
    head: number,
    parts: { hayLotId: string; weight: { value: string; unit: string } }[],
    from = '2027-01-14',
  ): Promise<{ herdId: string; sheet: (on: string) => Promise<FeedSheetAnswer['herds'][number] | undefined> }> {
    made += 1;
    const placeId = await post('/places', { ranchId, name: `Pen ${made}`, kind: 'pen' });
    const herdId = await herd(operation, ranchId, { name: `Pen ${made}`, head, placeId });
    const id = await post('/rations', {
      herdId,
      name: 'Pen',
      basis: 'as-fed',
      layers: parts.map((part) => ({ role: 'mixed', parts: [part] })),
    });
    await post(`/rations/${id}/proposal`, {}, 200);
    await post(`/rations/${id}/acceptance`, {}, 200);
    await post(`/rations/${id}/use`, { from }, 200);
    const sheet = async (on: string): Promise<FeedSheetAnswer['herds'][number] | undefined> =>
      (
        await operation.as.hand.get<FeedSheetAnswer & Record<string, unknown>>(
          operation.at(`/places/${placeId}/feed-sheet`),
          { query: { on }, expect: 200 },
        )
      ).body.herds[0];
    return { herdId, sheet };
  }

  it.each([
    [1, '4', 'oz', { value: '4', unit: 'oz' }, 0.25],
    [3, '4', 'oz', { value: '12', unit: 'oz' }, 0.75],
    [10, '4', 'oz', { value: '2.5', unit: 'lb' }, 2.5],
    [2, '15', 'g', { value: '1.1', unit: 'oz' }, 0.0688],
  ])('lays %d head their %s %s of mineral, and draws it', async (head, value, unit, lay, pounds) => {
    const mineral = (await lot(operation, ranchId, { name: `Mineral ${head} ${unit}`, hayKind: 'mineral', tons: '1' }))
      .lotId;
    const { herdId, sheet } = await pen(head, [{ hayLotId: mineral, weight: { value, unit } }]);
    expect((await sheet('2027-01-14'))?.layers[0]?.lines[0]?.lay).toEqual(lay);
    const confirmed = await operation.as.hand.post<WithId & { lots: { fed: { value: string } }[] }>(
      operation.at('/feed-sheet-confirmations'),
      { herdId, fedOn: '2027-01-14' },
      { expect: 201 },
    );
    expect(Number(confirmed.body.lots[0]?.fed.value)).toBeCloseTo(pounds, 3);
  });

  it('carries in no hay that the lot does not hold, and opens no bales that it has not', async () => {
    const only = await baled('One bale', 1);
    const { herdId, sheet } = await pen(100, [{ hayLotId: only, weight: { value: '14', unit: 'lb' } }], '2027-01-01');
    const [line] = (await sheet('2027-01-15'))?.layers[0]?.lines ?? [];
    const { open, carriedIn, weight } = line?.bales ?? { open: 0, carriedIn: { value: '0' }, weight: { value: '0' } };
    expect(open * Number(weight.value) + Number(carriedIn.value)).toBe(1000);
    expect((await sheet('2027-01-15'))?.shortLots).toEqual([expect.objectContaining({ hayLot: 'One bale' })]);
    const { errors } = (
      await operation.as.hand.post<Refused>(
        operation.at('/feed-sheet-confirmations'),
        { herdId, fedOn: '2027-01-15', balesOpened: [{ hayLotId: only, bales: '99' }] },
        { expect: 422 },
      )
    ).body;
    expect(errors).toMatchObject([
      { pointer: '#/balesOpened/0/bales', code: 'more-bales-than-there-are', allowed: '1 or fewer' },
    ]);
    // 600 lb of it are fed by difference: 400 are over, of a bale that is open.
    const confirmed = await operation.as.hand.post<
      WithId & { lots: { balesOpened: number; carriedOut: { value: string } }[] }
    >(
      operation.at('/feed-sheet-confirmations'),
      {
        herdId,
        fedOn: '2027-01-15',
        differences: [{ step: 1, hayLotId: only, weight: { value: '600', unit: 'lb' } }],
      },
      { expect: 201 },
    );
    expect(confirmed.body.lots[0]?.balesOpened).toBeLessThanOrEqual(1);
    expect(Number(confirmed.body.lots[0]?.carriedOut.value)).toBeLessThanOrEqual(400);
  });

  it('counts anew where nothing was fed for weeks', async () => {
    const many = await baled('Many bales', 200);
    const { herdId, sheet } = await pen(100, [{ hayLotId: many, weight: { value: '14', unit: 'lb' } }], '2027-01-01');
    await operation.as.manager.post(
      operation.at('/feedings'),
      feedingBody(herdId, [[many, '1400']], { fedOn: '2027-01-02' }),
      { expect: 201 },
    );
    expect((await sheet('2027-01-12'))?.carried?.countedAsPlanned).toHaveLength(10);
    const late = (await sheet('2027-04-12'))?.carried;
    expect(late?.since).toBeNull();
    expect(late?.countedAsPlanned.length).toBeLessThanOrEqual(28);
  });

  it('undoes a ration put into use by mistake: ended on its first day, the earlier one goes on', async () => {
    const hay = await baled('Bales for both', 50);
    const { herdId } = await pen(20, [{ hayLotId: hay, weight: { value: '14', unit: 'lb' } }], '2027-01-01');
    const used = async (): Promise<string> =>
      (await operation.as.hand.get<WithId>(operation.at(`/herds/${herdId}/ration`), { query: { on: '2027-01-15' } }))
        .body.id;
    const earlier = await used();
    const wrong = await post('/rations', {
      herdId,
      name: 'Wrong',
      basis: 'as-fed',
      layers: [{ role: 'mixed', parts: [{ hayLotId: hay, weight: { value: '40', unit: 'lb' } }] }],
    });
    await post(`/rations/${wrong}/proposal`, {}, 200);
    await post(`/rations/${wrong}/acceptance`, {}, 200);
    await post(`/rations/${wrong}/use`, { from: '2027-01-15' }, 200);
    expect(await used()).toBe(wrong);
    await post(`/rations/${wrong}/end`, { on: '2027-01-15' }, 200);
    expect(await used()).toBe(earlier);
    // Over the counter of the API the earlier one is not put into use twice; the words say the road.
    const again = await operation.as.manager.post<WithId & { detail: string }>(
      operation.at(`/rations/${earlier}/use`),
      { from: '2027-01-15' },
      { expect: 409 },
    );
    expect(again.body.detail).toContain('end that one on its first day');
  });

  it('tells ounces of mineral on the page of the operation, not tenths of a pound', () => {
    expect(perHeadShown({ value: '0.25', unit: 'lb' })).toBe('4 oz');
    expect(perHeadShown({ value: '0.0625', unit: 'lb' })).toBe('1 oz');
    expect(perHeadShown({ value: '0.1134', unit: 'kg' })).toBe('113.4 g');
    expect(perHeadShown({ value: '28', unit: 'lb' })).toBe('28.0 lb');
  });
});
