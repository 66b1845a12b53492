/*
 * Tables as RFC 4180, safe to open in a spreadsheet (OWASP, CSV injection). Read back here with another library than
 * wrote them.
 */
import { parse } from 'csv-parse/sync';
import { text as columnOfTexts } from '../../src/platform/http/columns.js';
import { renderCsv } from '../../src/platform/http/csv.js';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

const cells = (rows: (string | null)[][]): string[][] =>
  parse(renderCsv({ columns: [columnOfTexts('a')], rows }), { relax_column_count: true, from_line: 2 });

describe('a table as CSV', () => {
  it.each(['=1+1', '+1+1', '-1+1', '@SUM(A1)', '=HYPERLINK("http://x.invalid","y")', '-cmd|calc', '=', '+'])(
    'is no formula: %j',
    (text) => {
      expect(cells([[text]])).toEqual([[`'${text}`]]);
    },
  );

  // To a reader that separates by tabs or line ends, a cell begins behind them.
  it.each([
    ['\t=1+1', "\t'=1+1"],
    ['\r=1+1', "\r'=1+1"],
  ])('is no formula behind a separator: %j', (text, written) => {
    expect(cells([[text]])).toEqual([[written]]);
  });

  it.each(['-12.5', '0', '12', '0.25', '-0'])('leaves the number %s a number', (text) => {
    expect(cells([[text]])).toEqual([[text]]);
  });

  it.each(['a,b', 'say "hay"', 'two\nlines', 'two\r\nlines', ' blank ', 'Grünland', '1e5', '12-13'])(
    'reads back as it was: %j',
    (text) => {
      expect(cells([[text]])).toEqual([[text]]);
    },
  );

  it('ends every line with CRLF, has one header row and an empty field for nothing', () => {
    expect(
      renderCsv({
        columns: [columnOfTexts('a'), columnOfTexts('b')],
        rows: [
          ['1', null],
          ['x', 'y'],
        ],
      }),
    ).toBe('a,b\r\n1,\r\nx,y\r\n');
  });
});

describe('reports', () => {
  let world: World;
  let operation: Operation;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    const ranchId = await ranch(operation, { name: '=Ranch' });
    const herdId = await herd(operation, ranchId, { name: '=HYPERLINK("http://x.invalid")' });
    const { lotId } = await lot(operation, ranchId, { name: '@Lot' });
    await feeding(operation, herdId, [[lotId, '2000']]);
  });
  afterAll(async () => {
    await world.close();
  });

  const REPORTS = [
    ['season-cost', { from: '2026-11-01', until: '2027-01-14' }],
    ['cost-of-gain', { from: '2026-11-01', until: '2027-01-14' }],
    ['hay-position', { on: '2027-01-14' }],
  ] as const;

  it.each(REPORTS)('%s comes as CSV by Accept or by ?format', async (name, query) => {
    const path = operation.at(`/reports/${name}`);
    const byHeader = await operation.as.accountant.get(path, { query, headers: { Accept: 'text/csv' }, expect: 200 });
    const byQuery = await operation.as.accountant.get(path, { query: { ...query, format: 'csv' }, expect: 200 });
    expect(byHeader.headers['content-type']).toMatch(/^text\/csv; charset=utf-8/);
    expect(byHeader.headers['content-disposition']).toMatch(
      new RegExp(`^attachment; filename="winter-yard-[a-z0-9]+_${name}_[0-9-]{10}(_[0-9-]{10})?\\.csv"$`),
    );
    expect(byQuery.text).toBe(byHeader.text);
    const table = parse(byHeader.text, { comment: '#', comment_no_infix: true });
    expect(table.length).toBeGreaterThan(1);
    for (const row of table)
      for (const cell of row) if (!/^-?\d+(\.\d+)?$/.test(cell)) expect(cell).not.toMatch(/^[=+\-@]/);
  });

  it.each(REPORTS)('%s comes as JSON otherwise, and in no third form', async (name, query) => {
    const path = operation.at(`/reports/${name}`);
    const json = await operation.as.accountant.get(path, { query, expect: 200 });
    expect(json.headers['content-type']).toMatch(/^application\/json/);
    expect(json.headers['vary'] ?? '').toMatch(/accept/i);
    expect((await operation.as.accountant.get(path, { query: { ...query, format: 'xml' } })).status).toBe(400);
    expect((await operation.as.accountant.get(path, { query, headers: { Accept: 'image/png' } })).status).toBe(406);
  });

  it('are closed to those who do not see money', async () => {
    for (const [name, query] of REPORTS)
      expect([name, (await operation.as.hand.get(operation.at(`/reports/${name}`), { query })).status]).toEqual([
        name,
        403,
      ]);
  });

  it('carry their figures: one ton of hay at 150 a ton', async () => {
    const { body } = await operation.as.accountant.get<{ total: Record<string, unknown> }>(
      operation.at('/reports/season-cost'),
      { query: { from: '2026-11-01', until: '2027-01-14' }, expect: 200 },
    );
    expect(body.total).toMatchObject({
      fed: { value: '1', unit: 'ton' },
      hayCost: { amount: '150.00', currency: 'USD' },
    });
    const position = await operation.as.accountant.get<{ total: Record<string, unknown> }>(
      operation.at('/reports/hay-position'),
      { query: { on: '2027-01-14' }, expect: 200 },
    );
    expect(position.body.total).toMatchObject({
      quantity: { value: '23', unit: 'ton' },
      value: { amount: '3450.00', currency: 'USD' },
    });
  });

  it.each([
    [{ from: '2027-01-14', until: '2027-01-13' }, 'span-reversed'],
    [{ from: '2020-01-01', until: '2027-01-13' }, 'span-too-long'],
  ])('refuse the days %j', async (query, code) => {
    expect((await operation.as.accountant.get(operation.at('/reports/season-cost'), { query })).body).toMatchObject({
      status: 400,
      errors: [{ code }],
    });
  });
});
