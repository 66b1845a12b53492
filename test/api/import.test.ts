/* Files of records: read as they come, tried without saving, taken in whole or not at all, once. */
import type { Operation } from '../support/people.js';
import { clientOf, join, operationWith, person } from '../support/people.js';
import { balance, herd, lot, ranch } from '../support/things.js';
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
interface RowProblem {
  row: number;
  column: string | null;
  code: string;
  given: string | null;
  allowed: string;
  message: string;
}
interface Check {
  rowCount: number;
  recordCount: number;
  problemCount: number;
  problems: RowProblem[];
  separator: string;
  alreadyImported: string | null;
  fileSha256: string;
}
interface Import {
  id: string;
  state: string;
  rowCount: number;
  rowsDone: number;
  recordCount: number;
  fileSha256: string;
}
interface Refusal {
  type: string;
  detail: string;
  errors: { parameter: string; code: string; given?: string; allowed: string; message: string }[];
}

const check = async (kind: string, text: string, client = operation.as.manager): Promise<Check> =>
  (await client.post<Check>(operation.at(`/imports/${kind}/check`), text, { ...CSV, key: null, expect: 200 })).body;
const take = async (kind: string, text: string, client = operation.as.manager): Promise<Import> =>
  (await client.post<Import>(operation.at(`/imports/${kind}`), text, { ...CSV, expect: 201 })).body;
const refusal = async (kind: string, text: string): Promise<Refusal> =>
  (await operation.as.manager.post<Refusal>(operation.at(`/imports/${kind}`), text, { ...CSV, expect: 422 })).body;
/** The records that an import made, in the order of the file. */
const madeBy = async ({ id }: Import): Promise<string[]> =>
  (
    await operation.as.manager.get<{ items: { recordId: string }[] }>(operation.at(`/imports/${id}/records`), {
      expect: 200,
    })
  ).body.items.map((one) => one.recordId);
const reverse = async (path: string, ids: readonly (string | undefined)[]): Promise<void> => {
  for (const id of ids)
    await operation.as.manager.post(operation.at(`/${path}/${id}/reversal`), { reason: 'wrong file' }, { expect: 201 });
};
const countOf = async (path: string): Promise<number> =>
  (await operation.as.manager.get<{ items: unknown[] }>(operation.at(path), { query: { limit: '200' }, expect: 200 }))
    .body.items.length;
const COWS = {
  name: 'Cows',
  cattleClass: 'dry-pregnant-cow',
  sex: 'cow',
  bodyWeight: { value: '1250', unit: 'lb' },
} as const;
const lines = (...rows: string[]): string => `${rows.join('\n')}\n`;

const TICKETS = lines(
  'vendor,purchased_on,lot,ranch,hay_kind,bale_form,storage_method,bale_count,net_weight_lb,gross_weight_lb,' +
    'tare_weight_lb,mean_bale_weight_lb,bales_weighed,bale_weight_sd_lb,price_usd_per_ton,price_usd_per_bale,' +
    'price_usd_lump_sum,freight_usd,charges_usd,moisture_percent,note',
  'Creek bottom hay,2026-10-02,"Meadow, first cutting",Home ' +
    'ranch,meadow,round,tarp,40,47600,,,,,,145,,,310.50,,14.5,"Said ""dry"""',
  'Bench fields,2026-10-09,Alfalfa,Home ranch,alfalfa,large-square,under-roof,24,,61240,28860,,,,,118,,,12.25,,',
  'Bench fields,2026-10-12,Alfalfa,,,,,20,,,,1349.2,10,41.5,,,2900,,,,',
);

describe('a file of hay tickets', () => {
  it('is tried first, and then makes lots, ledger and money to the digit', async () => {
    expect(await check('hay-tickets', TICKETS)).toMatchObject({
      rowCount: 3,
      recordCount: 3,
      problemCount: 0,
      problems: [],
      separator: 'comma',
      alreadyImported: null,
    });
    expect(await countOf('/hay-purchases')).toBe(0);
    const made = await take('hay-tickets', TICKETS);
    expect(made).toMatchObject({ state: 'done', rowCount: 3, rowsDone: 3, recordCount: 3 });
    const tickets = (
      await operation.as.manager.get<{ items: Record<string, unknown>[] }>(operation.at('/hay-purchases'), {
        expect: 200,
      })
    ).body.items;
    expect(tickets.find((one) => one['vendor'] === 'Creek bottom hay')).toMatchObject({
      baleCount: 40,
      weight: { typed: { value: '47600', unit: 'lb' } },
      price: { basis: 'per-mass', amount: '145', per: 'ton' },
      hayCost: { amount: '3451.00' },
      freight: { amount: '310.50' },
      landedCost: { amount: '3761.50' },
      moisturePercent: '14.5',
      note: 'Said "dry"',
    });
    expect(tickets.find((one) => one['purchasedOn'] === '2026-10-09')).toMatchObject({
      weightBasis: 'scale-ticket',
      weight: { typed: { value: '32380', unit: 'lb' } },
      hayCost: { amount: '2832.00' },
      landedCost: { amount: '2844.25' },
    });
    expect(tickets.find((one) => one['purchasedOn'] === '2026-10-12')).toMatchObject({
      weightBasis: 'weighed-bales',
      weighing: { meanBaleWeight: { value: '1349.2', unit: 'lb' }, balesWeighed: 10 },
      hayCost: { amount: '2900.00' },
    });
    const lots = (
      await operation.as.manager.get<{ items: { name: string; balance: { value: string } }[] }>(
        operation.at('/hay-lots'),
        { expect: 200 },
      )
    ).body.items;
    // 32,380 lb and 20 bales of 1,349.2 lb are 59,364 lb, 29.682 short tons.
    expect(lots.map((one) => [one.name, one.balance.value])).toEqual([
      ['Alfalfa', '29.682'],
      ['Meadow, first cutting', '23.8'],
    ]);
    const records = (
      await operation.as.manager.get<{ items: { row: number; recordKind: string }[] }>(
        operation.at(`/imports/${made.id}/records`),
        { expect: 200 },
      )
    ).body.items;
    expect(records.map((one) => [one.row, one.recordKind])).toEqual([
      [2, 'hay-purchase'],
      [3, 'hay-purchase'],
      [4, 'hay-purchase'],
    ]);
  });

  it(
    'is taken in once: the same file again is answered with the first import, also with another key and a byte ' +
      'order mark',
    async () => {
      const first = await take('hay-tickets', TICKETS);
      const again = await take('hay-tickets', `\uFEFF${TICKETS}`);
      expect(again).toEqual(first);
      expect(await countOf('/hay-purchases')).toBe(3);
      expect((await check('hay-tickets', TICKETS)).alreadyImported).toBe(first.id);
    },
  );

  it('whose records were all reversed is entered again', async () => {
    const first = await take('hay-tickets', TICKETS);
    await reverse('hay-purchases', await madeBy(first));
    expect(await check('hay-tickets', TICKETS)).toMatchObject({ alreadyImported: null, recordCount: 3 });
    const again = await take('hay-tickets', TICKETS);
    expect(again.id).not.toBe(first.id);
    expect(again).toMatchObject({ state: 'done', recordCount: 3 });
    expect(await take('hay-tickets', TICKETS)).toEqual(again);
    expect((await check('hay-tickets', TICKETS)).alreadyImported).toBe(again.id);
  });

  it('of head moves and of events enters again the rows whose records were reversed, and no other', async () => {
    const cows = await herd(operation, ranchId, { ...COWS, head: 0 });
    const moves = lines('herd,kind,head,happened_on', 'Cows,in,100,2026-10-01', 'Cows,in,20,2026-10-08');
    const [, late] = await madeBy(await take('head-changes', moves));
    await reverse(`herds/${cows}/head-changes`, [late]);
    expect(await check('head-changes', moves)).toMatchObject({ alreadyImported: null, recordCount: 1 });
    expect(await take('head-changes', moves)).toMatchObject({ rowCount: 2, recordCount: 1 });
    const head = await operation.as.manager.get<{ head: number }>(operation.at(`/herds/${cows}`), { expect: 200 });
    expect(head.body.head).toBe(120);

    const events = lines(
      'herd,kind,happened_on,last_on,service,head_checked,head_open,score',
      'Cows,bred,2026-06-01,2026-08-02,bull,,,',
      'Cows,pregnancy-check,2026-10-05,,,100,9,',
      'Cows,condition,2026-12-01,,,,,5.5',
    );
    const [, checked] = await madeBy(await take('herd-events', events));
    await reverse(`herds/${cows}/events`, [checked]);
    const again = await take('herd-events', events);
    expect(again).toMatchObject({ rowCount: 3, recordCount: 1 });
    await reverse(`herds/${cows}/events`, await madeBy(again));
    expect(await take('herd-events', events)).toMatchObject({ recordCount: 1 });
    const state = await operation.as.manager.get<{ calving: { openPercent: number } }>(
      operation.at(`/herds/${cows}/state`),
      { query: { on: '2026-12-02' }, expect: 200 },
    );
    expect(state.body.calving.openPercent).toBe(9);
  });

  it('sent twice at the same moment is taken in once', async () => {
    const both = await Promise.all([
      take('hay-tickets', TICKETS),
      take('hay-tickets', TICKETS),
      take('hay-tickets', TICKETS),
    ]);
    expect(new Set(both.map((one) => one.id)).size).toBe(1);
    expect(await countOf('/hay-purchases')).toBe(3);
  });

  it('shows every problem by row and column, and saves nothing', async () => {
    const text = lines(
      'vendor,purchased_on,lot,ranch,hay_kind,bale_form,storage_method,bale_count,net_weight_lb,net_weight_kg,' +
        'gross_weight_lb,tare_weight_lb,price_usd_per_ton,price_usd_per_bale,freight_usd',
      'A,2026-10-02,Good,Home ranch,meadow,round,tarp,40,47600,,,,145,,',
      ',10/03/2026,New,Nowhere,hay,rond,tarp,4.5,"47,60",,,,145,,-3',
      'B,2026-10-04,Good,,,,,,40000,18000,,,145,,',
      'C,2026-10-05,Good,,,,,,40000,,61000,28000,145,,',
      'D,2026-10-06,Good,,,,,,,,28000,61000,145,,',
      'E,2026-10-07,Good,,,,,,,,,,145,,',
      'F,2026-10-08,Good,,,,,,40000,,,,,,',
      'G,2026-10-09,Good,,,,,,40000,,,,,118,',
    );
    const { problems, problemCount } = await check('hay-tickets', text);
    expect(problems.map((one) => [one.row, one.column, one.given])).toEqual(
      [
        [3, 'purchased_on', '10/03/2026'],
        [3, 'ranch', 'Nowhere'],
        [3, 'vendor', null],
        [3, 'hay_kind', 'hay'],
        [3, 'bale_form', 'rond'],
        [3, 'bale_count', '4.5'],
        [3, 'net_weight_lb', '47,60'],
        [3, 'freight_usd', '-3'],
        [4, 'net_weight_kg', '18000'],
        [5, 'net_weight_lb', '40000'],
        [6, 'tare_weight_lb', '61000'],
        [7, 'net_weight_lb', null],
        [8, 'price_usd_per_ton', null],
        [9, 'bale_count', null],
      ].sort((a, b) => Number(a[0]) - Number(b[0])),
    );
    expect(problemCount).toBe(problems.length);
    for (const one of problems) expect([one.allowed.length > 0, one.message.length > 0]).toEqual([true, true]);
    const refused = await refusal('hay-tickets', text);
    expect(refused.type).toBe('/problems/import-refused');
    expect(refused.errors).toHaveLength(problems.length);
    expect(refused.errors.find((one) => one.parameter === 'row 3, column net_weight_lb')).toMatchObject({
      given: '47,60',
    });
    expect(await countOf('/hay-purchases')).toBe(0);
    expect(await countOf('/hay-lots')).toBe(0);
    const imports = (await operation.as.manager.get<{ items: Import[] }>(operation.at('/imports'), { expect: 200 }))
      .body.items;
    expect(imports.map((one) => [one.state, one.recordCount])).toEqual([['refused', 0]]);
  });
});

describe('a file as it comes', () => {
  const rows = [
    [
      'vendor',
      'purchased_on',
      'lot',
      'ranch',
      'hay_kind',
      'bale_form',
      'storage_method',
      'net_weight_lb',
      'price_usd_per_ton',
    ],
    ['Bench "upper", fields', '2026-10-02', 'Lot; one', 'Home ranch', 'meadow', 'round', 'tarp', '40000', '150'],
  ];
  const quoted = (cell: string): string => `"${cell.replaceAll('"', '""')}"`;
  it.each([
    ['comma, LF', ',', '\n', '', 'comma'],
    ['semicolon, CRLF', ';', '\r\n', '', 'semicolon'],
    ['tab, CR, byte order mark', '\t', '\r', '\uFEFF', 'tab'],
    ['comma, CRLF, byte order mark', ',', '\r\n', '\uFEFF', 'comma'],
  ])('%s', async (_name, separator, end, mark, word) => {
    const text = mark + rows.map((row) => row.map(quoted).join(separator)).join(end) + end + end;
    expect(await check('hay-tickets', text)).toMatchObject({ separator: word, rowCount: 1, problemCount: 0 });
  });

  it('says what is wrong with its form', async () => {
    const codes = async (text: string): Promise<(string | number | null)[][]> =>
      (await check('head-changes', text)).problems.map((one) => [one.row, one.column, one.code]);
    expect(await codes('')).toEqual([[1, null, 'no-header']]);
    expect(await codes('herd,kind,head,happened_on\n')).toEqual([[2, null, 'no-rows']]);
    expect(await codes('herd,kind,head,happened_on,weight\nCows,in,5,2026-11-01,3\n')).toEqual([
      [1, 'weight', 'unknown-column'],
    ]);
    expect(await codes('herd,kind,kind,happened_on\nCows,in,in,2026-11-01\n')).toEqual([
      [1, 'kind', 'column-twice'],
      [1, 'head', 'missing'],
    ]);
    expect(await codes('herd,kind,head,happened_on\n"Cows,in,5,2026-11-01\n')).toEqual([[2, null, 'not-csv']]);
    expect(await codes('herd,kind,head,happened_on\nNobody,in,5,2026-11-01,oops\n')).toEqual([
      [2, null, 'cell-without-column'],
      [2, 'herd', 'no-such-name'],
    ]);
  });

  it('is read in UTF-16 and Windows-1252 too, and refused with the line where it is no text', async () => {
    await herd(operation, ranchId, { name: 'Cañon', head: 0 });
    const text = 'herd,kind,head,happened_on\nCañon,in,5,2026-11-01\n';
    const read = async (bytes: Buffer): Promise<Check & { notices: { code: string }[] }> =>
      (
        await operation.as.manager.post<Check & { notices: { code: string }[] }>(
          operation.at('/imports/head-changes/check'),
          bytes,
          { ...CSV, key: null, expect: 200 },
        )
      ).body;
    const plain = await read(Buffer.from(text));
    expect(plain).toMatchObject({ problemCount: 0, recordCount: 1, notices: [] });
    const latin = await read(Buffer.from(text, 'latin1'));
    expect(latin).toMatchObject({ problemCount: 0, recordCount: 1, fileSha256: plain.fileSha256 });
    expect(latin.notices.map((one) => one.code)).toEqual(['read-as-windows-1252']);
    const little = Buffer.from(`\uFEFF${text}`, 'utf16le');
    for (const wide of [little, Buffer.from(little).swap16()])
      expect(await read(wide)).toMatchObject({ problemCount: 0, recordCount: 1, fileSha256: plain.fileSha256 });
    const broken = await operation.as.manager.post<Refusal>(
      operation.at('/imports/head-changes/check'),
      Buffer.concat([Buffer.from('herd,kind\nCows,in\nCa'), Buffer.from([0xf1, 0x81]), Buffer.from('on,in\n')]),
      { ...CSV, expect: 400 },
    );
    expect(broken.body.errors[0]).toMatchObject({ parameter: 'row 3', code: 'not-utf-8' });
  });

  it('of more than 20,000 rows is answered clearly, and one too long is not read', async () => {
    const many = `herd,kind,head,happened_on\n${'Cows,in,5,2026-11-01\n'.repeat(50_000)}`;
    expect((await refusal('head-changes', many)).errors).toEqual([
      expect.objectContaining({ code: 'too-many-rows', given: '50000', allowed: 'at most 20000 rows in one file' }),
    ]);
    await operation.as.manager.post(operation.at('/imports/head-changes'), `herd\n${'x'.repeat(8_400_000)}`, {
      ...CSV,
      expect: 413,
    });
  });

  it('is taken as CSV at these addresses only, and these take nothing else', async () => {
    await operation.as.manager.post(operation.at('/ranches'), 'name\nHome\n', { ...CSV, expect: 415 });
    await operation.as.manager.post(operation.at('/imports/feedings'), {}, { expect: 415 });
  });
});

describe('what a file may do', () => {
  it(
    'a hand takes in feedings and weights, not tickets; a ' + 'nutritionist and an accountant take in nothing',
    async () => {
      const herdId = await herd(operation, ranchId);
      const text = `herd,weighed_on,fill,visual_tag,weight_lb\n${herdId},2027-01-12,full,A 1,561\n`;
      expect(await take('animal-weights', text, operation.as.hand)).toMatchObject({ recordCount: 1 });
      await operation.as.hand.post(operation.at('/imports/hay-tickets'), TICKETS, { ...CSV, expect: 403 });
      for (const who of ['nutritionist', 'accountant'] as const)
        await operation.as[who].post(operation.at('/imports/feedings'), text, { ...CSV, expect: 403 });
    },
  );

  it('a manager without prices enters prices all the same, and reads none', async () => {
    const who = await person(world, 'manager without prices');
    await join(world, who, operation.id, 'manager', { seesPrices: false });
    const client = await clientOf(world, who);
    expect(await take('hay-tickets', TICKETS, client)).toMatchObject({ recordCount: 3 });
    const seen = (await client.get<{ items: { price: unknown }[] }>(operation.at('/hay-purchases'), { expect: 200 }))
      .body.items;
    expect(seen.map((one) => one.price)).toEqual([null, null, null]);
  });

  it('names of another operation are not there', async () => {
    const other = await operationWith(world);
    await ranch(other, { name: 'Far ranch' });
    const { problems } = await check('hay-tickets', TICKETS.replace('Home ranch', 'Far ranch'));
    expect(problems[0]).toMatchObject({ row: 2, column: 'ranch', code: 'no-such-name', given: 'Far ranch' });
  });
});

describe('feedings, weights, tests and head moves', () => {
  it('a feeding of several rows keeps its layers in build order, and mixed parts', async () => {
    const herdId = await herd(operation, ranchId);
    const [coarse, rich] = [
      await lot(operation, ranchId, { name: 'Coarse', baleCount: 40 }),
      await lot(operation, ranchId, { name: 'Rich', hayKind: 'alfalfa' }),
    ];
    const text = lines(
      'feeding,herd,fed_on,method,weather,blended,layer,role,lot,weight_lb,weight_kg,bales,wasted_lb,refused_kg',
      '7,Weaned calves,2027-01-10,windrow-on-ground,frost,no,2,mixed,Coarse,100,,,,',
      '7,Weaned calves,2027-01-10,,,,2,mixed,Rich,,50,,,',
      '7,Weaned calves,2027-01-10,,,,1,coarse,Coarse,,,1.5,90,12.5',
    );
    const made = await take('feedings', text);
    expect(made).toMatchObject({ rowCount: 3, recordCount: 1 });
    const [one] = (
      await operation.as.manager.get<{ items: Record<string, unknown>[] }>(operation.at('/feedings'), { expect: 200 })
    ).body.items;
    expect(one).toMatchObject({
      herdId,
      headFed: 100,
      weather: 'frost',
      wasted: { typed: { value: '90', unit: 'lb' } },
      refused: { typed: { value: '12.5', unit: 'kg' } },
      layers: [
        {
          position: 1,
          role: 'coarse',
          parts: [{ hayLotId: coarse.lotId, weight: { typed: { value: '1.5', unit: 'bale' } } }],
        },
        {
          position: 2,
          role: 'mixed',
          parts: [
            { hayLotId: coarse.lotId, weight: { typed: { value: '100', unit: 'lb' } } },
            { hayLotId: rich.lotId, weight: { typed: { value: '50', unit: 'kg' } } },
          ],
        },
      ],
    });
  });

  it('a draw below zero is named by its row, and the others are not hidden by it', async () => {
    await herd(operation, ranchId);
    const { lotId } = await lot(operation, ranchId, { name: 'Small', tons: '1' });
    const text = lines(
      'herd,fed_on,method,role,lot,weight_lb',
      'Weaned calves,2027-01-08,bunk,coarse,Small,1500',
      'Weaned calves,2027-01-09,bunk,coarse,Small,600',
      'Weaned calves,2027-01-10,bunk,coarse,Small,500',
      'Nobody,2027-01-11,bunk,coarse,Small,1',
      'Weaned calves,2026-10-01,bunk,coarse,Small,1',
    );
    const { problems } = await check('feedings', text);
    expect(problems.map((one) => [one.row, one.column, one.code])).toEqual([
      [3, 'lot', 'lot-short'],
      [5, 'herd', 'no-such-name'],
      [6, 'head_fed', 'nobody-to-feed'],
    ]);
    expect(await balance(operation, lotId)).toBe('1');
    await refusal('feedings', text);
    expect(await balance(operation, lotId)).toBe('1');
    await take('feedings', lines(...text.split('\n').filter((_, index) => index !== 2 && index < 4)));
    expect(await balance(operation, lotId)).toBe('0');
  });

  it('animals with the same tag, tags of the wrong form and rows that differ are named by cell', async () => {
    await herd(operation, ranchId);
    const text = lines(
      'weigh_in,herd,weighed_on,fill,visual_tag,electronic_id,weight_lb',
      '1,Weaned calves,2027-01-12,full,A 1,,561',
      '1,Weaned calves,2027-01-12,full,A 1,,570',
      '2,Weaned calves,2027-01-13,full,,12345,561',
      '2,Weaned calves,2027-01-14,full,,,0',
      '3,Weaned calves,2027-01-15,halfway,B 1,,550',
    );
    const { problems } = await check('animal-weights', text);
    expect(problems.map((one) => [one.row, one.column, one.code])).toEqual([
      [3, 'visual_tag', 'animal-twice'],
      [4, 'electronic_id', 'tag-not-15-digits'],
      [5, 'weighed_on', 'differs-within-record'],
      [5, 'weight_lb', 'custom'],
      [5, 'visual_tag', 'missing'],
      [6, 'fill', 'invalid-value'],
    ]);
  });

  it('group weights, lab tests and head moves go the same road', async () => {
    await herd(operation, ranchId);
    await herd(operation, ranchId, { name: 'Sick pen', head: 0 });
    await lot(operation, ranchId, { name: 'Coarse' });
    await take(
      'group-weights',
      lines(
        'herd,weighed_on,fill,hours_off_feed,head,total_weight_lb,mean_weight_kg',
        'Weaned calves,2027-01-12,shrunk,12,98,53725.5,',
        'Weaned calves,2027-01-14,full,,98,,251.25',
      ),
    );
    const weighIns = (
      await operation.as.manager.get<{ items: Record<string, unknown>[] }>(operation.at('/weigh-ins'), { expect: 200 })
    ).body.items;
    expect(weighIns).toMatchObject([
      { measure: 'mean', meanWeight: { typed: { value: '251.25', unit: 'kg' } } },
      { measure: 'total', hoursOffFeed: '12', meanWeight: { typed: { value: '53725.5', unit: 'lb' } } },
    ]);
    await take(
      'lab-tests',
      lines(
        'lot,lab,sampled_on,method,basis,dry_matter_percent,crude_protein_percent,acid_detergent_fiber_percent,' +
          'neutral_detergent_fiber_percent,nitrate_ppm_no3_n',
        'Coarse,Forage laboratory,2026-11-05,near-infrared,dry-matter,88.4,9.1,37.2,58.6,310',
      ),
    );
    const impossible = await check(
      'lab-tests',
      lines(
        'lot,lab,sampled_on,method,basis,dry_matter_percent,crude_protein_percent,acid_detergent_fiber_percent,' +
          'neutral_detergent_fiber_percent',
        'Coarse,L,2026-11-05,near-infrared,dry-matter,88.4,55,60,50',
      ),
    );
    expect(impossible.problems.map((one) => [one.row, one.column]).slice(0, 2)).toEqual([
      [2, 'crude_protein_percent'],
      [2, 'acid_detergent_fiber_percent'],
    ]);
    await take(
      'head-changes',
      lines(
        'herd,kind,head,happened_on,to_herd,mean_weight_lb',
        'Weaned calves,move,4,2027-01-05,Sick pen,540',
        'Sick pen,death,1,2027-01-09,,',
      ),
    );
    await herd(operation, ranchId, COWS);
    const events = lines(
      'herd,kind,happened_on,last_on,service,head_checked,head_open,score,cattle_class,daily_gain_lb',
      'Cows,bred,2026-06-01,2026-08-02,bull,,,,,',
      'Cows,pregnancy-check,2026-10-05,,,100,9,,,',
      'Cows,condition,2026-12-01,,,,,5.5,,',
      'Weaned calves,target-gain,2026-12-01,,,,,,,1.25',
    );
    await take('herd-events', events);
    const wrong = await check(
      'herd-events',
      lines(
        'herd,kind,happened_on,last_on,service,score',
        'Cows,bred,2026-06-01,2026-05-02,bull,',
        'Cows,condition,2026-12-01,,,11',
        'Weaned calves,bred,2026-06-01,,bull,',
        'Cows,condition,2026-12-01,,,',
      ),
    );
    expect(wrong.problems.map((one) => [one.row, one.column])).toEqual([
      [2, 'last_on'],
      [3, 'score'],
      [4, 'kind'],
      [5, 'score'],
    ]);
    const overdrawn = await check(
      'head-changes',
      lines('herd,kind,head,happened_on,to_herd', 'Sick pen,sale,9,2027-01-10,', 'Sick pen,move,1,2027-01-10,'),
    );
    expect(overdrawn.problems.map((one) => [one.row, one.column, one.code])).toEqual([
      [2, null, 'herd-short'],
      [3, 'to_herd', 'move-needs-a-herd'],
    ]);
  });

  it('lists its columns with their units, and gives sample files that can be taken in', async () => {
    // Not the head of the sample, which would be there already.
    await herd(operation, ranchId, { head: 99 });
    await herd(operation, ranchId, { name: 'Sick pen', head: 0 });
    const { kinds } = (
      await operation.as.hand.get<{
        kinds: { kind: string; columns: { name: string; need: string }[]; sample: string }[];
      }>(operation.at('/import-columns'), { expect: 200 })
    ).body;
    expect(kinds.map((one) => one.kind)).toEqual([
      'hay-tickets',
      'lab-tests',
      'feedings',
      'animal-weights',
      'group-weights',
      'head-changes',
      'herd-events',
      'hay-observations',
      'harvests',
      'hay-sales',
      'hay-transfers',
      'stock-counts',
      'late-costs',
      'yardage-rates',
    ]);
    expect(kinds[0]?.columns.map((one) => one.name)).toEqual(
      expect.arrayContaining(['net_weight_lb', 'net_weight_kg', 'price_usd_per_ton', 'freight_usd']),
    );
    for (const { kind, sample } of kinds) {
      const file = await operation.as.manager.get(sample, { expect: 200 });
      expect(await check(kind, file.text)).toMatchObject({ problems: [] });
      await take(kind, file.text);
    }
  });

  it('prices carry the currency of the operation', async () => {
    const abroad = await operationWith(world, { currency: 'CAD', unitPreference: 'metric' });
    const { kinds } = (
      await abroad.as.manager.get<{ kinds: { columns: { name: string }[] }[] }>(abroad.at('/import-columns'), {
        expect: 200,
      })
    ).body;
    expect(kinds[0]?.columns.some((one) => one.name === 'price_cad_per_t')).toBe(true);
    const refused = await abroad.as.manager.post<Check>(abroad.at('/imports/hay-tickets/check'), TICKETS, {
      ...CSV,
      key: null,
      expect: 200,
    });
    expect(refused.body.problems.find((one) => one.column === 'price_usd_per_ton')).toMatchObject({
      row: 1,
      code: 'unknown-column',
    });
  });

  it('a check can be read as a table, and money and ledger never hold half a file', async () => {
    const text = lines('herd,kind,head,happened_on', '=HYPERLINK("x"),in,5,2026-11-01');
    const asCsv = await operation.as.manager.post(
      operation.at('/imports/head-changes/check'),
      text.replace('=HYPERLINK("x")', '"=HYPERLINK(""x"")"'),
      { headers: { ...CSV.headers, Accept: 'text/csv' }, key: null, expect: 200 },
    );
    expect(asCsv.text).toContain('2,herd,no-such-name,"\'=HYPERLINK(""x"")"');
  });
});
