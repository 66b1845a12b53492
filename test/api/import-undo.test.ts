/* An import is taken back as a whole: by reversals, all of them or none, once, and named is what stands in the way. */
import type { ApiClient } from '../support/client.js';
import type { Operation } from '../support/people.js';
import { operationWith } from '../support/people.js';
import { balance, feeding, feedingBody, herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
let ranchId: string;
beforeAll(async () => {
  world = await openWorld();
});
beforeEach(async () => {
  operation = await operationWith(world);
  ranchId = await ranch(operation);
});
afterAll(async () => {
  await world.close();
});

const CSV = { headers: { 'Content-Type': 'text/csv' } };
interface Undone {
  id: string;
  importId: string;
  reason: string;
  effectiveOn: string | null;
  recordCount: number;
}
interface Import {
  id: string;
  recordCount: number;
  reversal: Undone | null;
}
interface Refusal {
  type: string;
  detail: string;
  errors: { parameter?: string; code: string; given?: unknown; allowed: string; message: string }[];
}
const lines = (...rows: string[]): string => `${rows.join('\n')}\n`;
const take = async (kind: string, text: string, client = operation.as.manager): Promise<Import> =>
  (await client.post<Import>(operation.at(`/imports/${kind}`), text, { ...CSV, expect: 201 })).body;
const undo = async (id: string, body: object = {}, client: ApiClient = operation.as.manager): Promise<Undone> =>
  (
    await client.post<Undone>(
      operation.at(`/imports/${id}/reversal`),
      { reason: 'the wrong file', ...body },
      { expect: 201 },
    )
  ).body;
const refused = async (id: string, expected: number, body: object = {}): Promise<Refusal> =>
  (
    await operation.as.manager.post<Refusal>(
      operation.at(`/imports/${id}/reversal`),
      { reason: 'the wrong file', ...body },
      { expect: expected },
    )
  ).body;
const itemsOf = async <T>(path: string): Promise<T[]> =>
  (await operation.as.manager.get<{ items: T[] }>(operation.at(path), { query: { limit: '200' }, expect: 200 })).body
    .items;
const standing = async (path: string): Promise<number> =>
  (await itemsOf<{ reversal: unknown }>(path)).filter((one) => one.reversal === null).length;
const headOf = async (herdId: string): Promise<number> =>
  (await operation.as.manager.get<{ head: number }>(operation.at(`/herds/${herdId}`), { expect: 200 })).body.head;

const TICKETS = lines(
  'vendor,purchased_on,lot,ranch,hay_kind,bale_form,storage_method,bale_count,net_weight_lb,price_usd_per_ton',
  'Creek bottom hay,2026-10-02,Meadow,Home ranch,meadow,round,tarp,40,47600,145',
  'Bench fields,2026-10-09,Alfalfa,Home ranch,alfalfa,large-square,under-roof,24,32380,180',
  'Creek bottom hay,2026-10-12,Meadow,,,,,20,23800,150',
);
const lotIds = async (): Promise<Record<string, string>> =>
  Object.fromEntries((await itemsOf<{ id: string; name: string }>('/hay-lots')).map(({ id, name }) => [name, id]));

describe('an import taken back', () => {
  it('reverses every one of its records with the reason, and the same file can be entered again', async () => {
    const made = await take('hay-tickets', TICKETS);
    expect(made.reversal).toBeNull();
    const undone = await undo(made.id);
    expect(undone).toMatchObject({ importId: made.id, reason: 'the wrong file', effectiveOn: null, recordCount: 3 });
    const tickets = await itemsOf<{ purchasedOn: string; reversal: { reason: string; effectiveOn: string } }>(
      '/hay-purchases',
    );
    expect(tickets).toHaveLength(3);
    for (const one of tickets)
      expect(one.reversal).toMatchObject({ reason: 'the wrong file', effectiveOn: one.purchasedOn });
    for (const id of Object.values(await lotIds())) expect(await balance(operation, id)).toBe('0');
    const shown = await operation.as.manager.get<Import>(operation.at(`/imports/${made.id}`), { expect: 200 });
    expect(shown.body.reversal).toEqual(undone);

    const again = await take('hay-tickets', TICKETS);
    expect(again).toMatchObject({ recordCount: 3, reversal: null });
    expect(again.id).not.toBe(made.id);
    expect(await standing('/hay-purchases')).toBe(3);
  });

  it('is done once: the same request again gets the same answer, another is told', async () => {
    const { id } = await take('hay-tickets', TICKETS);
    const key = 'undo-once-more';
    const send = () =>
      operation.as.manager.post<Undone>(operation.at(`/imports/${id}/reversal`), { reason: 'again' }, { key });
    const [first, second] = [await send(), await send()];
    expect([first.status, second.status]).toEqual([201, 201]);
    expect(second.body).toEqual(first.body);
    expect((await refused(id, 409)).errors).toMatchObject([{ code: 'already-reversed', given: id }]);
    const { rows } = await world.ownerPool.query<{ action: string; n: string }>(
      `SELECT action, count(*) AS n FROM audit_entry WHERE operation_id = $1 AND action LIKE '%reverse%' GROUP BY 1`,
      [operation.id],
    );
    expect(Object.fromEntries(rows.map(({ action, n }) => [action, Number(n)]))).toEqual({
      'hay-purchase.reverse': 3,
      'import.reverse': 1,
    });
  });

  it('leaves out what was reversed before, one by one', async () => {
    const { id } = await take('hay-tickets', TICKETS);
    const [first] = await itemsOf<{ id: string }>('/hay-purchases');
    await operation.as.manager.post(
      operation.at(`/hay-purchases/${first?.id}/reversal`),
      { reason: 'this one first' },
      { expect: 201 },
    );
    expect(await undo(id)).toMatchObject({ recordCount: 2 });
    expect(await standing('/hay-purchases')).toBe(0);
  });

  it('names what was entered in the place of a row, however often it was corrected', async () => {
    const made = await take('hay-tickets', TICKETS);
    const meadow = (await lotIds())['Meadow'] ?? '';
    const [ticket] = (await itemsOf<{ id: string; purchasedOn: string; reversal: unknown }>('/hay-purchases')).filter(
      ({ purchasedOn }) => purchasedOn === '2026-10-12',
    );
    const correct = async (id: string, pounds: string): Promise<string> =>
      (
        await operation.as.manager.post<{ entry: { id: string } }>(
          operation.at(`/hay-purchases/${id}/correction`),
          {
            reason: 'misread the scale',
            entry: {
              vendor: 'Creek bottom hay',
              purchasedOn: '2026-10-12',
              lot: { id: meadow },
              baleCount: 20,
              weight: { basis: 'net', net: { value: pounds, unit: 'lb' } },
              price: { basis: 'per-mass', amount: '150', per: 'ton' },
            },
          },
          { expect: 201 },
        )
      ).body.entry.id;
    const last = await correct(await correct(ticket?.id ?? '', '22000'), '21000');
    const before = await standing('/hay-purchases');
    const { errors } = await refused(made.id, 409);
    expect(errors.map(({ parameter, code, given }) => [parameter, code, given])).toEqual([
      ['row 4', 'corrected-since', last],
    ]);
    expect(await standing('/hay-purchases')).toBe(before);
    await operation.as.manager.post(
      operation.at(`/hay-purchases/${last}/reversal`),
      { reason: 'the wrong file' },
      { expect: 201 },
    );
    expect((await undo(made.id)).recordCount).toBe(2);
    expect(await standing('/hay-purchases')).toBe(0);
  });

  it('names the feeding that rests on it, and reverses nothing', async () => {
    const herdId = await herd(operation, ranchId);
    const { id } = await take('hay-tickets', TICKETS);
    const { Meadow: lotId = '' } = await lotIds();
    const fed = await operation.as.manager.post<{ id: string }>(
      operation.at('/feedings'),
      feedingBody(herdId, [[lotId, '1500']], { fedOn: '2026-12-01' }),
      { expect: 201 },
    );
    const { type, errors } = await refused(id, 409);
    expect(type).toBe('/problems/import-not-reversed');
    expect(errors).toEqual([
      expect.objectContaining({
        parameter: 'row 2, row 4',
        code: 'lot-short',
        given: fed.body.id,
        allowed: 'reversed first',
        message: expect.stringContaining('feeding of 2026-12-01') as string,
      }),
    ]);
    expect(await standing('/hay-purchases')).toBe(3);
    await operation.as.manager.post(
      operation.at(`/feedings/${fed.body.id}/reversal`),
      { reason: 'the hay was never here' },
      { expect: 201 },
    );
    expect(await undo(id)).toMatchObject({ recordCount: 3 });
  });

  it('names the bill that was entered for a ticket of it', async () => {
    const { id } = await take('hay-tickets', TICKETS);
    const ticket = (await itemsOf<{ id: string; purchasedOn: string }>('/hay-purchases')).find(
      (one) => one.purchasedOn === '2026-10-09',
    );
    const bill = await operation.as.manager.post<{ id: string }>(
      operation.at('/late-costs'),
      {
        receipt: { kind: 'hay-purchase', id: ticket?.id },
        owed: 'freight',
        biller: 'A hauler',
        billedOn: '2026-11-01',
        amount: '120',
      },
      { expect: 201 },
    );
    expect((await refused(id, 409)).errors).toEqual([
      expect.objectContaining({ code: 'late-costs-stand', given: bill.body.id }),
    ]);
    expect(await standing('/hay-purchases')).toBe(3);
  });

  it('of a closed period is refused with its days, and goes to the open period where that is said', async () => {
    const { id } = await take('hay-tickets', TICKETS);
    await operation.as.accountant.post(operation.at('/closings'), { until: '2026-10-10' }, { expect: 201 });
    const { type, errors } = await refused(id, 409);
    expect(type).toBe('/problems/import-not-reversed');
    expect(errors.map(({ code, parameter, given }) => [code, parameter, given])).toEqual([
      ['period-closed', 'row 2', '2026-10-02'],
      ['period-closed', 'row 3', '2026-10-09'],
    ]);
    expect(errors[0]?.allowed).toContain('postTo "open-period"');
    expect(await undo(id, { postTo: 'open-period' })).toMatchObject({ recordCount: 3 });
    const tickets = await itemsOf<{ purchasedOn: string; reversal: { effectiveOn: string } }>('/hay-purchases');
    expect(tickets.map((one) => [one.purchasedOn, one.reversal.effectiveOn])).toEqual([
      ['2026-10-12', '2026-10-12'],
      ['2026-10-09', '2026-10-11'],
      ['2026-10-02', '2026-10-11'],
    ]);
  });

  it('of head moves is judged by what is left after all of them, in whatever order they were', async () => {
    const cows = await herd(operation, ranchId, { head: 10, since: '2026-10-01' });
    const sick = await herd(operation, ranchId, { name: 'Sick pen', head: 0 });
    const { id } = await take(
      'head-changes',
      lines(
        'herd,kind,head,happened_on,to_herd',
        'Weaned calves,death,10,2026-10-02,',
        'Weaned calves,in,10,2026-11-10,',
        'Weaned calves,move,4,2026-11-20,Sick pen',
        'Sick pen,death,1,2026-11-25,',
      ),
    );
    // Without the import the sale is of the ten head that stood there before it.
    await operation.as.manager.post(
      operation.at(`/herds/${cows}/head-changes`),
      { kind: 'sale', head: 6, happenedOn: '2026-12-01' },
      { expect: 201 },
    );
    expect(await undo(id)).toMatchObject({ recordCount: 4 });
    expect([await headOf(cows), await headOf(sick)]).toEqual([4, 0]);
  });

  it('names the head that left since', async () => {
    const cows = await herd(operation, ranchId, { head: 0 });
    const { id } = await take('head-changes', lines('herd,kind,head,happened_on', 'Weaned calves,in,50,2026-11-10'));
    const sold = await operation.as.manager.post<{ id: string }>(
      operation.at(`/herds/${cows}/head-changes`),
      { kind: 'sale', head: 6, happenedOn: '2026-12-01' },
      { expect: 201 },
    );
    expect((await refused(id, 409)).errors).toEqual([
      expect.objectContaining({ parameter: 'row 2', code: 'herd-short', given: sold.body.id }),
    ]);
    expect(await headOf(cows)).toBe(44);
  });
});

describe('the reports of a ranch', () => {
  it('are what they were before, once a file of every kind was entered and taken back', async () => {
    const herdId = await herd(operation, ranchId, { head: 99 });
    await herd(operation, ranchId, { name: 'Sick pen', head: 0 });
    const own = await lot(operation, ranchId, { name: 'Before', tons: '60' });
    await feeding(operation, herdId, [[own.lotId, '900']], { fedOn: '2026-12-20' });
    const span = { from: '2026-10-01', until: '2027-01-14' };
    const reports = async (): Promise<unknown[]> => {
      const read = async (path: string, query: Record<string, string>) =>
        (await operation.as.accountant.get(operation.at(path), { query, expect: 200 })).body;
      return [
        await read('/reports/season-cost', span),
        await read('/reports/hay-position', { on: '2027-01-14' }),
        await read('/reports/trial-balance', span),
        await read('/reports/feed-conversion', span),
      ];
    };
    const before = await reports();
    const { kinds } = (
      await operation.as.hand.get<{ kinds: { kind: string; sample: string }[] }>(operation.at('/import-columns'), {
        expect: 200,
      })
    ).body;
    const taken: { kind: string; id: string }[] = [];
    for (const { kind, sample } of kinds.filter((one) => one.kind !== 'late-costs'))
      taken.push({ kind, ...(await take(kind, (await operation.as.manager.get(sample, { expect: 200 })).text)) });
    expect(await reports()).not.toEqual(before);
    for (const { id } of taken.toReversed()) await undo(id);
    expect(await reports()).toEqual(before);
  });
});

describe('every kind of file', () => {
  it('can be taken back, and then its file be entered again', async () => {
    // Not the head of the sample, which would be there already.
    await herd(operation, ranchId, { head: 99 });
    await herd(operation, ranchId, { name: 'Sick pen', head: 0 });
    const { kinds } = (
      await operation.as.hand.get<{ kinds: { kind: string; sample: string }[] }>(operation.at('/import-columns'), {
        expect: 200,
      })
    ).body;
    const taken: { kind: string; text: string; made: Import }[] = [];
    for (const { kind, sample } of kinds) {
      const { text } = await operation.as.manager.get(sample, { expect: 200 });
      taken.push({ kind, text, made: await take(kind, text) });
    }
    for (const { kind, text, made } of taken.toReversed()) {
      // Of the bills of the tickets, each was reversed on its own day: none stood on any.
      expect({ kind, ...(await undo(made.id)) }).toMatchObject({ kind, recordCount: made.recordCount });
      const { body: again } = await operation.as.manager.post<{
        recordCount: number;
        alreadyImported: string | null;
      }>(operation.at(`/imports/${kind}/check`), text, { ...CSV, key: null, expect: 200 });
      expect({ kind, ...again }).toMatchObject({ kind, recordCount: made.recordCount, alreadyImported: null });
    }
    for (const id of Object.values(await lotIds())) expect(await balance(operation, id)).toBe('0');
  });

  it('is taken back by who may reverse its records one by one, and by nobody else', async () => {
    await herd(operation, ranchId);
    const tickets = await take('hay-tickets', TICKETS);
    const weights = await take(
      'group-weights',
      lines('herd,weighed_on,fill,head,mean_weight_lb', 'Weaned calves,2027-01-12,full,98,560'),
    );
    for (const [who, id] of [
      ['hand', tickets.id],
      ['nutritionist', weights.id],
      ['accountant', tickets.id],
    ] as const)
      await operation.as[who].post(operation.at(`/imports/${id}/reversal`), { reason: 'x' }, { expect: 403 });
    expect(await undo(weights.id, {}, operation.as.hand)).toMatchObject({ recordCount: 1 });
    await operation.as.manager.post(
      operation.at('/imports/01a21288-0000-7000-8000-000000000000/reversal'),
      { reason: 'x' },
      { expect: 404 },
    );
  });

  it('is not taken back where it never wrote anything', async () => {
    await operation.as.manager.post(operation.at('/imports/hay-tickets'), lines('vendor', 'x'), {
      ...CSV,
      expect: 422,
    });
    await operation.as.manager.post(operation.at('/imports/hay-tickets'), TICKETS.replace('2026-10-02', '2026-02-30'), {
      ...CSV,
      expect: 422,
    });
    const [one] = await itemsOf<Import>('/imports');
    expect((await refused(one?.id ?? '', 409)).errors).toMatchObject([{ code: 'nothing-imported' }]);
  });
});
