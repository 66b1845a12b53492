/*
 * Lists: the pages add up to the whole, with ties and in any page size; the next page is a link (RFC 8288); the work
 * does not grow with the rows.
 */
import pg from 'pg';
import type { ApiClient } from '../support/client.js';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

type Item = Partial<WithId> & Record<string, unknown>;
/** What tells one item of a list from another: its id, or the herd that it is about. */
const nameOf = (item: Item): unknown => item.id ?? item['herdId'];

interface Page {
  items: Item[];
  nextCursor: string | null;
}

/** The open standard of weight events calls the list of its page `member`; every page of our own says `items`. */
function itemsOf(page: Page | (Omit<Page, 'items'> & { member: Item[] })): Item[] {
  return 'member' in page ? page.member : page.items;
}

describe('lists', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  let herdId: string;
  let lotId: string;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { roles: ['owner', 'manager'] });
    ranchId = await ranch(operation, { name: 'Same name' });
    for (let n = 0; n < 6; n += 1) await ranch(operation, { name: n % 2 === 0 ? 'Same name' : `Ranch ${n}` });
    herdId = await herd(operation, ranchId, { name: 'Same herd' });
    for (let n = 0; n < 4; n += 1) await herd(operation, ranchId, { name: 'Same herd', head: 5 });
    // On one ranch a name is free again only once its lot is empty, so each has a ranch of its own.
    for (let n = 0; n < 5; n += 1)
      ({ lotId } = await lot(operation, n === 4 ? ranchId : await ranch(operation, { name: 'Same name' }), {
        name: 'Same lot',
      }));
    for (let n = 0; n < 7; n += 1)
      await feeding(operation, herdId, [[lotId, '10']], { fedOn: n < 5 ? '2027-01-10' : '2027-01-09' });
    for (let n = 0; n < 3; n += 1) {
      await operation.as.manager.post(operation.at('/lab-tests'), labTestBody(lotId), { expect: 201 });
      await operation.as.manager.post(
        operation.at('/weigh-ins'),
        {
          scope: 'group',
          herdId,
          weighedOn: '2027-01-12',
          fill: 'full',
          head: 10,
          measure: 'mean',
          weight: { value: '560', unit: 'lb' },
        },
        { expect: 201 },
      );
      await operation.as.manager.post(
        operation.at(`/herds/${herdId}/head-changes`),
        { kind: 'in', head: 1, happenedOn: '2027-01-03' },
        { expect: 201 },
      );
      await operation.as.manager.post(
        operation.at('/places'),
        { ranchId, name: 'Same place', kind: 'pen' },
        { expect: 201 },
      );
      await operation.as.owner.post(
        operation.at('/api-keys'),
        { name: 'Key', scopes: ['read'], expiresAt: '2027-12-31T00:00:00Z' },
        { expect: 201 },
      );
      await operation.as.manager.post(
        operation.at('/yardage-rates'),
        { fromOn: '2026-11-01', perHeadDay: '0.4' },
        { expect: 201 },
      );
      await operation.as.owner.post(
        '/v1/operations',
        { name: 'Same operation', unitPreference: 'us', currency: 'USD', timeZone: 'America/Denver' },
        { expect: 201 },
      );
    }
  });
  afterAll(async () => {
    await world.close();
  });

  const paged = (): [string, string][] => [
    ['operations', '/v1/operations'],
    ['ranches', operation.at('/ranches')],
    ['places', operation.at('/places')],
    ['herds', operation.at('/herds')],
    ['head changes', operation.at(`/herds/${herdId}/head-changes`)],
    ['lots', operation.at('/hay-lots')],
    ['movements', operation.at(`/hay-lots/${lotId}/movements`)],
    ['purchases', operation.at('/hay-purchases')],
    ['lab tests', operation.at('/lab-tests')],
    ['feedings', operation.at('/feedings')],
    ['weigh-ins', operation.at('/weigh-ins')],
    ['API keys', operation.at('/api-keys')],
    ['yardage rates', operation.at('/yardage-rates')],
    ['ration reviews', operation.at('/ration-reviews')],
  ];

  /** Follows the links, as a client should, to the last page. */
  const follow = async (client: ApiClient, first: string): Promise<Page['items'][]> => {
    const pages: Page['items'][] = [];
    for (let next: string | undefined = first; next !== undefined;) {
      const answer: { body: Page; headers: Record<string, string> } = await client.get<Page>(next, { expect: 200 });
      pages.push(itemsOf(answer.body));
      const link = /<([^>]+)>; rel="next"/.exec(answer.headers['link'] ?? '')?.[1];
      expect(link === undefined).toBe(answer.body.nextCursor === null);
      next = link;
      if (pages.length > 100) throw new Error('The pages do not end');
    }
    return pages;
  };

  it('add up to the whole, in order, at every page size', async () => {
    for (const [name, path] of paged()) {
      const whole = (await operation.as.owner.get<Page>(path, { query: { limit: '200' }, expect: 200 })).body;
      expect({ name, enough: whole.items.length >= 3, last: whole.nextCursor }).toEqual({
        name,
        enough: true,
        last: null,
      });
      for (const limit of [1, 2, 3, whole.items.length]) {
        const pages = await follow(operation.as.owner, `${path}?limit=${limit}`);
        expect({ name, limit, ids: pages.flat().map(nameOf) }).toEqual({ name, limit, ids: whole.items.map(nameOf) });
        expect({ name, limit, full: pages.slice(0, -1).every((page) => page.length === limit) }).toEqual({
          name,
          limit,
          full: true,
        });
      }
    }
  });

  it('of which nothing is told here add up too, as far as they can be asked for without a record', async () => {
    const described = Object.entries(world.description.document.paths)
      .filter(([, methods]) => (methods['get']?.parameters ?? []).some((one) => one.name === 'cursor'))
      .map(([path]) => path);
    const known = paged().map(([, path]) =>
      path.replace(operation.id, '{operationId}').replace(herdId, '{herdId}').replace(lotId, '{hayLotId}'),
    );
    expect(described).toEqual(expect.arrayContaining(known));
    const others = described
      .filter(
        (path) => !known.includes(path) && path.replace('{operationId}', '') === path.replaceAll(/\{[^}]+\}/g, ''),
      )
      .filter(
        (path) =>
          !(world.description.document.paths[path]?.['get']?.parameters ?? []).some(
            (one) => one.in === 'query' && one.required === true && one.name !== 'limit',
          ),
      );
    for (const path of others) {
      const address = path.replace('{operationId}', operation.id);
      const whole = (await operation.as.owner.get<Page>(address, { query: { limit: '200' }, expect: 200 })).body;
      const pages = await follow(operation.as.owner, `${address}?limit=1`);
      expect({ path, items: pages.flat().length }).toEqual({ path, items: itemsOf(whole).length });
    }
  });

  it('do not skip or repeat what was there, when something is added between two pages', async () => {
    const first = await operation.as.owner.get<Page>(operation.at('/feedings'), { query: { limit: '3' }, expect: 200 });
    const before = (
      await operation.as.owner.get<Page>(operation.at('/feedings'), { query: { limit: '200' }, expect: 200 })
    ).body.items.map((item) => item.id);
    await feeding(operation, herdId, [[lotId, '10']], { fedOn: '2027-01-14' });
    const rest = await operation.as.owner.get<Page>(operation.at('/feedings'), {
      query: { limit: '200', cursor: first.body.nextCursor ?? '' },
      expect: 200,
    });
    expect([...first.body.items, ...rest.body.items].map((item) => item.id)).toEqual(before);
  });

  it('keep the question in the link', async () => {
    const answer = await operation.as.owner.get<Page>(operation.at('/feedings'), {
      query: { limit: '2', herdId, from: '2027-01-10', units: 'metric' },
      expect: 200,
    });
    const link = /<([^>]+)>; rel="next"/.exec(answer.headers['link'] ?? '')?.[1] ?? '';
    const { searchParams } = new URL(link, world.address);
    expect(Object.fromEntries(searchParams)).toMatchObject({ limit: '2', herdId, from: '2027-01-10', units: 'metric' });
    expect(answer.headers['link']).toContain('rel="describedby"');
  });

  it('take first and last day both in', async () => {
    const on = async (query: Record<string, string>): Promise<number> =>
      (
        await operation.as.owner.get<Page>(operation.at('/feedings'), {
          query: { limit: '200', ...query },
          expect: 200,
        })
      ).body.items.length;
    expect([
      await on({ from: '2027-01-10', until: '2027-01-10' }),
      await on({ until: '2027-01-09' }),
      await on({ from: '2027-01-15' }),
    ]).toEqual([5, 2, 0]);
  });

  it('narrow lots to those with hay left, and those without', async () => {
    const empty = await lot(operation, ranchId, { name: 'Emptied', tons: '1' });
    await feeding(operation, herdId, [[empty.lotId, '2000']]);
    const ids = async (onHand: string): Promise<unknown[]> =>
      (
        await operation.as.owner.get<Page>(operation.at('/hay-lots'), { query: { onHand }, expect: 200 })
      ).body.items.map((item) => item.id);
    expect((await ids('true')).includes(empty.lotId)).toBe(false);
    expect(await ids('false')).toEqual([empty.lotId]);
  });

  it('ask the database no more often for many rows than for one', async () => {
    const count = async (path: string, limit: string): Promise<number> => {
      const query = jest.spyOn(pg.Client.prototype, 'query');
      try {
        await operation.as.owner.get(path, { query: { limit }, expect: 200 });
        // The spy sees them: the transaction with who asks, the rows, what belongs to them, and the end.
        expect(query.mock.calls.length).toBeGreaterThan(3);
        return query.mock.calls.length;
      } finally {
        query.mockRestore();
      }
    };
    for (const [name, path] of paged())
      expect({ name, more: (await count(path, '200')) - (await count(path, '1')) }).toEqual({ name, more: 0 });
  });
});
