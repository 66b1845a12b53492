/*
 * Spreadsheets as people keep them. Each is read as the person meant it, or asked about with the reason; none is taken
 * for something else. What was meant is written beside each file by hand. The workbooks are made by write-excel-file
 * and, where that cannot, by hand in SpreadsheetML (ECMA-376, part 1).
 */
import { strToU8, zipSync } from 'fflate';
import writeXlsx, { type CellObject } from 'write-excel-file/node';
import { MEDIA_TYPES } from '../../src/platform/http/endpoint.js';
import type { Operation } from '../support/people.js';
import { operationWith } from '../support/people.js';
import { textCell, textRow, workbook } from '../support/spreadsheet-ml.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
beforeAll(async () => {
  world = await openWorld();
});
beforeEach(async () => {
  operation = await operationWith(world, { roles: ['owner', 'manager', 'hand'] });
  const ranchId = await ranch(operation);
  await herd(operation, ranchId, { head: 90 });
  await lot(operation, ranchId, { name: 'Meadow', tons: '100' });
});
afterAll(async () => {
  await world.close();
});

interface Check {
  rowCount: number;
  recordCount: number;
  problemCount: number;
  shape: string;
  problems: { row: number; column: string | null; code: string; given: string | null; allowed: string }[];
  columns: { header: string; column: string | null; knownBy: string; ignored: boolean }[];
  rows: {
    row: number;
    cells: { column: string; typed: string; understood: string; unit: string | null; id: string | null }[];
  }[];
  notices: { row: number | null; column: string | null; code: string }[];
}
type Sent = string | Buffer;
const typeOf = (file: Sent): string => (typeof file === 'string' || file[0] !== 0x50 ? 'text/csv' : MEDIA_TYPES.xlsx);
const check = async (kind: string, file: Sent, query: Record<string, string> = {}): Promise<Check> =>
  (
    await operation.as.manager.post<Check>(operation.at(`/imports/${kind}/check`), file, {
      headers: { 'Content-Type': typeOf(file) },
      query,
      key: null,
      expect: 200,
    })
  ).body;
const take = async (kind: string, file: Sent, query: Record<string, string> = {}, expected = 201) =>
  (
    await operation.as.manager.post<{ id: string; recordCount: number; notices: { code: string }[] | null }>(
      operation.at(`/imports/${kind}`),
      file,
      { headers: { 'Content-Type': typeOf(file) }, query, expect: expected },
    )
  ).body;
const lines = (...rows: string[]): string => `${rows.join('\n')}\n`;
interface Ticket {
  purchasedOn: string;
  baleCount: number | null;
  weight: { typed: { value: string; unit: string } };
  price: { basis: string; amount: string; per: string | null };
  freight: { amount: string };
  moisturePercent: string | null;
}
const ticketsOf = async (vendor: string): Promise<Ticket[]> =>
  (
    await operation.as.manager.get<{ items: (Ticket & { vendor: string })[] }>(operation.at('/hay-purchases'), {
      expect: 200,
    })
  ).body.items.filter((one) => one.vendor === vendor);

/** One ticket as it was meant: 40 bales of 47,600 lb on 15 November 2026 at $145 a ton, hauled for $310.50. */
const MEANT = {
  purchasedOn: '2026-11-15',
  baleCount: 40,
  weight: { typed: { value: '47600', unit: 'lb' } },
  price: { basis: 'per-mass', amount: '145', per: 'ton' },
  freight: { amount: '310.50' },
};
const HEADER = 'vendor,purchased_on,lot,bale_count,net_weight_lb,price_usd_per_ton,freight_usd';
const utf16 = (text: string): Buffer => Buffer.from(`\uFEFF${text}`, 'utf16le');

/** Each file holds the ticket of MEANT and nothing else. */
const READ: readonly (readonly [
  what: string,
  file: string | Buffer,
  notices: readonly string[],
  query?: Record<string, string>,
])[] = [
  ['days with the month first', lines(HEADER, 'X,11/15/2026,Meadow,40,47600,145,310.50'), ['days-month-first']],
  ['days with the day first', lines(HEADER, 'X,15.11.2026,Meadow,40,47600,145,310.50'), ['days-day-first']],
  ['a month by its name', lines(HEADER, 'X,"Nov 15, 2026",Meadow,40,47600,145,310.50'), []],
  ['years of two digits', lines(HEADER, 'X,11/15/26,Meadow,40,47600,145,310.50'), ['days-month-first']],
  ['thousands and currency', lines(HEADER, 'X,2026-11-15,Meadow,40,"47,600","$145","$310.50"'), []],
  ['units in the cells', lines(HEADER, 'X,2026-11-15,Meadow,40 bales,"47,600 lbs",$145/ton,310.50 USD'), []],
  [
    'headers in words, with units there or in the cells',
    lines(
      'Vendor,Date Purchased,Stack,# Bales,Net Weight,Price/Ton,Freight ($)',
      'X,2026-11-15,meadow,40,"47,600 lb",145,310.50',
    ),
    [],
  ],
  [
    'units in a second row of the header',
    lines(
      'Seller,Delivery date,Lot,Bales,Weight,Price,Freight',
      ',,,,(lb),$/ton,',
      'X,2026-11-15,Meadow,40,47600,145,310.50',
    ),
    [],
  ],
  [
    'decimal commas behind semicolons',
    lines(HEADER.replaceAll(',', ';'), 'X;15.11.2026;Meadow;40;47.600;145;310,50'),
    ['days-day-first', 'decimals-comma'],
  ],
  [
    'decimal commas behind tabs',
    lines(HEADER.replaceAll(',', '\t'), 'X\t2026-11-15\tMeadow\t40\t47600,0\t145\t310,50'),
    ['decimals-comma'],
  ],
  [
    'titles above, totals below, the header again',
    lines(
      'Hay bought 2026,,,,,,',
      'Home ranch,,,,,,',
      ',,,,,,',
      HEADER,
      'X,2026-11-15,Meadow,40,47600,145,310.50',
      HEADER,
      'Total,,,40,"47,600",,310.50',
    ),
    ['rows-above-header', 'header-again', 'total-row'],
  ],
  [
    'columns of their own',
    lines(`${HEADER},Driver,Invoice`, 'X,2026-11-15,Meadow,40,47600,145,310.50,Pat,A-17'),
    ['column-ignored', 'column-ignored'],
  ],
  [
    'Windows-1252',
    Buffer.from(lines(`${HEADER},note`, 'X,2026-11-15,Meadow,40,47600,145,310.50,Señor'), 'latin1'),
    ['read-as-windows-1252'],
  ],
  ['UTF-16', utf16(lines(HEADER, 'X,2026-11-15,Meadow,40,47600,145,310.50')), []],
  ['old line ends and empty lines', `${HEADER}\r\r\rX,2026-11-15,Meadow,40,47600,145,310.50\r\r`, []],
  [
    'days that could be either, with the word for it',
    lines(HEADER, 'X,15/11/2026,Meadow,40,47600,145,310.50'),
    ['days-day-first'],
    { dates: 'day-first' },
  ],
];

/** Each of these files can be meant in two ways, or in none: what is asked, and where. */
const ASKED: readonly (readonly [
  what: string,
  kind: string,
  file: string,
  asked: readonly (readonly [row: number, column: string, code: string])[],
])[] = [
  [
    'a day that can be either',
    'hay-tickets',
    lines(HEADER, 'X,11/12/2026,Meadow,40,47600,145,'),
    [[2, 'purchased_on', 'day-unclear']],
  ],
  [
    'days that show both orders',
    'hay-tickets',
    lines(HEADER, 'X,11/15/2026,Meadow,40,47600,145,', 'X,15/11/2026,Meadow,40,47601,145,'),
    [
      [2, 'purchased_on', 'day-unclear'],
      [3, 'purchased_on', 'day-unclear'],
    ],
  ],
  [
    'a mark that can be either',
    'hay-tickets',
    lines(HEADER.replaceAll(',', ';'), 'X;2026-11-15;Meadow;40;47,600;145;'),
    [[2, 'net_weight_lb', 'number-unclear']],
  ],
  [
    'a weight in another unit than its column',
    'hay-tickets',
    lines(HEADER, 'X,2026-11-15,Meadow,40,23.8 tons,145,'),
    [[2, 'net_weight_lb', 'unit-differs']],
  ],
  [
    'a price in another currency',
    'hay-tickets',
    lines(HEADER, 'X,2026-11-15,Meadow,40,47600,€145,'),
    [[2, 'price_usd_per_ton', 'other-currency']],
  ],
  [
    'a weight without any unit',
    'hay-tickets',
    lines('vendor,date,lot,weight,price_usd_per_ton', 'X,2026-11-15,Meadow,47600,145'),
    [
      [2, 'weight', 'unit-missing'],
      [2, 'net_weight_lb', 'missing'],
    ],
  ],
  [
    'a price column of another currency',
    'hay-tickets',
    lines(`${HEADER},freight_cad`, 'X,2026-11-15,Meadow,40,47600,145,1,99'),
    [[1, 'freight_cad', 'unknown-column']],
  ],
  [
    'two columns for one thing',
    'hay-tickets',
    lines(`${HEADER},Delivery date`, 'X,2026-11-15,Meadow,40,47600,145,1,2026-11-16'),
    [[1, 'purchased_on', 'column-twice']],
  ],
  [
    'half a thousand',
    'hay-tickets',
    lines(HEADER, 'X,2026-11-15,Meadow,40,"47,60",145,'),
    [[2, 'net_weight_lb', 'invalid-format']],
  ],
  [
    'a day that is none',
    'hay-tickets',
    lines(HEADER, 'X,2026-11-31,Meadow,40,47600,145,'),
    [[2, 'purchased_on', 'invalid-format']],
  ],
  [
    'a word for two things',
    'head-changes',
    lines('herd,kind,head,happened_on', 'Weaned calves,shipped,5,2026-12-01'),
    [[2, 'kind', 'invalid-value']],
  ],
  [
    'a row of notes under the table',
    'head-changes',
    lines('herd,kind,head,happened_on', 'Weaned calves,sold,5,2026-12-01', 'Checked by Pat,,,'),
    [
      [3, 'herd', 'no-such-name'],
      [3, 'kind', 'missing'],
      [3, 'head', 'missing'],
      [3, 'happened_on', 'missing'],
    ],
  ],
];

describe('a ticket as somebody wrote it down', () => {
  it.each(READ.map(([what, file, notices, query = {}]) => ({ what, file, notices, query })))(
    '$what',
    async ({ file, notices, query }) => {
      const tried = await check('hay-tickets', file, query);
      expect(tried.problems).toEqual([]);
      expect(tried).toMatchObject({ rowCount: 1, recordCount: 1 });
      expect(tried.notices.map((one) => one.code)).toEqual(notices);
      const made = await take('hay-tickets', file, query);
      expect(made.recordCount).toBe(1);
      expect(made.notices?.map((one) => one.code)).toEqual(notices);
      expect(await ticketsOf('X')).toMatchObject([{ ...MEANT, weight: { typed: { unit: 'lb' } } }]);
      expect(Number((await ticketsOf('X'))[0]?.weight.typed.value)).toBe(47_600);
    },
  );
});

describe('a file that can be meant in two ways', () => {
  it.each(ASKED.map(([what, kind, file, asked]) => ({ what, kind, file, asked })))(
    '$what',
    async ({ kind, file, asked }) => {
      const { problems } = await check(kind, file);
      expect(problems.map(({ row, column, code }) => [row, column, code])).toEqual(asked);
      for (const one of problems) expect(one.allowed).not.toBe('');
      await take(kind, file, {}, 422);
    },
  );

  it('is read as was asked', async () => {
    const either = lines(HEADER, 'X,11/12/2026,Meadow,40,47600,145,');
    await take('hay-tickets', either, { dates: 'day-first' });
    expect(await ticketsOf('X')).toMatchObject([{ purchasedOn: '2026-12-11' }]);
    const mark = lines(HEADER.replaceAll(',', ';'), 'Y;2026-11-15;Meadow;40;47,600;145;');
    await take('hay-tickets', mark, { decimals: 'point' });
    expect(await ticketsOf('Y')).toMatchObject([{ weight: { typed: { value: '47600', unit: 'lb' } } }]);
    // Asked for the order that a day cannot have, it is refused and not turned round.
    const wrong = lines(HEADER, 'X,11/15/2026,Meadow,40,47600,145,');
    expect((await check('hay-tickets', wrong, { dates: 'day-first' })).problems).toMatchObject([
      { row: 2, column: 'purchased_on', given: '11/15/2026' },
    ]);
  });
});

describe('words of other kinds of file', () => {
  it('head moves, weights, feedings and events are read by the words that people use', async () => {
    await take(
      'head-changes',
      lines(
        'Date,Pen,Event,Hd,Avg Wt (lbs)',
        '12/14/2026,WEANED CALVES,Bought,5,"1,150"',
        '12/20/2026,Weaned calves,Died,1,',
      ).replace('"1,150"', '560'),
    );
    const moves = (
      await operation.as.manager.get<{ items: { kind: string; head: number; happenedOn: string }[] }>(
        operation.at('/head-changes'),
        { expect: 200 },
      )
    ).body.items;
    expect(moves.slice(0, 2).map(({ kind, head, happenedOn }) => [kind, head, happenedOn])).toEqual([
      ['death', -1, '2026-12-20'],
      ['in', 5, '2026-12-14'],
    ]);
    await take(
      'animal-weights',
      lines(
        'Weigh date,Pen,Tag #,Wt,Fill',
        '1/12/2027,Weaned calves,A 1,561 lb,Full',
        '1/13/2027,Weaned calves,A 2,573.5 lb,FULL',
      ),
    );
    await take(
      'feedings',
      lines('Date,Herd,Hay,Method,Role,Amount', '2027-01-10,Weaned calves,Meadow,Bunk,Coarse,"1,150 lb"'),
    );
    const [fed] = (
      await operation.as.manager.get<{ items: { layers: { parts: { weight: unknown }[] }[] }[] }>(
        operation.at('/feedings'),
        { expect: 200 },
      )
    ).body.items;
    expect(fed?.layers[0]?.parts[0]?.weight).toMatchObject({ typed: { value: '1150', unit: 'lb' } });
  });

  it('a new lot is begun by words for its form and place', async () => {
    await take(
      'hay-tickets',
      lines(
        'Seller,Date,Lot,Ranch,Hay type,Bale type,Storage,Bales,Weight (lb),Price per ton',
        'X,2026-10-02,North stack,home ranch,Meadow Hay,Round Bale,Barn,40,"47,600",$145.00',
      ),
    );
    const lots = (
      await operation.as.manager.get<{ items: Record<string, unknown>[] }>(operation.at('/hay-lots'), { expect: 200 })
    ).body.items;
    expect(lots.find((one) => one['name'] === 'North stack')).toMatchObject({
      hayKind: 'meadow',
      baleForm: 'round',
      storageMethod: 'under-roof',
    });
  });
});

describe('what a check shows', () => {
  it('tells each cell as typed and as understood, and what it takes each header for', async () => {
    const shown = await check(
      'hay-tickets',
      lines('Vendor,Date,Stack,Weight,Price/ton,Driver', 'X,11/15/2026,meadow,"47,600 lb",$145,Pat'),
    );
    expect(shown.columns).toEqual([
      { header: 'Vendor', column: 'vendor', knownBy: 'name', ignored: false },
      { header: 'Date', column: 'purchased_on', knownBy: 'words', ignored: false },
      { header: 'Stack', column: 'lot', knownBy: 'words', ignored: false },
      { header: 'Weight', column: 'net_weight', knownBy: 'words', ignored: false },
      { header: 'Price/ton', column: 'price_usd_per_ton', knownBy: 'words', ignored: false },
      { header: 'Driver', column: null, knownBy: 'nothing', ignored: true },
    ]);
    const cells = Object.fromEntries((shown.rows[0]?.cells ?? []).map((cell) => [cell.column, cell]));
    expect(cells['purchased_on']).toMatchObject({ typed: '11/15/2026', understood: '2026-11-15', unit: null });
    expect(cells['net_weight_lb']).toMatchObject({ typed: '47,600 lb', understood: '47600', unit: 'lb' });
    expect(cells['price_usd_per_ton']).toMatchObject({ typed: '$145', understood: '145', unit: 'ton' });
    expect(cells['lot']).toMatchObject({ typed: 'meadow', understood: 'meadow', id: expect.any(String) as string });
  });

  it('what headers mean can be saved, for files of that kind and shape alone', async () => {
    const header = ['vendor', 'purchased_on', 'lot', 'Scale', 'price_usd_per_ton', 'Net total'];
    const file = lines(header.join(','), 'X,11/12/2026,Meadow,"47,600",145,3451');
    const before = await check('hay-tickets', file);
    expect(before.problems.map(({ row, code }) => [row, code])).toEqual([
      [1, 'unknown-column'],
      [2, 'day-unclear'],
    ]);
    const saved = await operation.as.manager.post<{ id: string; shape: string }>(
      operation.at('/import-mappings'),
      {
        kind: 'hay-tickets',
        header,
        columns: [
          { header: 'Scale', column: 'net_weight_lb' },
          { header: 'Net total', column: null },
        ],
        dates: 'month-first',
      },
      { expect: 201 },
    );
    expect(saved.body.shape).toBe(before.shape);
    const after = await check('hay-tickets', file);
    expect(after.problems).toEqual([]);
    expect(after.columns.map(({ column, knownBy }) => [column, knownBy]).slice(3)).toEqual([
      ['net_weight_lb', 'saved'],
      ['price_usd_per_ton', 'name'],
      [null, 'saved'],
    ]);
    await take('hay-tickets', file);
    expect(await ticketsOf('X')).toMatchObject([
      { purchasedOn: '2026-11-12', weight: { typed: { value: '47600', unit: 'lb' } } },
    ]);
    const list = await operation.as.hand.get<{ items: { id: string }[] }>(operation.at('/import-mappings'), {
      expect: 200,
    });
    expect(list.body.items.map(({ id }) => id)).toEqual([saved.body.id]);
    for (const [column, code] of [
      ['no_such_column', 'unknown-column'],
      ['vendor', undefined],
    ] as const) {
      const answer = await operation.as.manager.post<{ errors?: { code: string }[] }>(
        operation.at('/import-mappings'),
        {
          kind: 'hay-tickets',
          header,
          columns: [{ header: 'Scale', column }],
        },
      );
      expect(answer.body.errors?.[0]?.code).toBe(code);
    }
  });
});

const HEADERS = ['herd', 'kind', 'head', 'happened_on'];
const HEAD_ROW = textRow(1, HEADERS);
/** Five calves sold, with this as the cell of their number. */
const soldBy = (cell: string): string =>
  `${HEAD_ROW}<row r="2">${textCell('A2', 'Weaned calves')}${textCell('B2', 'sold')}${cell}` +
  `${textCell('D2', '2026-12-01')}</row>`;

describe('a workbook', () => {
  it('is read with its days and figures as typed', async () => {
    const cells: CellObject[][] = [
      [{ value: 'Hay bought' }],
      ['Seller', 'Date', 'Lot', 'Bales', 'Weight (lb)', 'Price/ton', 'Freight', 'Moisture'].map((value) => ({ value })),
      [
        { value: 'X' },
        { value: new Date(Date.UTC(2026, 10, 15)), type: Date, format: 'mm/dd/yyyy' },
        { value: 'Meadow' },
        { value: 40, type: Number },
        { value: 47_600, type: Number, format: '#,##0' },
        { value: 145, type: Number },
        { value: 310.5, type: Number, format: '#,##0.00' },
        { value: 0.145, type: Number, format: '0.0%' },
      ],
    ];
    const file = await writeXlsx(cells, { sheet: 'Tickets' }).toBuffer();
    const tried = await check('hay-tickets', file);
    expect(tried.problems).toEqual([]);
    expect(tried.notices.map((one) => one.code)).toEqual(['rows-above-header']);
    await take('hay-tickets', file);
    expect(await ticketsOf('X')).toMatchObject([{ ...MEANT, moisturePercent: '14.5' }]);
    // The same bytes again are the same file.
    expect((await take('hay-tickets', file)).recordCount).toBe(1);
    expect(await ticketsOf('X')).toHaveLength(1);
  });

  /** A ticket of 40 bales, of which the weight and the price are as given. */
  const bought = (weight: CellObject, price: CellObject): Promise<Buffer> =>
    writeXlsx(
      [
        ['Seller', 'Date', 'Lot', 'Bales', 'Weight (lb)', 'Price/ton'].map((value) => ({ value })),
        [{ value: 'X' }, { value: '15.11.2026' }, { value: 'Meadow' }, { value: 40, type: Number }, weight, price],
      ],
      { sheet: 'Tickets' },
    ).toBuffer();
  const PRICE: CellObject = { value: 145, type: Number };

  it.each<[string, CellObject, CellObject, [string | null, string][]]>([
    [
      'text in which a point may stand between thousands',
      { value: '47.600' },
      PRICE,
      [['net_weight_lb', 'number-unclear']],
    ],
    [
      'a format that shows another currency',
      { value: 47_600, type: Number },
      { ...PRICE, format: '[$€-407]\\ #,##0.00' },
      [['price_usd_per_ton', 'other-currency']],
    ],
    [
      'a format that shows another unit',
      { value: 23.8, type: Number, format: '0.00" ton"' },
      PRICE,
      [['net_weight_lb', 'unit-differs']],
    ],
  ])('is asked about %s', async (_what, weight, price, asked) => {
    const { problems } = await check('hay-tickets', await bought(weight, price));
    expect(problems.map(({ column, code }) => [column, code])).toEqual(asked);
  });

  it.each<[string, CellObject, CellObject]>([
    ['text with a comma between thousands', { value: '47,600 lb' }, PRICE],
    [
      'formats that show its own unit and currency',
      { value: 47_600, type: Number, format: '#,##0" lb"' },
      {
        ...PRICE,
        format: '"$"#,##0.00_);\\("$"#,##0.00\\)',
      },
    ],
    ['a plain number beside text that shows a decimal comma', { value: 47_600, type: Number }, { value: '145,00' }],
  ])('is read with %s', async (_what, weight, price) => {
    const file = await bought(weight, price);
    expect((await check('hay-tickets', file)).problems).toEqual([]);
    await take('hay-tickets', file);
    expect(await ticketsOf('X')).toMatchObject([{ purchasedOn: '2026-11-15', weight: MEANT.weight }]);
  });

  it('says how many of its rows are hidden', async () => {
    const rows = soldBy('<c r="C2"><v>5</v></c>').replace('<row r="2"', '<row r="2" hidden="1"');
    const { notices } = await check('head-changes', workbook({ Moves: rows }));
    expect(notices.map(({ code }) => code)).toEqual(['hidden-rows']);
  });

  it('counts formulas with the values that were saved, and says so; other sheets are named', async () => {
    const file = workbook({
      Cover: textRow(1, ['Our books']),
      Moves: soldBy('<c r="C2"><f>2+3</f><v>5</v></c>'),
    });
    const tried = await check('head-changes', file);
    expect(tried.problems).toEqual([]);
    expect(tried.rows[0]?.cells.find((one) => one.column === 'head')?.understood).toBe('5');
    expect(tried.notices.map((one) => one.code)).toEqual(['formulas', 'other-sheets']);
  });

  it.each([
    ['a formula whose value was not saved', '<c r="C2"><f>2+3</f></c>', 'formula-without-value'],
    ['an error', '<c r="C2" t="e"><f>1/0</f><v>#DIV/0!</v></c>', 'error-in-cell'],
  ])('with %s is asked about', async (_what, cell, code) => {
    const file = workbook({
      Moves: soldBy(cell),
    });
    const { problems } = await check('head-changes', file);
    expect(problems.map((one) => [one.row, one.column, one.code])).toContainEqual([2, 'C2', code]);
    await take('head-changes', file, {}, 422);
  });

  it('that is none, is damaged, unpacks to too much or has cells far outside is refused unread', async () => {
    const codes = async (file: Buffer): Promise<string[]> =>
      (await check('head-changes', file)).problems.map((one) => one.code);
    expect(await codes(Buffer.from(zipSync({ 'a.txt': strToU8('no workbook') })))).toEqual(['not-a-workbook']);
    expect(await codes(workbook({ Moves: HEAD_ROW }).subarray(0, 700))).toEqual(['not-a-workbook']);
    const large = Buffer.from(zipSync({ 'xl/worksheets/sheet1.xml': new Uint8Array(70_000_000) }, { level: 6 }));
    expect(large.length).toBeLessThan(1_000_000);
    for (const [file, code] of [
      [workbook({ Moves: `${HEAD_ROW}${textRow(1_048_576, ['x'])}` }), 'too-many-rows'],
      [large, 'workbook-too-large'],
    ] as const) {
      const answer = await operation.as.manager.post<{ type: string; errors: { code: string }[] }>(
        operation.at('/imports/head-changes/check'),
        file,
        { headers: { 'Content-Type': MEDIA_TYPES.xlsx }, key: null, expect: 422 },
      );
      expect([answer.body.type, answer.body.errors[0]?.code]).toEqual(['/problems/file-too-large', code]);
    }
  });
});

describe('cattle as they are bought and sold', () => {
  interface Priced {
    kind: string;
    price: { basis: string; amount: string; per: string; worth: { amount: string }; party: string | null } | null;
  }
  const prices = async (): Promise<Priced[]> =>
    (await operation.as.owner.get<{ items: Priced[] }>(operation.at('/head-changes'), { expect: 200 })).body.items;

  /* 20 head at $1,250 are $25,000. 20 head of 700 lb less 2 % are 13,720 lb: at $250 for a hundredweight, $34,300. */
  it('are read with their prices, by the head and by weight', async () => {
    const sold = lines(
      'Date,Pen,Event,Hd,Avg Weight,Price,Pencil shrink,Bought from',
      '11/15/2026,Weaned calves,In,20,,"$1,250/head",,A neighbor',
      '12/20/2026,Weaned calves,Sale,20,700 lb,$250/cwt,2%,An auction',
    );
    expect((await check('head-changes', sold)).problems).toEqual([]);
    await take('head-changes', sold);
    const told = (await prices()).filter(({ price }) => price !== null);
    expect(told.map(({ kind, price }) => [kind, price?.basis, price?.per, price?.worth.amount, price?.party])).toEqual([
      ['sale', 'per-mass', 'cwt', '34300.00', 'An auction'],
      ['in', 'per-head', 'head', '25000.00', 'A neighbor'],
    ]);
  });

  it('have no price where the row has none, and what belongs to one is asked about', async () => {
    const file = lines(
      'herd,kind,head,happened_on,price_usd_per_head,party',
      'Weaned calves,in,5,2026-11-16,,',
      'Weaned calves,in,6,2026-11-17,,A neighbor',
    );
    expect((await check('head-changes', file)).problems.map((one) => [one.row, one.column, one.code])).toEqual([
      [3, 'party', 'price-missing'],
    ]);
    const byWeight = lines('herd,kind,head,happened_on,price_usd_per_cwt', 'Weaned calves,sale,5,2026-11-16,250');
    expect((await check('head-changes', byWeight)).problems).toHaveLength(1);
  });
});
