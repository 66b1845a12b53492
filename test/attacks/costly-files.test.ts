/*
 * Files made to be costly to read: a little that unpacks or expands to much, names and cells without end. They are
 * measured before anything is made of them and refused in words about files, in a small answer; what ranches keep is
 * read. The bounds are those that the API describes (records/import/reading/file-bounds.data.ts).
 */
import { randomBytes } from 'node:crypto';
import { inflateRawSync } from 'node:zlib';
import { MEDIA_TYPES } from '../../src/platform/http/endpoint.js';
import { FILE_BOUNDS } from '../../src/records/import/reading/file-bounds.data.js';
import { type Operation, operationWith } from '../support/people.js';
import { lettersOfColumn, textCell, textRow, workbook, workbookParts, zipped } from '../support/spreadsheet-ml.js';
import { herd, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Refusal {
  type: string;
  status: number;
  detail: string;
  errors: { parameter: string; code: string; given?: string; allowed: string; message: string }[];
}
interface Check {
  problemCount: number;
  recordCount: number;
  problems: { row: number; column: string | null; code: string; given: string | null; message: string }[];
  notices: { code: string }[];
  rows: { cells: { typed: string; understood: string }[] }[];
}

const HEADERS = ['herd', 'kind', 'head', 'happened_on', 'note'];
/** No refusal of a file needs more than this to say what is wrong. */
const ANSWER_MOST = 4_000;
const lines = (...rows: string[]): string => `${rows.join('\n')}\n`;
const typeOf = (file: string | Buffer): string => (typeof file === 'string' ? 'text/csv' : MEDIA_TYPES.xlsx);

let world: World;
let operation: Operation;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world, { roles: ['manager'] });
  await herd(operation, await ranch(operation), { name: 'Cows' });
});
afterAll(async () => {
  await world.close();
});

async function sent<Body>(
  file: string | Buffer,
  address: string,
  expected: number,
): Promise<{ body: Body; text: string }> {
  return operation.as.manager.post<Body>(operation.at(`/imports/head-changes${address}`), file, {
    headers: { 'Content-Type': typeOf(file) },
    key: null,
    expect: expected,
  });
}
const check = async (file: string | Buffer): Promise<Check> => (await sent<Check>(file, '/check', 200)).body;

/** Refused alike whether it is tried or to be taken in. */
async function refused(file: string | Buffer): Promise<Refusal['errors'][number]> {
  const tried = await sent<Refusal>(file, '/check', 422);
  expect(tried.text.length).toBeLessThan(ANSWER_MOST);
  expect(tried.body).toMatchObject({ type: '/problems/file-too-large', status: 422 });
  expect(tried.body.detail).not.toMatch(/herds|lots|days/);
  const taken = await operation.as.manager.post<Refusal>(operation.at('/imports/head-changes'), file, {
    headers: { 'Content-Type': typeOf(file) },
    expect: 422,
  });
  expect(taken.body.errors).toEqual(tried.body.errors);
  expect(tried.body.errors).toHaveLength(1);
  const [found] = tried.body.errors;
  expect(found?.given).not.toBe('');
  return found as Refusal['errors'][number];
}

/** Rows of cells that all show one text, in a sheet of this many columns. */
const sharing = (rows: number, columns: number): string =>
  Array.from({ length: rows }, (_, at) => {
    const row = at + 2;
    const cells = Array.from(
      { length: columns },
      (_cell, to) => `<c r="${lettersOfColumn(to)}${row}" t="s"><v>0</v></c>`,
    );
    return `<row r="${row}">${cells.join('')}</row>`;
  }).join('');

describe('A file made to be costly', () => {
  it('shows one long text in many cells: it is refused by what its cells hold, not by what was sent', async () => {
    const file = workbook(
      { Moves: textRow(1, HEADERS) + sharing(3_000, 20) },
      { shared: ['x'.repeat(FILE_BOUNDS.cellLetters)] },
    );
    expect(file.length).toBeLessThan(300_000);
    expect(await refused(file)).toMatchObject({
      parameter: 'row 126',
      code: 'too-much-text',
      given: 'more than 25,000,000 characters up to row 126',
      allowed: 'at most 25,000,000 characters in all cells of one file',
    });
  });

  it('has a cell of 32,000 characters', async () => {
    const long = 'x'.repeat(32_000);
    const found = {
      parameter: 'row 2, column 5',
      code: 'cell-too-long',
      given: '32,000 characters',
      allowed: 'at most 10,000 characters in one cell',
    };
    const csv = lines(HEADERS.join(','), `Cows,in,5,2026-11-20,${long}`);
    const shared = `<row r="2">${textCell('A2', 'Cows')}<c r="E2" t="s"><v>0</v></c></row>`;
    for (const file of [csv, workbook({ Moves: textRow(1, HEADERS) + shared }, { shared: [long] })])
      expect(await refused(file)).toMatchObject(found);
  });

  it('would make more records than can be written one by one while somebody waits', async () => {
    const rows = Array.from({ length: FILE_BOUNDS.recordsOneByOne + 1 }, () => 'Cows,in,1,2026-11-20');
    expect(await refused(lines(HEADERS.join(','), ...rows))).toMatchObject({
      code: 'too-many-records',
      given: '2001',
      allowed: 'at most 2,000 records in one file of this kind',
    });
  });

  it('names 100,000 columns', async () => {
    const names = Array.from({ length: 100_000 }, (_, at) => `name ${at}`);
    expect(await refused(lines([...HEADERS, ...names].join(','), 'Cows,in,5,2026-11-20'))).toMatchObject({
      parameter: 'row 1',
      code: 'too-many-columns',
      given: '501',
      allowed: 'at most 500 columns in one file',
    });
  });

  it('has a column whose name has no end', async () => {
    const name = `weight ${'('.repeat(3_000)}`;
    const found = { parameter: 'row 1, column 6', code: 'header-too-long' };
    for (const file of [
      lines([...HEADERS, name].join(','), 'Cows,in,5,2026-11-20,,x'),
      workbook({ Moves: textRow(1, [...HEADERS, name]) + textRow(2, ['Cows', 'in', '5', '2026-11-20']) }),
    ]) {
      const { given, ...problem } = await refused(file);
      expect(problem).toMatchObject(found);
      expect(given).toMatch(/^3,007 characters: weight \(+ …$/);
    }
  });

  it('has a single cell far away, or sheets that are empty but for their last cell', async () => {
    const at = (ref: string): string => `${textRow(1, HEADERS)}<row>${textCell(ref, 'x')}</row>`;
    expect(await refused(workbook({ Moves: at('A1048576') }))).toMatchObject({
      code: 'too-many-rows',
      given: '1,048,576',
    });
    // A place in other quotes, behind a prefix, given twice: as the library reads it.
    for (const cell of ["<c r='XFD2' t='b'><v>1</v></c>", '<x:c x:r="XFD2" r="A2" t="b"><v>1</v></x:c>'])
      expect(await refused(workbook({ Moves: `${textRow(1, HEADERS)}<row>${cell}</row>` }))).toMatchObject({
        code: 'too-many-columns',
        given: '16,384',
      });
    const wide = `<row r="25000">${textCell('SF25000', 'x')}</row>`;
    expect(await refused(workbook({ Moves: textRow(1, HEADERS), A: wide, B: wide }))).toMatchObject({
      code: 'too-many-cells',
      allowed: 'at most 12,500,000 cells between the first and the last of all sheets',
    });
    const sheets = Object.fromEntries(Array.from({ length: 101 }, (_, sheet) => [`S${sheet}`, '']));
    expect(await refused(workbook({ ...sheets, Moves: textRow(1, HEADERS) }))).toMatchObject({
      code: 'too-many-sheets',
    });
  });

  it('has nothing but problems, totals and headers again: the answer lists some and counts all', async () => {
    const note = 'y'.repeat(5_000);
    const wrong = Array.from({ length: 400 }, (_, at) => `${note},in,${at + 1},2026-11-20,${note}`);
    const again = Array.from({ length: 3_000 }, () => HEADERS.join(','));
    const { text, body } = await sent<Check>(lines(HEADERS.join(','), ...wrong, ...again), '/check', 200);

    expect(body.problemCount).toBeGreaterThanOrEqual(800);
    expect(text.length).toBeLessThan(3_000_000);
    expect(
      Math.max(...body.problems.flatMap(({ given, message }) => [given?.length ?? 0, message.length])),
    ).toBeLessThanOrEqual(1_000);
    expect(Math.max(...body.rows.flatMap(({ cells }) => cells.map(({ typed }) => typed.length)))).toBe(200);
    expect(body.notices).toHaveLength(1_001);
    expect(body.notices.at(-1)).toMatchObject({ code: 'more-notices', message: '2,000 more notices are not listed.' });
  });
});

/** An archive whose central directory and local header state another size of a part (APPNOTE.TXT 4.3.7, 4.3.12). */
function stating(size: number, archive: Buffer, part: string): Buffer {
  const changed = Buffer.from(archive);
  for (const [signature, name, sizeAt] of [
    [0x04034b50, 30, 22],
    [0x02014b50, 46, 24],
  ] as const)
    for (let at = 0; at < changed.length - name; at += 1)
      if (
        changed.readUInt32LE(at) === signature &&
        changed.toString('latin1', at + name, at + name + part.length) === part
      )
        changed.writeUInt32LE(size, at + sizeAt);
  return changed;
}

/** The same with every entry of the central directory at the place of the first part. */
function overlapping(archive: Buffer): Buffer {
  const changed = Buffer.from(archive);
  let first: { packed: number; size: number; crc: number } | undefined;
  for (let at = 0; at < changed.length - 46; at += 1) {
    if (changed.readUInt32LE(at) !== 0x02014b50) continue;
    first ??= {
      packed: changed.readUInt32LE(at + 20),
      size: changed.readUInt32LE(at + 24),
      crc: changed.readUInt32LE(at + 16),
    };
    changed.writeUInt32LE(first.crc, at + 16);
    changed.writeUInt32LE(first.packed, at + 20);
    changed.writeUInt32LE(first.size, at + 24);
    changed.writeUInt32LE(0, at + 42);
  }
  return changed;
}

describe('A workbook that is not what it says', () => {
  const MOVES = textRow(1, HEADERS) + textRow(2, ['Cows', 'in', '5', '2026-11-20']);
  const told = async (file: Buffer): Promise<string[]> =>
    (await check(file)).problems.map(({ code, message }) => `${code}: ${message}`);

  it('states a small size for a part that unpacks to gigabytes', async () => {
    const archive = zipped({ 'xl/bomb.xml': ' '.repeat(5_000_000), ...workbookParts({ Moves: MOVES }) });
    expect(archive.length).toBeLessThan(20_000);
    const [found] = await told(stating(1_000, archive, 'xl/bomb.xml'));
    expect(found).toMatch(/^not-a-workbook: .*too many bytes in the stream/);
    // And one that says what it is, beyond the bounds: refused before any of it is unpacked.
    expect(await refused(stating(70_000_000, archive, 'xl/bomb.xml'))).toMatchObject({
      code: 'workbook-too-large',
      allowed: 'at most 67,108,864 bytes in 2,000 parts, unpacked',
    });
  });

  it('has parts that share their bytes', async () => {
    const parts = Object.fromEntries(Array.from({ length: 40 }, (_, at) => [`xl/part${at}.xml`, `${at}`]));
    const archive = overlapping(zipped({ 'xl/a.xml': randomBytes(5_000).toString('hex'), ...parts }));
    expect(await told(archive)).toEqual(['not-a-workbook: The workbook cannot be read: Its parts share their bytes.']);
  });

  it.each([
    ['../../etc/passwd.xml', /relative path/],
    ['/etc/passwd.xml', /absolute path/],
    ['C:\\\\books.xml', /absolute path/],
  ])('has a part whose name leads outside: %s', async (name, why) => {
    const [found, ...others] = await told(zipped({ ...workbookParts({ Moves: MOVES }), [name]: '<x/>' }));
    expect(others).toEqual([]);
    expect(found).toMatch(/^not-a-workbook/);
    expect(found).toMatch(why);
  });

  it('leads outside by its relations: nothing is read but its own parts', async () => {
    const parts = workbookParts({ Moves: MOVES });
    const relations = 'xl/_rels/workbook.xml.rels';
    for (const target of ['../../../../etc/passwd', 'file:///etc/passwd', 'http://127.0.0.1/sheet.xml']) {
      const changed = { ...parts, [relations]: (parts[relations] ?? '').replace('worksheets/sheet1.xml', target) };
      expect(await told(zipped(changed))).toEqual([
        `not-a-workbook: The workbook cannot be read: It has no part xl/${target}.`,
      ]);
    }
  });

  it('declares entities, inside or outside: the document type is refused, nothing replaced or asked for', async () => {
    const parts = workbookParts({ Moves: MOVES });
    const sheet = 'xl/worksheets/sheet1.xml';
    const types = [
      '<!DOCTYPE worksheet [<!ENTITY x SYSTEM "file:///etc/passwd">]>',
      '<!DOCTYPE worksheet SYSTEM "http://127.0.0.1:1/outside.dtd">',
      `<!DOCTYPE worksheet [<!ENTITY a "${'lol'.repeat(10)}"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>`,
    ];
    for (const [at, type] of types.entries())
      for (const part of [
        sheet,
        'xl/workbook.xml',
        'xl/sharedStrings.xml',
        'xl/styles.xml',
        'xl/_rels/workbook.xml.rels',
      ])
        expect([at, part, await told(zipped({ ...parts, [part]: `${type}${parts[part] ?? ''}` }))]).toEqual([
          at,
          part,
          ['not-a-workbook: The workbook cannot be read: It declares a document type.'],
        ]);
    // Without a declaration it is no entity: it stays as it is, letter for letter.
    const named = textRow(1, HEADERS) + textRow(2, ['Cows', 'in', '5', '2026-11-20', '&x; &amp; &#65;']);
    const read = await check(workbook({ Moves: named }));
    expect(read.rows[0]?.cells.at(-1)?.understood).toBe('&x; & A');
  });

  it('keeps its letters: what is unpacked here is what another program unpacks', () => {
    // The archives of these tests are archives: their first part, by zlib itself.
    const archive = zipped({ 'xl/a.xml': 'hay' });
    const start = 30 + archive.readUInt16LE(26) + archive.readUInt16LE(28);
    expect(inflateRawSync(archive.subarray(start, start + archive.readUInt32LE(18))).toString()).toBe('hay');
  });
});

describe('A file as ranches keep it is read', () => {
  const moves = (count: number, cells: (at: number) => string[]): string[][] =>
    Array.from({ length: count }, (_, at) => [
      'Cows',
      'in',
      '5',
      `2026-11-${String(1 + (at % 28)).padStart(2, '0')}`,
      ...cells(at),
    ]);

  it('wide, with 200 columns of its own', async () => {
    const own = Array.from({ length: 200 }, (_, at) => `Own column ${at}`);
    const rows = [[...HEADERS, ...own], ...moves(20, (at) => ['', ...own.map((_, to) => `${at} ${to}`)])];
    const csv = lines(...rows.map((cells) => cells.join(',')));
    const xlsx = workbook({ Moves: rows.map((cells, at) => textRow(at + 1, cells)).join('') });
    for (const file of [csv, xlsx]) expect((await check(file)).problems).toEqual([]);
  });

  it('with notes of a thousand letters, shared or not', async () => {
    const note = 'hay, '.repeat(200).trim();
    const rows = moves(20, () => [note]);
    const shared = rows.map(
      (cells, at) =>
        `<row r="${at + 2}">${cells
          .slice(0, 4)
          .map((cell, to) => textCell(`${lettersOfColumn(to)}${at + 2}`, cell))
          .join('')}` + `<c r="E${at + 2}" t="s"><v>0</v></c></row>`,
    );
    const csv = lines(HEADERS.join(','), ...rows.map((cells) => cells.map((cell) => `"${cell}"`).join(',')));
    for (const file of [csv, workbook({ Moves: textRow(1, HEADERS) + shared.join('') }, { shared: [note] })])
      expect((await check(file)).problems).toEqual([]);
  });

  it('with a million empty rows and separators after the last cell, as spreadsheets export them', async () => {
    const file = `${HEADERS.join(',')},,,,\nCows,in,5,2026-11-20,,,,,\n${',,,,,,,,\n'.repeat(200_000)}`;
    expect(await check(file)).toMatchObject({ problems: [], recordCount: 1 });
    const formats = Array.from({ length: 600 }, (_, at) => `<c r="${lettersOfColumn(at)}3" s="0"/>`);
    const styles = '<cellXfs><xf numFmtId="0"/></cellXfs>';
    const sheet =
      textRow(1, HEADERS) + textRow(2, ['Cows', 'in', '5', '2026-11-20']) + `<row r="3">${formats.join('')}</row>`;
    expect(await check(workbook({ Moves: sheet }, { styles }))).toMatchObject({ problems: [], recordCount: 1 });
  });
  it('with a sheet that is a chart, before the one with the records', async () => {
    const parts = workbookParts({
      Chart: '',
      Moves: textRow(1, HEADERS) + textRow(2, ['Cows', 'in', '5', '2026-11-20']),
    });
    const relations = 'xl/_rels/workbook.xml.rels';
    const chart = (parts[relations] ?? '').replace('worksheet" Target="worksheets/sheet1', 'chartsheet" Target="chart');
    expect(await check(zipped({ ...parts, [relations]: chart }))).toMatchObject({ problems: [], recordCount: 1 });
  });
});
