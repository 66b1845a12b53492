/*
 * A file that the check passes is taken in, and one that it refuses is refused with the same problems, whatever its
 * cells hold. What no database and no JSON keeps (a NUL, half of a letter), and what would turn the direction of what
 * is read (Unicode UAX 9), is a problem of its cell. Files are invented.
 */
import { MEDIA_TYPES } from '../../src/platform/http/endpoint.js';
import { IMPORT_KINDS } from '../../src/platform/wire/words.data.js';
import type { ApiClient } from '../support/client.js';
import { clientOf, join, type Operation, operationWith, person } from '../support/people.js';
import fc, { examples } from '../support/properties.js';
import { textRow, workbook } from '../support/spreadsheet-ml.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Check {
  problemCount: number;
  duplicateCount: number;
  problemsIfEntered: Check['problems'];
  problems: { row: number; column: string | null; code: string; given: string | null; message: string }[];
  notices: { column: string | null; code: string; message: string }[];
  asked: { code: string }[];
  columns: { header: string }[];
}
interface Refused {
  type: string;
  errors: { parameter: string; code: string; given?: string; message: string }[];
}
/** What people, programs and attackers leave in cells. */
const UGLY = [
  ...['', ' ', '-', '.', '0', '-0', '-5', '1e3', '1e999', '0x10', 'NaN', '1,5', '1.000,5', '10000000000000', '0.00001'],
  ...['2026-02-30', '0000-00-00', '2026-13-01', '99999-01-01', '1/2', '2099-12-31', '12/31/9999', '2026-12-10T25:00'],
  ...[
    'null',
    'undefined',
    '__proto__',
    'constructor',
    '=1+1',
    "'=1",
    '#REF!',
    'total',
    'yes',
    'Sick pen',
    'a\rb',
    'a\r\nb',
  ],
  ...[
    '\u0000',
    '\u0001',
    '\u001a',
    '\u202e',
    '\u2066',
    '\u2028',
    '\ud800',
    '\udc00x',
    '\ufffe',
    '\ufeff',
    '\u200b',
    '\u{1F33E}',
  ],
  ...[
    '\u22125',
    '\u0661',
    '00000000-0000-0000-0000-000000000000',
    '%',
    'lb',
    '5 lb',
    '5 kg',
    '$5',
    '\u20ac5',
    '"',
    ';',
    '\t',
  ],
  'x'.repeat(130),
  'x'.repeat(2_100),
];
type Cells = readonly (readonly string[])[];

let world: World;
let operation: Operation;
let unpriced: ApiClient;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world, { roles: ['owner', 'manager'] });
  const ranchId = await ranch(operation);
  await herd(operation, ranchId, { head: 99 });
  await herd(operation, ranchId, { name: 'Sick pen', head: 0 });
  await lot(operation, ranchId, { tons: '400', purchasedOn: '2026-10-02' });
  const somebody = await person(world, 'no prices');
  await join(world, somebody, operation.id, 'manager', { seesPrices: false });
  unpriced = await clientOf(world, somebody);
});
afterAll(() => world.close());

const csvOf = (rows: Cells): string =>
  `${rows.map((row) => row.map((cell) => `"${cell.replaceAll('"', '""')}"`).join(',')).join('\n')}\n`;
/** A file of text with a NUL is no text, and is answered so as a whole. */
const sendable = (cell: string): string => cell.replaceAll('\u0000', '\u0001');
const referenced = (text: string): string =>
  [...text.replaceAll(/[\uD800-\uDFFF]/gu, (half) => `_x${half.charCodeAt(0).toString(16).toUpperCase()}_`)]
    .map((sign) => (/[\p{L}\p{N} _-]/u.test(sign) ? sign : `&#${sign.codePointAt(0) ?? 0};`))
    .join('');
const xlsxOf = (rows: Cells): Buffer =>
  workbook({ Rows: rows.map((row, at) => textRow(at + 1, row.map(referenced))).join('') });

const send = <Answer>(as: ApiClient, address: string, file: string | Buffer, query = {}, key?: null) =>
  as.post<Answer>(operation.at(`/imports/${address}`), file, {
    headers: { 'Content-Type': typeof file === 'string' ? 'text/csv' : MEDIA_TYPES.xlsx },
    query,
    ...(key === undefined ? {} : { key }),
  });

const placesOf = (answer: Check): string[] =>
  answer.problems.map(
    ({ row, column, code }) => `${column === null ? `row ${row}` : `row ${row}, column ${column}`} ${code}`,
  );

const errorsOf = ({ errors }: Refused): string[] => errors.map(({ parameter, code }) => `${parameter} ${code}`);

/** The check and then the import of one file: they must say the same. @returns the problems of both, by place. */
async function bothSay(kind: string, file: string | Buffer, as = operation.as.manager): Promise<string[]> {
  const tried = await send<Check & Refused>(as, `${kind}/check`, file, { duplicates: 'enter' }, null);
  const codes = [...new Set((tried.body.asked ?? []).map(({ code }) => code))];
  const confirm = codes.length === 0 ? {} : { confirm: codes.join(',') };
  const taken = await send<Refused>(as, kind, file, { duplicates: 'enter', ...confirm });
  const said = `${kind}: check ${tried.status} ${tried.text.slice(0, 400)}\nimport ${taken.status} ${taken.text}`;
  // More than is read of any file.
  const places = tried.status === 422 ? errorsOf(tried.body) : placesOf(tried.body);
  if (places.length === 0) expect(said).toMatch(/check 200[^]*\nimport 201/);
  else {
    expect(said).toMatch(/check (?:200|422)[^]*\nimport 422/);
    expect(errorsOf(taken.body)).toEqual(places);
  }
  return places;
}

const TICKET = ['vendor', 'purchased_on', 'lot', 'net_weight_lb', 'price_usd_per_ton'];
const BOUGHT = ['A neighbor', '2026-11-15', 'Meadow, first cutting', '1000', '145'];
const LATE = ['biller', 'billed_on', 'lot', 'received_on', 'owed', 'amount_usd'];
const ODD = ['&#0;', '&#xD800;', '_x0000_', '_xD800_', '&#x202E;', '&#x1A;'];

describe('Text that cannot be kept', () => {
  it.each(ODD)('in the name of a column that is left out is a problem of that column: %j', async (odd) => {
    const file = workbook({ Rows: textRow(1, [...TICKET, `Barn${odd}`]) + textRow(2, [...BOUGHT, 'x']) });
    expect(await bothSay('hay-tickets', file)).toEqual(['row 1, column Barn\uFFFD not-plain-text']);
  });

  it.each(ODD)('in a cell is a problem of that cell: %j', async (odd) => {
    const file = workbook({ Rows: textRow(1, TICKET) + textRow(2, [`A neighbor${odd}`, ...BOUGHT.slice(1)]) });
    expect(await bothSay('hay-tickets', file)).toEqual(['row 2, column vendor not-plain-text']);
  });

  it('is not looked at in a column that is left out, nor in the name of another sheet', async () => {
    const file = workbook({
      Rows: textRow(1, [...TICKET, 'Barn']) + textRow(2, [...BOUGHT, 'x&#0;&#x202E;']),
      'Notes _x0000_&#xD800;': textRow(1, ['y&#0;']),
    });
    expect(await bothSay('hay-tickets', file)).toEqual([]);
  });

  it('does not come of cutting a long text where a letter takes two places', async () => {
    const long = `${'B'.repeat(99)}\u{1F33E}`;
    expect(
      await bothSay(
        'hay-tickets',
        csvOf([
          [...TICKET, long],
          [...BOUGHT, 'x'],
        ]),
      ),
    ).toEqual([]);
  });
});

describe('Whoever sees no prices', () => {
  it.each(['-5', '\u22125', '(5)'])('is told by the check that a credit of %s is not theirs', async (amount) => {
    const file = csvOf([LATE, ['A hauler', '2026-12-10', BOUGHT[2] ?? '', '2026-10-02', 'freight', amount]]);
    expect(await bothSay('late-costs', file, unpriced)).toEqual(['row 2 not-permitted']);
  });
});

describe('Check and import of a file', () => {
  it('say the same of rows that look like what is there, before anybody says what to do with them', async () => {
    const at = [BOUGHT[2] ?? '', '2026-10-02', 'freight'];
    await bothSay('late-costs', csvOf([LATE, ['A trucker', '2026-12-11', ...at, '5']]));
    const again = csvOf([
      LATE,
      ['A trucker', '2026-12-11', ...at, '-5'],
      ['A trucker', '2026-12-11', ...at, '5\u202e'],
    ]);
    const tried = await send<Check>(unpriced, 'late-costs/check', again, {}, null);
    expect([tried.body.problemCount, tried.body.duplicateCount]).toEqual([1, 2]);
    const refused = await bothSay('late-costs', again, unpriced);
    expect(refused).toEqual(['row 2 not-permitted', 'row 3, column amount_usd not-plain-text']);
    expect(
      [...placesOf(tried.body), ...placesOf({ ...tried.body, problems: tried.body.problemsIfEntered })].sort(),
    ).toEqual(refused);
  });

  const ugly = fc.oneof(
    { weight: 4, arbitrary: fc.constantFrom(...UGLY) },
    fc.string({ unit: 'binary', maxLength: 6 }),
    fc.string({ unit: 'grapheme', maxLength: 6 }),
    fc.integer({ min: -2_000, max: 200_000 }).map(String),
  );
  const change = fc.record({ row: fc.nat(3), column: fc.nat(40), text: ugly, added: fc.boolean() });
  const sheets = fc.record({
    kind: fc.constantFrom(...IMPORT_KINDS),
    workbook: fc.boolean(),
    changes: fc.array(change, { minLength: 1, maxLength: 3 }),
    extra: fc.option(ugly),
    byUnpriced: fc.boolean(),
  });

  it('say the same, whatever its cells hold', async () => {
    await fc.assert(
      fc.asyncProperty(sheets, async ({ kind, workbook: asWorkbook, changes, extra, byUnpriced }) => {
        const sample = (
          await operation.as.manager.get<{ columns: string[]; rows: (string | null)[][] }>(
            operation.at(`/import-columns/${kind}/sample`),
            { expect: 200 },
          )
        ).body;
        const rows = [sample.columns, ...sample.rows].map((row) => row.map((cell) => cell ?? ''));
        for (const { row: at, column, text, added } of changes) {
          const row = rows[1 + (at % (rows.length - 1))] ?? [];
          const place = column % row.length;
          row[place] = added ? `${row[place] ?? ''}${text}` : text;
        }
        if (extra !== null) for (const row of rows) row.push(extra);
        const file = asWorkbook ? xlsxOf(rows) : csvOf(rows.map((row) => row.map(sendable)));
        await bothSay(kind, file, byUnpriced ? unpriced : operation.as.manager);
      }),
      { numRuns: examples(40) },
    );
  });
});
