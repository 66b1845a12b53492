/*
 * Grain that comes all at once is a danger on the day it is fed, whichever address asks: what the herd was fed on the
 * days before is what it is used to, never the very ration or feeding that is judged. Everything here is invented.
 * University of Illinois Extension, Cattle Connection 2015-01-16: starch supplement not over 0.5 % of body weight.
 */
import type { ApiClient } from '../support/client.js';
import { clientOf, join, type Operation, operationWith, person } from '../support/people.js';
import { feedingBody, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Caution {
  code: string;
  severity: string;
  message: string;
}
interface Judged {
  cautions: Caution[];
}

const TODAY = '2027-01-15';
const days = (from: number, until: number): string[] =>
  Array.from({ length: until - from + 1 }, (_, index) => `2027-01-${String(from + index).padStart(2, '0')}`);

describe('grain all at once', () => {
  let world: World;
  let operation: Operation;
  let consulting: ApiClient;
  let ranchId: string;
  let grass: string;
  let corn: string;
  let made = 0;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { name: 'Grain ranch', roles: ['manager', 'hand', 'nutritionist'] });
    const consultant = await person(world, 'consultant');
    await join(world, consultant, operation.id, 'nutritionist', { seesPrices: true });
    consulting = await clientOf(world, consultant);
    ranchId = await ranch(operation);
    grass = (await lot(operation, ranchId, { name: 'Grass', tons: '900' })).lotId;
    corn = (await lot(operation, ranchId, { name: 'Corn', hayKind: 'corn-grain', tons: '900' })).lotId;
  });
  afterAll(async () => {
    await world.close();
  });

  const post = async (path: string, body: object, status = 201): Promise<string> =>
    (await operation.as.owner.post<WithId>(operation.at(path), body, { expect: status })).body.id;

  /** Steers of 550 lb, 100 head, at a bunk of their own. */
  async function steers(): Promise<{ herdId: string; placeId: string }> {
    made += 1;
    const placeId = await post('/places', { ranchId, name: `Bunk ${made}`, kind: 'bunk-line' });
    return { placeId, herdId: await herd(operation, ranchId, { name: `Steers ${made}`, placeId }) };
  }

  const pounds = (hayLotId: string, value: number) => ({ hayLotId, weight: { value: String(value), unit: 'lb' } });
  /** A draft of so many pounds a head. */
  const draft = async (herdId: string, ofGrass: number, ofCorn: number): Promise<string> =>
    post('/rations', {
      herdId,
      name: `Grass ${ofGrass}, corn ${ofCorn}`,
      basis: 'as-fed',
      layers: [
        { role: 'coarse', parts: [pounds(grass, ofGrass)] },
        ...(ofCorn === 0 ? [] : [{ role: 'rich', parts: [pounds(corn, ofCorn)] }]),
      ],
    });
  async function use(rationId: string, from: string): Promise<Judged> {
    await post(`/rations/${rationId}/proposal`, {}, 200);
    await post(`/rations/${rationId}/acceptance`, {}, 200);
    const used = await operation.as.owner.post<WithId & Judged>(
      operation.at(`/rations/${rationId}/use`),
      { from },
      { expect: 200 },
    );
    return used.body;
  }
  const fed = async (herdId: string, fedOn: string, ofGrass: number, ofCorn: number): Promise<WithId & Judged> =>
    (
      await operation.as.hand.post<WithId & Judged>(
        operation.at('/feedings'),
        feedingBody(
          herdId,
          [[grass, ofGrass] as const, [corn, ofCorn] as const].flatMap(([lotId, each]) =>
            each === 0 ? [] : [[lotId, String(each * 100)] as const],
          ),
          { fedOn, headFed: 100 },
        ),
        { expect: 201 },
      )
    ).body;

  const read = async <T>(path: string, query: Record<string, string> = {}): Promise<T> =>
    (await operation.as.manager.get<T & { id: string }>(operation.at(path), { query, expect: 200 })).body;
  const season = async (herdId: string): Promise<Judged> => {
    const query = { from: '2027-01', until: '2027-01', herdId };
    const { herds } = await read<{ herds: { months: Judged[] }[] }>('/season-ration-plan', query);
    return herds[0]?.months[0] ?? { cautions: [] };
  };
  const evaluation = async (rationId: string, on = TODAY): Promise<Judged> =>
    read(`/rations/${rationId}/evaluation`, { on });
  const atOnce = ({ cautions }: Judged): string[] =>
    cautions
      .filter(({ code, severity, message }) => code === 'acidosis' && severity === 'danger' && /at once/.test(message))
      .map(({ message }) => message.replace(/^On \S+: /, ''));
  const changed = ({ cautions }: Judged): string[] =>
    cautions.filter(({ code }) => code === 'abrupt-change').map(({ severity, message }) => `${severity}: ${message}`);

  const BEFORE = {
    'a ration of hay alone in use, nothing entered': async (herdId: string) => {
      await use(await draft(herdId, 16, 0), '2027-01-02');
    },
    'hay alone entered every day': async (herdId: string) => {
      for (const day of days(5, 14)) await fed(herdId, day, 16, 0);
    },
    'hay alone entered, which the ration in use does not say': async (herdId: string) => {
      await use(await draft(herdId, 9, 7), '2027-01-02');
      for (const day of days(5, 14)) await fed(herdId, day, 16, 0);
    },
  };

  it.each(Object.entries(BEFORE))('is told of by every address alike: %s', async (_words, fedBefore) => {
    const { herdId, placeId } = await steers();
    await fedBefore(herdId);
    const rationId = await draft(herdId, 9, 7);
    const drafted = await evaluation(rationId);
    const [words] = atOnce(drafted);
    expect(words).toMatch(/more than they were fed before, all at once/);
    expect(changed(drafted)).toHaveLength(1);

    const used = await use(rationId, TODAY);
    const whatIf = await operation.as.nutritionist.post<{
      id: string;
      herds: { rations: { evaluation: Judged }[] }[];
    }>(
      operation.at('/what-if'),
      { herdIds: [herdId], rations: [{ kind: 'in-use' }, { kind: 'kept', rationId }], assume: {} },
      { query: { on: TODAY }, expect: 200 },
    );
    const sheet = async (): Promise<Judged> =>
      (await read<{ herds: Judged[] }>(`/places/${placeId}/feed-sheet`, { on: TODAY })).herds[0] ?? { cautions: [] };
    const told: [string, Judged][] = [
      ['use', used],
      ['ration', await read(`/rations/${rationId}`)],
      ['evaluation', await evaluation(rationId)],
      ...(whatIf.body.herds[0]?.rations ?? []).map((one): [string, Judged] => ['what-if', one.evaluation]),
      ['sheet', await sheet()],
      ['season', await season(herdId)],
    ];
    for (const [address, one] of told)
      expect([address, atOnce(one), changed(one)]).toEqual([address, [words], changed(drafted)]);

    const confirmed = await operation.as.hand.post<WithId & Judged & { feedingId: string }>(
      operation.at('/feed-sheet-confirmations'),
      { herdId, fedOn: TODAY },
      { expect: 201 },
    );
    const feeding = await read<Judged>(`/feedings/${confirmed.body.feedingId}`);
    const afterwards: [string, Judged][] = [
      ['confirmation', confirmed.body],
      ['feeding', feeding],
      ['evaluation', await evaluation(rationId)],
      ['sheet', await sheet()],
      ['review', await read(`/herds/${herdId}/ration-review`, { on: TODAY })],
    ];
    for (const [address, one] of afterwards) expect([address, atOnce(one).length]).toEqual([address, 1]);
    const portfolio = await consulting.get<{
      items: { herdId: string; concerns: { code: string; words: string }[] }[];
    }>('/v1/portfolio/herds', { query: { on: TODAY, limit: '200' }, expect: 200 });
    const concerns = portfolio.body.items.find((one) => one.herdId === herdId)?.concerns ?? [];
    expect(concerns.filter(({ code, words: said }) => code === 'danger' && /at once/.test(said))).not.toEqual([]);

    // What was fed by mistake and taken back leaves no trace.
    await operation.as.manager.post(
      operation.at(`/feedings/${confirmed.body.feedingId}/reversal`),
      { reason: 'Fed by mistake' },
      { expect: 201 },
    );
    expect((await evaluation(rationId)).cautions).toEqual(told[2]?.[1].cautions);
  });

  it('a typed feeding tells of it on its first day, and no longer after a week of it', async () => {
    const { herdId } = await steers();
    for (const day of days(1, 6)) await fed(herdId, day, 16, 0);
    expect(atOnce(await fed(herdId, '2027-01-07', 9, 7))).toHaveLength(1);
    for (const day of days(8, 13)) await fed(herdId, day, 9, 7);
    const last = await fed(herdId, '2027-01-14', 9, 7);
    expect(atOnce(last)).toEqual([]);
    expect(changed(last)).toEqual([]);
  });

  it('grain that is brought up by half a pound a day over two weeks is not all at once on any of them', async () => {
    const { herdId } = await steers();
    for (const [index, day] of days(1, 15).entries()) {
      const told = await fed(herdId, day, 16 - index / 2, index / 2);
      expect([day, atOnce(told)]).toEqual([day, []]);
    }
  });

  it('the same grain from another lot is no more grain', async () => {
    const { herdId } = await steers();
    const other = (await lot(operation, ranchId, { name: `Other corn ${made}`, hayKind: 'corn-grain', tons: '90' }))
      .lotId;
    for (const day of days(1, 8)) await fed(herdId, day, 9, 7);
    const body = feedingBody(herdId, [
      [grass, '900'],
      [other, '700'],
    ]);
    const told = await operation.as.hand.post<WithId & Judged>(
      operation.at('/feedings'),
      { ...body, fedOn: '2027-01-09', headFed: 100 },
      { expect: 201 },
    );
    expect(atOnce(told.body)).toEqual([]);
  });
});
