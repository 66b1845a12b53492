/*
 * The portfolio of a nutritionist: every client operation at once, what matters first, each kind of record asked for
 * once. Invented.
 */
import pg from 'pg';
import type { ApiClient } from '../support/client.js';
import { clientOf, join, type Operation, operationWith, person, type Person } from '../support/people.js';
import { herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Line {
  operation: string;
  operationId: string;
  herd: string;
  rank: number;
  concerns: { code: string; weight: number; words: string }[];
  hayLastsDays: number | null;
  ration: { name: string } | null;
  onDay: string;
}

describe('portfolio', () => {
  let world: World;
  let consultant: Person;
  let consulting: ApiClient;
  let first: Operation;
  let second: Operation;

  beforeAll(async () => {
    world = await openWorld();
    first = await operationWith(world, { name: 'First client', roles: ['manager', 'hand'] });
    second = await operationWith(world, { name: 'Second client', roles: ['manager', 'hand'] });
    consultant = await person(world, 'consultant');
    for (const operation of [first, second])
      await join(world, consultant, operation.id, 'nutritionist', { seesPrices: false });
    consulting = await clientOf(world, consultant);
  });
  afterAll(async () => {
    await world.close();
  });

  const list = async (query: Record<string, string> = {}): Promise<Line[]> =>
    (await consulting.get<{ items: Line[] }>('/v1/portfolio/herds', { query, expect: 200 })).body.items;

  async function fedHerd(
    operation: Operation,
    ranchId: string,
    name: string,
    {
      tons = '24',
      kind = 'meadow',
      tested = false,
      head = 60,
    }: { tons?: string; kind?: string; tested?: boolean; head?: number } = {},
  ): Promise<string> {
    const herdId = await herd(operation, ranchId, { name, head });
    const { lotId } = await lot(operation, ranchId, { name: `Hay of ${name}`, hayKind: kind, tons });
    if (tested) await operation.as.manager.post(operation.at('/lab-tests'), labTestBody(lotId), { expect: 201 });
    const ration = (
      await consulting.post<WithId>(
        operation.at('/rations'),
        {
          herdId,
          name: `Ration of ${name}`,
          basis: 'as-fed',
          amount: { weight: { value: '16', unit: 'lb' }, basis: 'as-fed' },
          layers: [{ role: 'mixed', parts: [{ hayLotId: lotId, sharePercent: '100' }] }],
        },
        { expect: 201 },
      )
    ).body;
    await consulting.post(operation.at(`/rations/${ration.id}/proposal`), {}, { expect: 200 });
    await operation.as.manager.post(operation.at(`/rations/${ration.id}/acceptance`), {}, { expect: 200 });
    await operation.as.manager.post(operation.at(`/rations/${ration.id}/use`), { from: '2027-01-01' }, { expect: 200 });
    return herdId;
  }

  it(
    'gathers every client, the worst first: hay about to end, no ration, a need that is missed, a test that is ' +
      'missing',
    async () => {
      const [one, two] = [await ranch(first), await ranch(second)];
      // 60 head at 16 lb are 960 lb a day: 24 tons last 50 days, 4 tons eight.
      await fedHerd(first, one, 'Tested calves', { tested: true });
      await fedHerd(second, two, 'Short of hay', { tons: '4', kind: 'alfalfa' });
      await herd(second, two, { name: 'Nobody planned for', head: 10 });
      await herd(second, two, { name: 'Empty', head: 0 });
      const lines = await list();
      expect(lines.map((line) => line.herd)).toEqual(['Short of hay', 'Nobody planned for', 'Tested calves']);
      expect(lines.map((line) => line.concerns[0]?.code)).toEqual(['hay-urgent', 'no-ration-in-use', 'nutrient-short']);
      expect(lines[0]).toMatchObject({ operation: 'Second client', hayLastsDays: 8.3, onDay: '2027-01-15' });
      expect(lines[0]?.concerns.map((concern) => concern.code)).toContain('test-missing');
      expect(lines[2]?.concerns.map((concern) => concern.code)).not.toContain('test-missing');
      expect(lines[2]?.concerns.map((concern) => concern.code)).toContain('hay-short');
      for (const line of lines) expect([...line.concerns].sort((a, b) => b.weight - a.weight)).toEqual(line.concerns);
      expect((await list({ hayMustLastDays: '40' }))[2]?.concerns.map((concern) => concern.code)).not.toContain(
        'hay-short',
      );
      expect(JSON.stringify(lines)).not.toMatch(/USD|amount/);
    },
  );

  it('brings what was weighed beside what the ration allows, with its window and its doubts', async () => {
    const herdId =
      (
        await first.as.manager.get<{ items: (WithId & { name: string })[] }>(first.at('/herds'), { expect: 200 })
      ).body.items.find((one) => one.name === 'Tested calves')?.id ?? '';
    const line = async (): Promise<
      Line & {
        measuredGain: {
          dailyGain: { value: string; unit: string };
          from: string;
          until: string;
          days: number;
          flags: { code: string }[];
        } | null;
        notMeasuredBecause: string | null;
      }
    > => (await list()).find((one) => one.herd === 'Tested calves') as never;
    expect(await line()).toMatchObject({ measuredGain: null, notMeasuredBecause: 'No weighing in the last 90 days.' });
    const weigh = (weighedOn: string, pounds: string, more: Record<string, unknown> = {}) =>
      first.as.hand.post(
        first.at('/weigh-ins'),
        {
          scope: 'group',
          herdId,
          weighedOn,
          fill: 'full',
          head: 60,
          measure: 'mean',
          weight: { value: pounds, unit: 'lb' },
          ...more,
        },
        { expect: 201 },
      );
    await weigh('2026-11-05', '550');
    expect((await line()).notMeasuredBecause).toMatch(/^No two weighings/);
    // 550 to 620 lb over 70 days is 1.0 lb a day; 1.5 are wanted.
    await weigh('2027-01-14', '620');
    expect(await line()).toMatchObject({
      measuredGain: { dailyGain: { unit: 'lb' }, from: '2026-11-05', until: '2027-01-14', days: 70, flags: [] },
      notMeasuredBecause: null,
    });
    expect(Number((await line()).measuredGain?.dailyGain.value)).toBeCloseTo(1, 6);
    expect((await line()).concerns.find((one) => one.code === 'measured-gain-below-target')?.words).toBe(
      'From 2026-11-05 to 2027-01-14 they gained 67 % of what is wanted.',
    );
    // Twenty calves that joined in between make the two means means of other cattle.
    await first.as.manager.post(
      first.at(`/herds/${herdId}/head-changes`),
      { kind: 'in', head: 20, happenedOn: '2026-12-01' },
      { expect: 201 },
    );
    expect(await line()).toMatchObject({
      measuredGain: null,
      notMeasuredBecause: expect.stringMatching(/came or went/) as string,
    });
  });

  it('pages in the same order, to the end', async () => {
    const whole = await list();
    const seen: Line[] = [];
    let cursor: string | undefined;
    do {
      const page = (
        await consulting.get<{ items: Line[]; nextCursor: string | null }>('/v1/portfolio/herds', {
          query: { limit: '1', ...(cursor === undefined ? {} : { cursor }) },
          expect: 200,
        })
      ).body;
      seen.push(...page.items);
      cursor = page.nextCursor ?? undefined;
    } while (cursor !== undefined);
    expect(seen).toEqual(whole);
    await consulting.get('/v1/portfolio/herds', { query: { cursor: 'nonsense' }, expect: 400 });
  });

  it('asks the database once for each kind of record, however many herds there are', async () => {
    const countQueries = async (): Promise<{ queries: string[]; herds: number }> => {
      const queries: string[] = [];
      const spy = jest.spyOn(pg.Client.prototype, 'query');
      try {
        const herds = (await list()).length;
        for (const [query] of spy.mock.calls as unknown as [unknown][])
          queries.push(typeof query === 'string' ? query : ((query as { text?: string }).text ?? ''));
        return { queries, herds };
      } finally {
        spy.mockRestore();
      }
    };
    const few = await countQueries();
    const more = await ranch(first);
    for (const name of ['North', 'South', 'East', 'West']) await fedHerd(first, more, name);
    const many = await countQueries();
    expect(many.herds).toBe(few.herds + 4);
    expect(many.queries.length).toBe(few.queries.length);
    // A query that begins with one of its own (the lots that a lot was split off) is counted by what it asks for.
    const tables = many.queries.flatMap(
      (query) => /from "([a-z_]+)"/i.exec(query.replace(/^with recursive .*\) select /, 'select '))?.[1] ?? [],
    );
    // Head and weights are asked for as facts of the day, over the weeks of a measured gain, and head for the state of
    // the herds; herds also for their state, and for the last day on which each was fed; rations that are in use, and
    // those that wait. What they were fed in the two weeks before, which a change of feed is held against, asks once
    // more for feedings, head, the rations of those days and the lots in them. Where a ranch has no weather of the day,
    // what stands in for it is asked for: the usual of the month, and the last recorded week.
    expect(tables.filter((table) => !['person', 'membership', 'sign_in_session'].includes(table)).sort()).toEqual([
      'feeding',
      'feeding_layer',
      'hay_lot',
      'hay_lot',
      'hay_observation',
      'hay_observation',
      'head_change',
      'head_change',
      'head_change',
      'head_change',
      'herd',
      'herd',
      'herd',
      'herd_event',
      'lab_test',
      'lab_test',
      'operation',
      'ration',
      'ration',
      'ration',
      'ration_layer',
      'ration_layer',
      'stock_movement',
      'weather_day',
      'weather_day',
      'weather_day',
      'weigh_in',
      'weigh_in',
    ]);
  });

  it('shows nothing to those who consult nobody, and nothing of an engagement that ended', async () => {
    expect((await first.as.hand.get<{ items: Line[] }>('/v1/portfolio/herds', { expect: 200 })).body.items).toEqual([]);
    expect(
      new Set(
        (await first.as.owner.get<{ items: Line[] }>('/v1/portfolio/herds', { expect: 200 })).body.items.map(
          (line) => line.operation,
        ),
      ),
    ).toEqual(new Set(['First client']));
    await world.ownerPool.query('UPDATE membership SET until_at = $1 WHERE person_id = $2 AND operation_id = $3', [
      world.clock.now().toISOString(),
      consultant.id,
      second.id,
    ]);
    expect(new Set((await list()).map((line) => line.operation))).toEqual(new Set(['First client']));
  });
});
