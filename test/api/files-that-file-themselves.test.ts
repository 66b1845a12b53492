/*
 * Files as an accountant files them: named for whose they are, what they are and which days, saying of themselves how
 * they were made, typed by column. Workbooks are read by another library than wrote them; comments in CSV by the W3C's
 * default dialect (Metadata Vocabulary for Tabular Data, 2015, 5.9: commentPrefix "#").
 */
import { createHash } from 'node:crypto';
import { parse } from 'csv-parse/sync';
import { shown } from '../../src/pages/yard/words.js';
import { lateCost, lump, net, sale } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, feedingBody, herd, lot, ranch } from '../support/things.js';
import { type ReadWorkbook, workbookOf } from '../support/workbook.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
const lots: Record<string, { lotId: string; purchaseId: string }> = {};
const WINTER = { from: '2026-11-01', until: '2027-01-31' };

beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  const { manager, owner } = operation.as;
  const ranchId = await ranch(operation);
  const herdId = await herd(operation, ranchId, { name: 'Weaned calves' });
  await owner.post(operation.at('/yardage-rates'), { fromOn: '2026-11-01', perHeadDay: '0.50' }, { expect: 201 });
  lots['hay'] = await lot(operation, ranchId, { name: '#4 stack', note: 'First cutting, dry' });
  lots['2026-11-25'] = await lot(operation, ranchId, { name: '2026-11-25', vendor: 'A dealer' });
  lots['mineral'] = await lot(operation, ranchId, {
    name: 'Mineral',
    hayKind: 'mineral',
    weight: net('100', 'lb'),
    price: lump('60'),
  });
  await feeding(operation, herdId, [
    [lots['hay'].lotId, '2000'],
    [lots['mineral'].lotId, '12'],
  ]);
  await manager.post(
    operation.at('/feedings'),
    feedingBody(herdId, [[lots['hay'].lotId, '1000']], { note: 'Wind from the north' }),
    { expect: 201 },
  );
  await sale(operation, lots['hay'].lotId, { buyer: 'A neighbor to the east' });
  await lateCost(operation, { kind: 'hay-purchase', id: lots['hay'].purchaseId }, { biller: 'A hauler of hay' });
  const map = await owner.get(operation.at('/account-map'), { expect: 200 });
  await owner.send(
    'PUT',
    operation.at('/account-map'),
    {
      accounts: [
        { role: 'hay-inventory', number: '1400.1', name: 'Hay' },
        { role: 'payables', number: '1400.10', name: 'Owed for hay' },
      ],
    },
    { ifMatch: map.headers['etag'] ?? '', expect: 200 },
  );
});
afterAll(() => world.close());

async function file(path: string, query: Record<string, string>): Promise<{ name: string; text: string }> {
  const answer = await operation.as.accountant.get(operation.at(path), {
    query: { ...query, format: 'csv' },
    expect: 200,
  });
  return { name: nameIn(answer.headers['content-disposition'] ?? ''), text: answer.text };
}
const nameIn = (header: string): string => /filename="([^"]+)"/.exec(header)?.[1] ?? '';
const rowsOf = (text: string): Record<string, string>[] =>
  parse(text, { columns: true, comment: '#', comment_no_infix: true });
/** What is said before and after the table, by its first word. */
const saidIn = (text: string): Map<string, string> =>
  new Map(
    parse(text, { relax_column_count: true })
      .filter(([first = '']) => first.startsWith('# '))
      .map(([first = '', said = '']) => [first.slice(2), said]),
  );
async function workbook(path: string, query: Record<string, string>): Promise<ReadWorkbook & { name: string }> {
  const asked = new URLSearchParams({ ...query, format: 'xlsx' }).toString();
  const answer = await fetch(`${world.address}${operation.at(path)}?${asked}`, {
    headers: { Authorization: `Bearer ${operation.as.accountant.token ?? ''}` },
  });
  expect(answer.status).toBe(200);
  return {
    name: nameIn(answer.headers.get('content-disposition') ?? ''),
    ...(await workbookOf(new Uint8Array(await answer.arrayBuffer()))),
  };
}
function cellsUnder(book: ReadWorkbook, column: string): unknown[] {
  const [header = [], ...rows] = book.rows;
  expect(header).toContain(column);
  return rows.map((row) => row[header.indexOf(column)]);
}

const REPORTS = [
  ['season-cost', '/reports/season-cost', WINTER],
  ['cost-of-gain', '/reports/cost-of-gain', WINTER],
  ['feed-conversion', '/reports/feed-conversion', WINTER],
  ['hay-position', '/reports/hay-position', { on: '2027-01-14' }],
  ['trial-balance', '/reports/trial-balance', WINTER],
  ['cost-variances', '/reports/cost-variances', WINTER],
] as const;
const REGISTERS = [
  ['hay-purchases', '/hay-purchases', WINTER],
  ['hay-sales', '/hay-sales', WINTER],
  ['late-costs', '/late-costs', WINTER],
  ['feedings', '/feedings', WINTER],
  ['journal', '/journal', WINTER],
  ['hay-movements', '/hay-movements', WINTER],
] as const;

describe('a file is named for its operation, what it is and its days', () => {
  it.each([...REPORTS, ...REGISTERS])('%s as CSV and as XLSX', async (what, path, query) => {
    const days = 'on' in query ? '2027-01-14' : '2026-11_2027-01';
    const named = new RegExp(`^winter-yard-[a-z0-9]+_${what}_${days}\\.csv$`);
    expect((await file(path, query)).name).toMatch(named);
    const { name, sheet } = await workbook(path, query);
    expect([name.replace(/xlsx$/, 'csv'), sheet]).toEqual([expect.stringMatching(named), what]);
  });

  it('by months where the days are whole months, and by one of them where there is one', async () => {
    const { name } = await file('/reports/season-cost', { from: '2027-01-01', until: '2027-01-31' });
    expect(name).toMatch(/_season-cost_2027-01\.csv$/);
    const days = await file('/reports/season-cost', { from: '2026-11-01', until: '2027-01-30' });
    expect(days.name).toMatch(/_season-cost_2026-11-01_2027-01-30\.csv$/);
  });
});

describe('a file says of itself', () => {
  it.each([...REPORTS, ...REGISTERS])(
    '%s: whose, which days, from where, and the hash of its table',
    async (...one) => {
      const [, path, query] = one;
      const { text } = await file(path, query);
      const said = saidIn(text);
      expect(said.get('operation')).toMatch(/^Winter yard/);
      expect(said.get('period')).toBe('on' in query ? '2027-01-14' : '2026-11-01 to 2027-01-31');
      const source = said.get('source') ?? '';
      expect(source.startsWith(operation.at(path))).toBe(true);
      expect(Object.fromEntries(new URL(source, 'http://here').searchParams)).toEqual(query);
      // The table is what is left without the rows that begin with #; whoever has the file can count and hash it.
      const table = text
        .split('\r\n')
        .filter((row) => !row.startsWith('# '))
        .join('\r\n');
      expect(said.get('sha256 of the table')).toBe(createHash('sha256').update(table).digest('hex'));
      expect(said.get('rows')).toBe(String(rowsOf(text).length));
      const book = await workbook(path, query);
      const about = new Map(book.about);
      for (const [what, words] of said) expect([what, about.get(what)]).toEqual([what, words]);
      expect(book.rows.length - 1).toBe(rowsOf(text).length);
    },
  );

  it('its method and every flag, as the answer has them', async () => {
    const { body } = await operation.as.accountant.get<{ method: string; flags: { message: string }[] }>(
      operation.at('/reports/season-cost'),
      { query: WINTER, expect: 200 },
    );
    const { text } = await file('/reports/season-cost', WINTER);
    const rows = parse(text, { relax_column_count: true });
    const told = (what: string): string[] =>
      rows.filter(([first]) => first === `# ${what}`).map(([, said = '']) => said);
    expect(told('method')).toEqual([body.method]);
    expect(body.flags.length).toBeGreaterThan(0);
    expect(told('flag')).toEqual(body.flags.map(({ message }) => message));
    expect(told('costing method')).toEqual(['specific-lot']);
  });

  it('nothing where the bare table is asked for, and nothing else is asked of it', async () => {
    const bare = (await file('/hay-purchases', { head: 'no' })).text;
    expect(bare).not.toMatch(/^# /m);
    expect((await file('/hay-purchases', {})).text).toContain(bare);
    const asked = await operation.as.accountant.get(operation.at('/hay-purchases'), {
      query: { format: 'csv', head: 'maybe' },
    });
    expect(asked.body).toMatchObject({ status: 400, errors: [{ parameter: 'head', code: 'invalid-value' }] });
  });

  it('and a lot whose name begins with # is no comment', async () => {
    expect(rowsOf((await file('/hay-purchases', {})).text).map((row) => row['hay_lot'])).toContain('#4 stack');
    const position = await file('/reports/hay-position', { on: '2027-01-14' });
    expect(rowsOf(position.text).map((row) => row['hay_lot'])).toContain('#4 stack');
  });
});

describe('what a cell is follows from its column', () => {
  it('two accounts stay two texts, and amounts are numbers', async () => {
    const book = await workbook('/journal', WINTER);
    expect(new Set(cellsUnder(book, 'account_number'))).toEqual(
      new Set(['1400.1', '1400.10', '2010', '1200', '4100', '5100', '5200', '5400']),
    );
    for (const cell of cellsUnder(book, 'debit')) expect(typeof cell).toBe('number');
    const trial = await workbook('/reports/trial-balance', WINTER);
    expect(cellsUnder(trial, 'account_number')).toEqual(expect.arrayContaining(['1400.1', '1400.10']));
  });

  it('a lot that is called like a day stays a text, and days are days', async () => {
    const book = await workbook('/hay-purchases', {});
    expect(cellsUnder(book, 'hay_lot')).toContain('2026-11-25');
    for (const cell of cellsUnder(book, 'purchased_on')) expect(cell).toBeInstanceOf(Date);
  });
});

describe("the journal's file", () => {
  it('has vendor, buyer, lot, herd and memo by name, beside the ids', async () => {
    const rows = rowsOf((await file('/journal', WINTER)).text);
    const of = (kind: string): Record<string, string> => rows.find((row) => row['kind'] === kind) ?? {};
    expect(of('purchase')).toMatchObject({
      vendor: 'A neighbor',
      hay_lot: '#4 stack',
      hay_lot_id: lots['hay']?.lotId,
      memo: 'First cutting, dry',
    });
    expect(of('sale')).toMatchObject({ buyer: 'A neighbor to the east', vendor: '', hay_lot: '#4 stack' });
    expect(of('late-cost')).toMatchObject({ vendor: 'A hauler of hay' });
    const feeds = rows.filter((row) => row['kind'] === 'feed');
    expect(feeds.map((row) => row['memo'])).toContain('Wind from the north');
    expect(feeds.find((row) => row['herd_id'] !== '')).toMatchObject({ herd: 'Weaned calves' });
  });
});

describe('season cost by kind', () => {
  it('has rows that add up to its total, yardage with them', async () => {
    const { body } = await operation.as.accountant.get<{
      rows: { key: string; yardageCost: { amount: string } | null; totalCost: { amount: string } }[];
      total: { totalCost: { amount: string }; yardageCost: { amount: string } };
    }>(operation.at('/reports/season-cost'), { query: { ...WINTER, by: 'kind' }, expect: 200 });
    const cents = ({ amount }: { amount: string }): number => Math.round(Number(amount) * 100);
    expect(cents(body.total.yardageCost)).toBeGreaterThan(0);
    expect(body.rows.reduce((sum, row) => sum + cents(row.totalCost), 0)).toBe(cents(body.total.totalCost));
    expect(body.rows.map(({ key }) => key)).toEqual(['meadow', 'mineral', 'no-kind']);
    expect(body.rows.at(-1)?.yardageCost).toEqual(body.total.yardageCost);
  });
});

describe('a small amount in a large unit', () => {
  it.each([
    ['0.044', 1, '0.044 ton'],
    ['0.000125', 1, '0.00013 ton'],
    ['-0.03', 0, '-0.030 ton'],
    ['0', 1, '0.0 ton'],
    ['12.34', 1, '12.3 ton'],
    ['0.96', 1, '0.96 ton'],
  ])('%s to %d places is said as %s, never as 0', (value, places, said) => {
    expect(shown({ value, unit: 'ton' }, places)).toBe(said);
  });
});
