/*
 * What is new since a number: a pull in steps of any size gives the whole, each once and in order, whatever commits
 * meanwhile. A change that commits while a pull runs comes after all that was told, never before it.
 */
import { ENDPOINTS } from '../../src/platform/http/endpoint.js';
import fc, { examples } from '../support/properties.js';
import { count, lateCost, pounds, sale, tons } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, lot, purchaseBody, ranch, type WithId } from '../support/things.js';
import { aWinterIn } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

interface Change {
  sequence: string;
  what: string;
  kind: string;
  recordIds: string[];
  addresses: string[];
  correctsId: string | null;
  reversalId: string | null;
  movements: { id: string; kind: string; effectiveOn: string; hayLotId: string; reversesId: string | null }[];
  journalFrom: string | null;
  journalKinds: string[];
}
interface Changes {
  items: Change[];
  next: string;
  more: boolean;
}

let world: World;
let operation: Operation;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  await aWinterIn(operation);
});
afterAll(() => world.close());

const asked = async (since: string, limit: number, of = operation): Promise<Changes> =>
  (await of.as.accountant.get<Changes>(of.at('/changes'), { query: { since, limit: String(limit) }, expect: 200 }))
    .body;
async function pulled(limits: () => number, since = '0', of = operation): Promise<Change[]> {
  const all: Change[] = [];
  for (let next = since, more = true; more;) {
    const page = await asked(next, limits(), of);
    all.push(...page.items);
    [next, more] = [page.next, page.more];
  }
  return all;
}
const whole = (of = operation): Promise<Change[]> => pulled(() => 500, '0', of);
const last = async (of = operation): Promise<string> => (await whole(of)).at(-1)?.sequence ?? '0';

/** Ids of the rows of a table of the operation. */
async function idsIn(table: string, of = operation): Promise<string[]> {
  const { rows } = await world.ownerPool.query<{ id: string }>(`SELECT id FROM ${table} WHERE operation_id = $1`, [
    of.id,
  ]);
  return rows.map(({ id }) => id).sort();
}

describe('the changes of an operation', () => {
  it('name every record of its registers, every line of its ledger, and whatever was reversed', async () => {
    const all = await whole();
    const ids = (kind: string): string[] =>
      [...new Set(all.filter((one) => one.kind === kind && one.what === 'new').flatMap((one) => one.recordIds))].sort();
    for (const [kind, table] of [
      ['hay-purchase', 'hay_purchase'],
      ['hay-sale', 'hay_sale'],
      ['harvest', 'harvest'],
      ['late-cost', 'late_cost'],
      ['stock-count', 'stock_count'],
      ['storage-shrink', 'storage_shrink'],
      ['hay-transfer', 'hay_transfer'],
      ['feeding', 'feeding'],
      ['lab-test', 'lab_test'],
      ['hay-observation', 'hay_observation'],
      ['weigh-in', 'weigh_in'],
      ['herd', 'herd'],
      ['herd-cost', 'herd_cost'],
    ] as const)
      expect([kind, ids(kind)]).toEqual([kind, await idsIn(table)]);
    expect([...new Set(all.flatMap(({ movements }) => movements.map(({ id }) => id)))].sort()).toEqual(
      await idsIn('stock_movement'),
    );
    expect(all.flatMap(({ reversalId }) => reversalId ?? []).sort()).toEqual(await idsIn('reversal'));
  });

  it('say where each is read', async () => {
    const all = await whole();
    const paths = ENDPOINTS.filter((one) => one.method === 'GET').map(
      ({ path }) => new RegExp(`^${path.replaceAll(/:\w+/g, '[^/]+')}$`),
    );
    for (const address of all.flatMap((one) => one.addresses)) {
      expect([address, paths.some((path) => path.test(address))]).toEqual([address, true]);
      await operation.as.owner.get(address, { expect: 200 });
    }
  });

  it('tell of an entry in place of another as a correction of that, and where head of a herd are read', async () => {
    const of = await operationWith(world);
    const ranchId = await ranch(of);
    const herdId = await herd(of, ranchId);
    const { lotId, purchaseId } = await lot(of, ranchId);
    const since = await last(of);
    const right = await of.as.manager.post<{ entry: WithId }>(
      of.at(`/hay-purchases/${purchaseId}/correction`),
      {
        reason: 'The bill says so',
        entry: purchaseBody(ranchId, { lot: { id: lotId }, price: { basis: 'per-mass', amount: '160', per: 'ton' } }),
      },
      { expect: 201 },
    );
    const head = await of.as.manager.post<WithId>(
      of.at(`/herds/${herdId}/head-changes`),
      { kind: 'in', head: 3, happenedOn: '2026-12-01' },
      { expect: 201 },
    );
    const event = await of.as.manager.post<WithId>(
      of.at(`/herds/${herdId}/events`),
      { kind: 'target-gain', happenedOn: '2026-12-02', dailyGain: { value: '1.5', unit: 'lb' } },
      { expect: 201 },
    );
    const news = await pulled(() => 10, since, of);
    const told = (id: string): unknown[] =>
      news
        .filter(({ recordIds }) => recordIds.includes(id))
        .map(({ what, correctsId, addresses }) => [what, correctsId, addresses]);
    expect(told(right.body.entry.id)).toEqual([
      ['correction', purchaseId, [of.at(`/hay-purchases/${right.body.entry.id}`)]],
    ]);
    expect(told(purchaseId)).toEqual([['corrected', null, [of.at(`/hay-purchases/${purchaseId}`)]]]);
    expect(told(head.body.id)).toEqual([['new', null, [of.at(`/herds/${herdId}/head-changes/${head.body.id}`)]]]);
    expect(told(event.body.id)).toEqual([['new', null, [of.at(`/herds/${herdId}/events/${event.body.id}`)]]]);
    for (const address of news.flatMap(({ addresses }) => addresses)) await of.as.owner.get(address, { expect: 200 });
  });

  it('in steps of any size are the whole, each once and in order', async () => {
    const all = await whole();
    const sequences = all.map(({ sequence }) => Number(sequence));
    expect(sequences).toEqual([...new Set(sequences)].sort((one, other) => one - other));
    await fc.assert(
      fc.asyncProperty(fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 1, maxLength: 8 }), async (steps) => {
        let step = 0;
        expect(await pulled(() => steps[step++ % steps.length] ?? 1)).toEqual(all);
      }),
      { numRuns: Math.min(5, examples(5)) },
    );
  });

  it('are nothing where nothing is new, and keep their number', async () => {
    const since = await last();
    expect(await asked(since, 10)).toEqual({ items: [], next: since, more: false });
  });

  it('tell of a correction, of a restated count, and from which day the journal reads otherwise', async () => {
    const of = await operationWith(world);
    const ranchId = await ranch(of);
    const herdId = await herd(of, ranchId);
    const { lotId, purchaseId } = await lot(of, ranchId);
    const fed = await feeding(of, herdId, [[lotId, '2000']], { fedOn: '2026-12-02' });
    await count(of, lotId, tons('22'));
    const since = await last(of);
    const late = await sale(of, lotId, { soldOn: '2026-11-20', quantity: pounds('1000') });
    await lateCost(of, { kind: 'hay-purchase', id: purchaseId });
    await of.as.manager.post(
      of.at(`/feedings/${fed}/reversal`),
      { reason: 'Another herd', effectiveOn: '2026-12-04' },
      { expect: 201 },
    );
    await of.as.owner.post(of.at('/yardage-rates'), { fromOn: '2026-11-15', perHeadDay: '0.4' }, { expect: 201 });
    const bill = await of.as.manager.post<{ id: string }>(
      of.at('/herd-costs'),
      { herdId, kind: 'veterinary', happenedOn: '2026-11-12', payee: 'A vet', amount: '80' },
      { expect: 201 },
    );
    await of.as.manager.post(of.at(`/herd-costs/${bill.body.id}/reversal`), { reason: 'Not ours' }, { expect: 201 });
    const news = await pulled(() => 2, since, of);
    expect(news.map(({ what, kind, journalFrom, journalKinds }) => [what, kind, journalFrom, journalKinds])).toEqual([
      ['new', 'hay-sale', '2026-11-20', ['meadow']],
      ['new', 'late-cost', '2026-12-20', ['meadow']],
      ['corrected', 'feeding', '2026-12-04', ['meadow']],
      ['new', 'yardage-rate', '2026-11-15', []],
      ['new', 'herd-cost', '2026-11-12', []],
      ['corrected', 'herd-cost', '2026-11-12', []],
    ]);
    // The sale of before the count restates it: the count stands.
    expect(news[0]?.movements.map(({ kind }) => kind)).toEqual(['sale', 'count-adjustment']);
    expect(news[0]?.recordIds).toEqual([late.id]);
    expect(news[2]).toMatchObject({ recordIds: [fed], movements: [{ effectiveOn: '2026-12-04' }, {}] });
    expect(news[2]?.movements.map(({ kind }) => kind)).toEqual(['reversal', 'count-adjustment']);
  });

  it('of accounts or of the costing method ask for every open day of the journal again', async () => {
    const since = await last();
    const { owner } = operation.as;
    const map = await owner.get(operation.at('/account-map'), { expect: 200 });
    await owner.send(
      'PUT',
      operation.at('/account-map'),
      { accounts: [{ role: 'feed-expense', number: '6100', name: 'Feed' }] },
      { ifMatch: map.headers['etag'] ?? '', expect: 200 },
    );
    const [news] = await pulled(() => 5, since);
    expect(news).toMatchObject({ what: 'changed', kind: 'account-map', journalFrom: '1990-01-01', journalKinds: [] });
  });

  it('are told to whoever reads the records, say nothing of money or people, and nothing to a stranger', async () => {
    const hand = await operation.as.hand.get<Changes>(operation.at('/changes'), { expect: 200 });
    expect(hand.text).not.toMatch(/amount|price|recordedBy|person|membership|api-key/i);
    const { rows } = await world.ownerPool.query<{ kinds: string[] }>(
      'SELECT array_agg(DISTINCT subject_kind) AS kinds FROM audit_entry WHERE operation_id = $1',
      [operation.id],
    );
    // There are changes of people to be silent about.
    expect(rows[0]?.kinds).toEqual(expect.arrayContaining(['api-key']));
    const elsewhere = await operationWith(world, { roles: [] });
    expect((await elsewhere.as.owner.get(operation.at('/changes'))).status).toBe(404);
    expect((await world.anyone.get(operation.at('/changes'))).status).toBe(401);
    expect((await operation.as.hand.get(operation.at('/changes'), { query: { since: '-1' } })).status).toBe(400);
  });
});

describe('what commits while a pull runs', () => {
  it('waits for its number until the change before it has ended, so that none is overtaken', async () => {
    const since = await last();
    const client = await world.ownerPool.connect();
    try {
      await client.query('BEGIN');
      const { rows } = await client.query<{ sequence: string }>(
        `INSERT INTO audit_entry (operation_id, sequence, person_id, request_id, address, action, subject_kind,
             subject_id, chain_hash)
           VALUES ($1, 0, $2, gen_random_uuid()::text, '127.0.0.1', 'hay-quote.create', 'hay-quote',
             gen_random_uuid(), '')
           RETURNING sequence::text`,
        [operation.id, operation.people.owner.id],
      );
      const { lotId } = await lotOfIt();
      const other = sale(operation, lotId, { quantity: pounds('10') });
      let ended = false;
      void other.then(() => {
        ended = true;
      });
      // Neither is told while the first is open: the second cannot have a number before it commits.
      for (let times = 0; times < 5; times += 1) expect((await asked(since, 10)).items).toEqual([]);
      expect(ended).toBe(false);
      await client.query('COMMIT');
      const sold = await other;
      const news = await pulled(() => 1, since);
      expect(news.map(({ kind }) => kind)).toEqual(['hay-quote', 'hay-sale']);
      expect(news[0]?.sequence).toBe(rows[0]?.sequence);
      expect(news[1]?.recordIds).toEqual([sold.id]);
    } finally {
      client.release();
    }
  });

  it('is in the next pull or in this one, once, whoever enters how much at once', async () => {
    const since = await last();
    const { lotId } = await lotOfIt();
    const sold: string[] = [];
    const told: Change[] = [];
    let entering = true;
    const enter = async (): Promise<void> => {
      for (let times = 0; times < 6; times += 1)
        sold.push((await sale(operation, lotId, { quantity: pounds('1') })).id);
    };
    const pull = async (): Promise<void> => {
      let next = since;
      for (let round = 0, more = true; entering || more; round += 1) {
        const page = await asked(next, 1 + (round % 3));
        told.push(...page.items);
        [next, more] = [page.next, page.more];
      }
    };
    await Promise.all([
      pull(),
      Promise.all([enter(), enter(), enter(), enter()]).then(() => {
        entering = false;
      }),
    ]);
    told.push(...(await pulled(() => 50, told.at(-1)?.sequence ?? since)));
    expect(told.flatMap((one) => one.recordIds).sort()).toEqual([...sold].sort());
    expect(told).toEqual(await pulled(() => 100, since));
  });

  /** The lot with the most hay in it. */
  async function lotOfIt(): Promise<{ lotId: string }> {
    const { body } = await operation.as.manager.get<{ items: (WithId & { name: string })[] }>(
      operation.at('/hay-lots'),
      { expect: 200 },
    );
    return { lotId: body.items.find(({ name }) => name === 'Alfalfa, second cutting')?.id ?? '' };
  }
});
