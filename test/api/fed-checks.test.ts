/* What cannot have been fed is refused, and a waste that nobody told is none of zero. Everything here is invented. */
import { type Operation, operationWith } from '../support/people.js';
import { cows, feedingBody, herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Refused {
  status: number;
  errors: { pointer: string; code: string; given: unknown; allowed: string; message: string }[];
}
interface Wasted {
  lines: { nutrient: string; verdict: string; supply: number }[];
  notes: { code: string; message: string }[];
  wastedPercent: number;
  wastedRestsOn: string;
}

describe('what was fed', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  let placeId: string;
  let herdId: string;
  let lotId: string;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { roles: ['manager', 'nutritionist'] });
    ranchId = await ranch(operation);
    placeId = await post('/places', { ranchId, name: 'Bunk', kind: 'bunk-line' });
    herdId = await herd(operation, ranchId, { head: 50, placeId });
    lotId = (await lot(operation, ranchId, { tons: '200' })).lotId;
  });
  afterAll(async () => {
    await world.close();
  });

  const post = async (path: string, body: object, status = 201): Promise<string> =>
    (await operation.as.owner.post<WithId>(operation.at(path), body, { expect: status })).body.id;
  const lb = (value: string): object => ({ value, unit: 'lb' });
  const refusedBy = async (path: string, body: object): Promise<Refused> =>
    (await operation.as.manager.post<Refused & WithId>(operation.at(path), body, { expect: 422 })).body;
  const inUse = async (more: object = {}): Promise<string> => {
    const id = await post('/rations', {
      herdId,
      name: 'Calf ration',
      basis: 'as-fed',
      amount: { weight: lb('15'), basis: 'as-fed' },
      layers: [{ role: 'mixed', parts: [{ hayLotId: lotId, sharePercent: '100' }] }],
      ...more,
    });
    await post(`/rations/${id}/proposal`, {}, 200);
    await post(`/rations/${id}/acceptance`, {}, 200);
    await post(`/rations/${id}/use`, { from: '2027-01-02' }, 200);
    return id;
  };

  it.each([
    [{ refused: lb('500') }, '#/refused', '100 lb or less', 'more-than-was-fed'],
    [{ refused: lb('60'), wasted: lb('50') }, '#/wasted', '40 lb or less', 'more-than-was-fed'],
    [{ wasted: { value: '100', unit: 'kg' } }, '#/wasted', '45.359 kg or less', 'more-than-was-fed'],
    [{ headFed: 51 }, '#/headFed', '50 head or fewer', 'more-than-the-herd'],
  ])('cannot be %j of 100 lb and 50 head', async (more, pointer, allowed, code) => {
    const { errors } = await refusedBy('/feedings', feedingBody(herdId, [[lotId, '100']], more));
    expect(errors).toEqual([expect.objectContaining({ pointer, allowed, code }) as object]);
  });

  it('may be all left, and by as many head as stood there in the morning', async () => {
    const gone = await herd(operation, ranchId, { name: 'Sold', head: 20 });
    await post(`/herds/${gone}/head-changes`, { kind: 'sale', head: 15, happenedOn: '2027-01-10' });
    await post('/feedings', feedingBody(gone, [[lotId, '100']], { headFed: 20, refused: lb('60'), wasted: lb('40') }));
  });

  it('is held to the same at the confirmation of a sheet and in a file', async () => {
    await inUse({ wastedPercent: '12' });
    const sheet = { herdId, fedOn: '2027-01-10' };
    for (const [more, pointer] of [
      [{ refused: lb('751') }, '#/refused'],
      [{ headFed: 100 }, '#/headFed'],
    ] as const)
      expect((await refusedBy('/feed-sheet-confirmations', { ...sheet, ...more })).errors).toEqual([
        expect.objectContaining({ pointer }) as object,
      ]);
    const file =
      'feeding,herd,fed_on,method,layer,role,lot,weight_lb,refused_lb\n' +
      '1,Weaned calves,2027-01-10,bunk,1,mixed,"Meadow, first cutting",100,500\n';
    const { errors } = (
      await operation.as.manager.post<Refused & WithId>(operation.at('/imports/feedings'), file, {
        headers: { 'content-type': 'text/csv' },
        expect: 422,
      })
    ).body;
    expect(errors).toEqual([expect.objectContaining({ code: 'more-than-was-fed' }) as object]);
  });

  it('wastes what was last told, whatever is fed without telling; one share at every address', async () => {
    const shares = async (on: string): Promise<unknown[]> => {
      const query = { on };
      const { manager } = operation.as;
      const review = (
        await manager.get<Wasted & WithId>(operation.at(`/herds/${herdId}/ration-review`), { query, expect: 200 })
      ).body;
      const inUseNow = (await manager.get<WithId>(operation.at(`/herds/${herdId}/ration`), { query, expect: 200 })).body
        .id;
      const evaluation = (
        await manager.get<Wasted & WithId>(operation.at(`/rations/${inUseNow}/evaluation`), { query, expect: 200 })
      ).body;
      const budget = (
        await manager.get<{ herds: { herdId: string; waste: { percent: string; basis: string } }[] }>(
          operation.at('/reports/hay-budget'),
          { query: { from: on, until: '2027-03-31' }, expect: 200 },
        )
      ).body.herds.find((one) => one.herdId === herdId)?.waste;
      return [
        [review.wastedPercent, review.wastedRestsOn],
        [evaluation.wastedPercent, evaluation.wastedRestsOn],
        [Number(budget?.percent), budget?.basis === 'own-measurement' ? 'measured' : budget?.basis],
      ];
    };
    // 81 of 750 lb: 10.8 %.
    await post('/feed-sheet-confirmations', { herdId, fedOn: '2027-01-02', wasted: lb('81') });
    const told = [10.8, 'measured'];
    expect(await shares('2027-01-03')).toEqual([told, told, told]);
    for (let day = 3; day <= 15; day += 1)
      await post('/feed-sheet-confirmations', { herdId, fedOn: `2027-01-${String(day).padStart(2, '0')}` });
    expect(await shares('2027-01-16')).toEqual([told, told, told]);
  });

  /*
   * 10 cows of 1,200 lb, 45 lb a head: 15 lb of it picked up again in one week, 30 lb in the next, of which they ate
   * 15 lb. Cows hold 2 to 2.5 % of their weight (NRC 2000: 24 to 30 lb of dry matter, 27 to 34 lb of this hay), so that
   * of what fits them 12 to 19 lb was left in the second week and 0 to 4 lb in the first: 22 to 34 %.
   */
  it('of days that are judged is what was left of them; of an offer that fits, what they had room for', async () => {
    const { manager, nutritionist } = operation.as;
    const wide = await cows(operation, ranchId, { name: 'Wide', head: 10, placeId, bredOn: '2026-06-20' });
    await post('/lab-tests', labTestBody(lotId));
    for (let day = 1; day <= 14; day += 1)
      await post(
        '/feedings',
        feedingBody(wide, [[lotId, '450']], {
          fedOn: `2027-01-${String(day).padStart(2, '0')}`,
          refused: lb(day < 8 ? '150' : '300'),
        }),
      );
    const query = { on: '2027-01-14', weather: 'none' };
    const review = (
      await manager.get<Wasted & WithId>(operation.at(`/herds/${wide}/ration-review`), { query, expect: 200 })
    ).body;
    expect(review.wastedPercent).toBeCloseTo(66.667, 3);
    expect(review.lines.find((line) => line.nutrient === 'dryMatter')).toMatchObject({
      verdict: 'short',
      supply: expect.closeTo(15 * 0.884, 2) as number,
    });
    const body = {
      basis: 'as-fed',
      amount: { weight: lb('30'), basis: 'as-fed' },
      layers: [{ role: 'mixed', parts: [{ hayLotId: lotId, sharePercent: '100' }] }],
    };
    const evaluation = (
      await nutritionist.post<Wasted & WithId>(operation.at(`/herds/${wide}/ration-evaluation`), body, {
        key: null,
        query,
        expect: 200,
      })
    ).body;
    expect(evaluation.wastedPercent).toBeGreaterThan(20);
    expect(evaluation.wastedPercent).toBeLessThan(40);
    const note = evaluation.notes.find((one) => one.code === 'leftovers-of-a-larger-offer');
    expect(note?.message).toContain('45 lb');
  });
});
