/*
 * Whole bales round a ration: on some days more of one hay is laid and on others more of the other, though the ration
 * never changed. That is no change of feed, whoever is asked; another ration, another hay and a feeding that departs by
 * more than a bale still are. Cattle, hays and bales are invented. What is expected follows from the ration: of one
 * that does not change no part differs from the one before.
 */
import type { ApiClient } from '../support/client.js';
import { clientOf, join, type Operation, operationWith, person } from '../support/people.js';
import { feedingBody, herd, lot, ranch, type WithId } from '../support/things.js';
import { examples } from '../support/properties.js';
import { openWorld, type World } from '../support/world.js';

interface Judged {
  cautions: { code: string; message: string }[];
}
interface Sheet extends Judged {
  total: { value: string };
  layers: { lay: { value: string } }[];
}
interface Cows {
  head: number;
  herdId: string;
  placeId: string;
  lots: [coarse: string, rich: string, other: string];
}

const dayOf = (index: number): string => `2027-01-${String(11 + index).padStart(2, '0')}`;

describe('a ration that does not change, laid in whole bales', () => {
  let world: World;
  let operation: Operation;
  let consulting: ApiClient;
  let made = 0;

  beforeAll(async () => {
    world = await openWorld({ now: '2027-01-31T15:00:00.000Z' });
    operation = await operationWith(world);
    const consultant = await person(world, 'consultant');
    await join(world, consultant, operation.id, 'nutritionist', { seesPrices: true });
    consulting = await clientOf(world, consultant);
  });
  afterAll(async () => {
    await world.close();
  });

  const post = async (path: string, body: object, status = 201): Promise<string> =>
    (await operation.as.owner.post<WithId>(operation.at(path), body, { expect: status })).body.id;
  const read = async <T>(path: string, query: Record<string, string> = {}): Promise<T> =>
    (await operation.as.manager.get<T & { id: string }>(operation.at(path), { query, expect: 200 })).body;
  const changed = ({ cautions }: Judged): string[] =>
    cautions.filter(({ code }) => code === 'abrupt-change').map(({ message }) => message);

  async function use({ herdId, lots }: Cows, shares: readonly string[], from: string): Promise<void> {
    const rationId = await post('/rations', {
      herdId,
      name: `Cows from ${from}`,
      basis: 'as-fed',
      baleRounding: 'nearest-whole',
      amount: { weight: { value: '30', unit: 'lb' }, basis: 'as-fed' },
      layers: shares.map((sharePercent, index) => ({
        role: ['coarse', 'rich'][index],
        parts: [{ hayLotId: lots[index], sharePercent }],
      })),
    });
    await post(`/rations/${rationId}/proposal`, {}, 200);
    await post(`/rations/${rationId}/acceptance`, {}, 200);
    await post(`/rations/${rationId}/use`, { from }, 200);
  }

  /** Cows at a bunk of their own, with bales of 1,200 lb of three hays, on 60 % coarse and 40 % rich hay. */
  async function cows(head: number, from = dayOf(0)): Promise<Cows> {
    made += 1;
    const ranchId = await ranch(operation, { name: `Ranch ${made}` });
    const placeId = await post('/places', { ranchId, name: `Bunk ${made}`, kind: 'bunk-line' });
    const herdId = await herd(operation, ranchId, {
      name: `Cows ${made}`,
      head,
      placeId,
      cattleClass: 'dry-pregnant-cow',
      sex: 'cow',
      bodyWeight: { value: '1250', unit: 'lb' },
      targetDailyGain: undefined,
      bredOn: '2026-07-01',
    });
    const hay = async (name: string, hayKind: string): Promise<string> =>
      (
        await lot(operation, ranchId, {
          name: `${name} ${made}`,
          hayKind,
          weight: { basis: 'weighed-bales', meanBaleWeight: { value: '1200', unit: 'lb' }, balesWeighed: 5 },
          baleCount: 400,
        })
      ).lotId;
    const lots: Cows['lots'] = [
      await hay('Slough', 'timothy'),
      await hay('Alfalfa', 'alfalfa'),
      await hay('Oat', 'oat-hay'),
    ];
    const all = { head, herdId, placeId, lots };
    await use(all, ['60', '40'], from);
    return all;
  }

  const sheetOn = async ({ placeId }: Cows, on: string): Promise<Sheet> => {
    const [told] = (await read<{ herds: Sheet[] }>(`/places/${placeId}/feed-sheet`, { on })).herds;
    if (told === undefined) throw new Error('The herd has a sheet');
    return told;
  };
  const confirmed = async ({ herdId }: Cows, fedOn: string): Promise<Judged & { feedingId: string }> =>
    (
      await operation.as.hand.post<WithId & Judged & { feedingId: string }>(
        operation.at('/feed-sheet-confirmations'),
        { herdId, fedOn },
        { expect: 201 },
      )
    ).body;
  /** So many bales of each hay, entered without a sheet. */
  const fed = async ({ herdId, head, lots }: Cows, fedOn: string, bales: readonly number[]): Promise<Judged> =>
    (
      await operation.as.hand.post<WithId & Judged>(
        operation.at('/feedings'),
        feedingBody(
          herdId,
          bales.flatMap((count, index) => (count === 0 ? [] : [[lots[index] ?? '', String(count * 1200)] as const])),
          { fedOn, headFed: head },
        ),
        { expect: 201 },
      )
    ).body;
  /** Whoever else is asked of that day, by the address. */
  async function others({ herdId }: Cows, on: string): Promise<[string, Judged][]> {
    const query = { on, limit: '200' };
    const listed = (await read<{ items: (Judged & { herdId: string })[] }>('/ration-reviews', query)).items;
    const whatIf = await operation.as.nutritionist.post<WithId & { herds: { rations: { evaluation: Judged }[] }[] }>(
      operation.at('/what-if'),
      { herdIds: [herdId], rations: [{ kind: 'in-use' }, { kind: 'present' }], assume: {} },
      { query: { on }, expect: 200 },
    );
    const drift = await read<{ judged: { fed: Judged; ration: Judged } }>(`/herds/${herdId}/ration-drift`, {
      from: dayOf(0),
      until: on,
    });
    const portfolio = await consulting.get<
      WithId & { items: { herdId: string; concerns: { code: string; words: string }[] }[] }
    >('/v1/portfolio/herds', { query, expect: 200 });
    const concerns = portfolio.body.items.find((one) => one.herdId === herdId)?.concerns ?? [];
    return [
      ['review', await read<Judged>(`/herds/${herdId}/ration-review`, { on })],
      ['list of reviews', listed.find((one) => one.herdId === herdId) ?? { cautions: [] }],
      ...(whatIf.body.herds[0]?.rations ?? []).map((one): [string, Judged] => ['what-if', one.evaluation]),
      ['drift of what is fed', drift.judged.fed],
      ['drift of the ration', drift.judged.ration],
      ['portfolio', { cautions: concerns.map(({ code, words }) => ({ code, message: words })) }],
    ];
  }

  // A search asks more sizes of herds.
  it.each(examples(1) > 1 ? [25, 60, 180] : [60])(
    'is told as no change by anybody, on none of ten days, to %s head',
    async (head) => {
      const one = await cows(head);
      const told: string[] = [];
      const laid = new Set<string>();
      for (let index = 0; index < 10; index += 1) {
        const on = dayOf(index);
        const sheet = await sheetOn(one, on);
        const answers: [string, Judged][] = [['sheet', sheet]];
        if (sheet.total.value !== '0') {
          laid.add(sheet.layers.map(({ lay }) => lay.value).join(' and '));
          const answer = await confirmed(one, on);
          answers.push(['confirmation', answer], ['feeding', await read<Judged>(`/feedings/${answer.feedingId}`)]);
          answers.push(...(await others(one, on)));
        }
        answers.push(['sheet afterwards', await sheetOn(one, on)]);
        for (const [address, answer] of answers)
          for (const words of changed(answer)) told.push(`${on} ${address}: ${words}`);
      }
      // Days do differ, or nothing is shown.
      expect(laid.size).toBeGreaterThan(1);
      expect(told).toEqual([]);
    },
  );

  it('is told as no change by its sheets where nobody confirms them', async () => {
    const one = await cows(60);
    const told: [string, string[]][] = [];
    for (let index = 0; index < 10; index += 1) told.push([dayOf(index), changed(await sheetOn(one, dayOf(index)))]);
    expect(told).toEqual(told.map(([on]) => [on, []]));
  });

  it('is told where more than a bale departs from it, or a bale of hay that it does not name', async () => {
    // 60 head at 30 lb need 0.9 bales of the coarse hay a day and 0.6 of the rich.
    const one = await cows(60);
    await fed(one, dayOf(0), [1, 1]);
    expect(changed(await fed(one, dayOf(1), [1, 0]))).toEqual([]);
    const more = await cows(60);
    await fed(more, dayOf(0), [1, 1]);
    // 0.4 bales ahead in the morning and 1.8 in the evening; of the ration 60 % is coarse hay, of this none.
    expect(changed(await fed(more, dayOf(1), [0, 2]))).toHaveLength(1);
    const other = await cows(60);
    await fed(other, dayOf(0), [1, 1]);
    expect(changed(await fed(other, dayOf(1), [1, 0, 1]))).toHaveLength(1);
  });

  it('is told where the same hay is laid again, though each time it is less than a bale too much', async () => {
    // 25 head at 30 lb need a quarter of a bale of the rich hay a day: two bales of it feed them for eight days.
    const few = await cows(25);
    expect(changed(await fed(few, dayOf(0), [0, 1]))).toEqual([]);
    expect(changed(await fed(few, dayOf(2), [0, 1]))).toHaveLength(1);
  });

  it('is told of another ration as soon as it is in use, by its sheet and by what is fed from it', async () => {
    const one = await cows(60, dayOf(-4));
    for (const index of [0, 1]) await confirmed(one, dayOf(index));
    await use(one, ['10', '90'], dayOf(2));
    // 40 % rich hay as fed before and 90 % now.
    const words = [expect.stringMatching(/^\d+ % of the ration differs from the one before\.$/)];
    const sheet = changed(await sheetOn(one, dayOf(2)));
    expect(sheet).toEqual(words);
    expect(changed(await confirmed(one, dayOf(2)))).toEqual(sheet);
  });

  it('is told of a draft, however few cattle a bale is shared by', async () => {
    const one = await cows(25, dayOf(-4));
    const draft = await post('/rations', {
      herdId: one.herdId,
      name: 'Draft',
      basis: 'as-fed',
      baleRounding: 'nearest-whole',
      amount: { weight: { value: '30', unit: 'lb' }, basis: 'as-fed' },
      layers: [
        { role: 'coarse', parts: [{ hayLotId: one.lots[0], sharePercent: '10' }] },
        { role: 'rich', parts: [{ hayLotId: one.lots[1], sharePercent: '90' }] },
      ],
    });
    expect(changed(await read<Judged>(`/rations/${draft}/evaluation`, { on: dayOf(1) }))).toHaveLength(1);
  });
});
