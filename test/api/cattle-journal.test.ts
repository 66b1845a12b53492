/* Cattle and the costs of herds as double entries: balanced, with the operation's accounts, reversed on their day. */
import { parse } from 'csv-parse/sync';
import { type Operation, operationWith } from '../support/people.js';
import { herd, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Line {
  account: string;
  accountNumber: string;
  debit: { amount: string };
  credit: { amount: string };
  herdId: string;
}
interface Entry {
  entryId: string;
  on: string;
  kind: string;
  reversesId: string | null;
  party: string | null;
  lines: Line[];
}

let world: World;
let operation: Operation;
let [herdId, otherId] = ['', ''];
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  const ranchId = await ranch(operation);
  herdId = await herd(operation, ranchId, { head: 0 });
  otherId = await herd(operation, ranchId, { head: 0, name: 'Other calves' });
});
afterAll(() => world.close());

const post = async (path: string, body: object): Promise<string> =>
  (await operation.as.manager.post<WithId>(operation.at(path), body, { expect: 201 })).body.id;
const change = (kind: string, happenedOn: string, head: number, amount: string, more: object = {}): Promise<string> =>
  post(`/herds/${herdId}/head-changes`, {
    kind,
    happenedOn,
    head,
    price: { basis: 'lump-sum', amount, ...('how' in more ? { how: more.how } : {}), party: 'An auction' },
    ...('toHerdId' in more ? { toHerdId: more.toHerdId } : {}),
  });
const journal = async (query: Record<string, string> = {}): Promise<Entry[]> =>
  (
    await operation.as.accountant.get<{ items: Entry[] }>(operation.at('/cattle-journal'), {
      query: { until: '2027-01-31', limit: '100', ...query },
      expect: 200,
    })
  ).body.items;
const told = ({ on, kind, lines }: Entry): unknown[] => [
  on,
  kind,
  ...lines.map((one) => `${one.account} ${one.debit.amount} ${one.credit.amount}`),
];

it('posts what was paid, what was valued, what moved and what was reversed', async () => {
  await change('in', '2026-11-01', 40, '60000');
  await change('in', '2026-11-02', 5, '7000', { how: 'valued' });
  await change('move', '2026-11-10', 3, '4500', { toHerdId: otherId });
  const cost = await post('/herd-costs', {
    herdId,
    kind: 'veterinary',
    happenedOn: '2026-11-12',
    payee: 'A vet',
    amount: '480',
  });
  await post('/herd-costs', { herdId, kind: 'other', happenedOn: '2026-11-13', payee: 'A vet', amount: '-80' });
  await post(`/herd-costs/${cost}/reversal`, { reason: 'Another herd', effectiveOn: '2026-12-01' });
  const wrong = await change('sale', '2026-12-05', 4, '6000');
  await post(`/herds/${herdId}/head-changes/${wrong}/reversal`, { reason: 'Not sold' });
  await change('sale', '2026-12-06', 4, '6100');
  const found = await journal();
  expect(found.map(told)).toEqual([
    ['2026-11-01', 'in', 'cattle-purchases 60000.00 0.00', 'payables 0.00 60000.00'],
    ['2026-11-02', 'in', 'cattle-purchases 7000.00 0.00', 'raised-cattle-transfer 0.00 7000.00'],
    ['2026-11-10', 'move-out', 'cattle-transfers 4500.00 0.00', 'cattle-transfers 0.00 4500.00'],
    ['2026-11-12', 'herd-cost', 'herd-costs 480.00 0.00', 'payables 0.00 480.00'],
    ['2026-11-13', 'herd-cost', 'herd-costs 0.00 80.00', 'payables 80.00 0.00'],
    ['2026-12-01', 'herd-cost', 'herd-costs 0.00 480.00', 'payables 480.00 0.00'],
    ['2026-12-06', 'sale', 'receivables 6100.00 0.00', 'cattle-sales 0.00 6100.00'],
  ]);
  const moved = found.find(({ kind }) => kind === 'move-out');
  expect(moved?.lines.map((one) => one.herdId)).toEqual([otherId, herdId]);
  expect(found.find(({ reversesId }) => reversesId === cost)?.party).toBe('A vet');
});

it('is balanced, entry by entry, and comes in pages and by herd', async () => {
  const all = await journal();
  const cents = (amount: string): number => Math.round(Number(amount) * 100);
  for (const { lines } of all)
    expect(lines.reduce((sum, one) => sum + cents(one.debit.amount) - cents(one.credit.amount), 0)).toBe(0);
  const paged: Entry[] = [];
  for (let cursor: string | null | undefined; cursor !== null;) {
    const { body } = await operation.as.accountant.get<{ items: Entry[]; nextCursor: string | null }>(
      operation.at('/cattle-journal'),
      { query: { until: '2027-01-31', limit: '2', ...(cursor === undefined ? {} : { cursor }) }, expect: 200 },
    );
    paged.push(...body.items);
    cursor = body.nextCursor;
  }
  expect(paged).toEqual(all);
  expect((await journal({ herdId: otherId })).map(({ kind }) => kind)).toEqual(['move-out']);
});

it('goes by the accounts that the operation maps', async () => {
  const path = operation.at('/account-map');
  const { headers } = await operation.as.accountant.get(path, { expect: 200 });
  await operation.as.accountant.send(
    'PUT',
    path,
    { accounts: [{ role: 'cattle-sales', number: '4010', name: 'Feeder sales' }] },
    { ifMatch: headers['etag'] ?? '', expect: 200 },
  );
  const numbers = (await journal()).flatMap(({ lines }) => lines).filter(({ account }) => account === 'cattle-sales');
  expect(numbers.map(({ accountNumber }) => accountNumber)).toEqual(['4010']);
  await operation.as.hand.get(operation.at('/cattle-journal'), { query: { until: '2027-01-31' }, expect: 403 });
});

it('says of its file whose it is, how it was made and what is not in it, as other files do', async () => {
  const headOf = async (path: string): Promise<Map<string, string>> => {
    const { text } = await operation.as.accountant.get(operation.at(path), {
      query: { from: '2026-11-01', until: '2027-01-10', format: 'csv' },
      expect: 200,
    });
    const rows: string[][] = parse(text, { bom: true, relaxColumnCount: true });
    return new Map(rows.filter(([what = '']) => what.startsWith('# ')).map(([what = '', said = '']) => [what, said]));
  };
  const [cattle, hay] = [await headOf('/cattle-journal'), await headOf('/reports/season-cost')];
  for (const what of ['# operation', '# period', '# currency']) expect(cattle.get(what)).toBe(hay.get(what));
  expect(cattle.get('# method')).toContain('Cattle at the money');
  // 60,000 for 40 of 45 head; 3 of 45 moved, 4 of the other 42 were sold: 40 × 41 / 45.
  expect(cattle.get('# flag')).toContain('36 bought animals still stand, at 54666.67 USD');
});
