import { execFile } from 'node:child_process';
import { chmodSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { promisify } from 'node:util';
import { parse } from 'csv-parse/sync';
import { demoState, loadDemo } from '../../seed/load-demo.js';
import { readScenario } from '../../seed/scenario.schema.js';
import { snapshot } from '../support/snapshot.js';
import { barriersOf, slipsOf } from '../support/page-structure.js';
import { signedInToPages, walkedPages } from '../support/walked-pages.js';
import { openWorld, type World } from '../support/world.js';

/**
 * The README's tour, block by block as it is printed, in one shell against a running server with the demo in it. What
 * each block prints is held against what the reader is told to expect; figures are worked out by hand beside the check.
 */

const checkout = path.resolve(__dirname, '..', '..');
const BLOCK_END = '::: end of block :::';

function tourBlocks(): string[] {
  return [...readFileSync(path.join(checkout, 'README.md'), 'utf8').matchAll(/```sh\n([\s\S]*?)```/g)].map(
    (match) => match[1] ?? '',
  );
}

/** Rows under each other, the first of them as the header; figures to the right. */
function printedTable(rows: readonly string[][]): string {
  const widths = (rows[0] ?? []).map((_, column) => Math.max(...rows.map((row) => (row[column] ?? '').length)));
  const line = (row: readonly string[]): string =>
    `| ${row.map((cell, column) => cell.padStart(widths[column] ?? 0)).join(' | ')} |`;
  const [header = [], ...months] = rows;
  return [line(header), `|${widths.map((width) => '-'.repeat(width + 2)).join('|')}|`, ...months.map(line)].join('\n');
}

async function hasCurl(): Promise<boolean> {
  return promisify(execFile)('curl', ['--version']).then(
    () => true,
    () => false,
  );
}

describe('the tour of the README', () => {
  let world: World;
  let printed: string[];
  const scenario = readScenario(checkout);

  beforeAll(async () => {
    world = await openWorld({ now: '2026-11-25T18:00:00.000Z' });
    await loadDemo(world.application, scenario, () => undefined);
    const folder = mkdtempSync(path.join(tmpdir(), 'rickyard-tour-'));
    const shim = path.join(folder, 'curl');
    if (!(await hasCurl())) {
      writeFileSync(
        shim,
        `#!/bin/sh\nexec "${process.execPath}" "${path.join(checkout, 'test', 'support', 'curl-shim.mjs')}" "$@"\n`,
      );
      chmodSync(shim, 0o755);
    }
    const script = tourBlocks()
      .map(
        (block) =>
          `${block.replace('RICKYARD=http://127.0.0.1:4180', `RICKYARD=${world.address}`)}\necho '${BLOCK_END}'`,
      )
      .join('\n');
    const { stdout } = await promisify(execFile)('sh', ['-eu', '-c', script], {
      env: { ...process.env, PATH: `${folder}:${process.env['PATH'] ?? ''}` },
      maxBuffer: 10_000_000,
    });
    printed = stdout.split(`${BLOCK_END}\n`).map((words) => words.trim());
    rmSync(folder, { recursive: true });
  });

  afterAll(() => world.close());

  /** What the block that holds these words printed. */
  const after = (words: string): string => {
    const index = tourBlocks().findIndex((block) => block.includes(words));
    expect(index).toBeGreaterThanOrEqual(0);
    return printed[index] ?? '';
  };

  it('the demo is whole, and invented by its own word', async () => {
    expect(await demoState(world.application, scenario, world.clock.now())).toBe('whole');
    expect(scenario.operations.every((operation) => operation.name.includes('(invented)'))).toBe(true);
  });

  it(
    'has two client operations of different units, an unrelated third, three ranches, five herds and eight lots ' +
      'of four kinds among the clients',
    () => {
      const clients = scenario.operations.filter((operation) =>
        operation.members.some((member) => member.role === 'nutritionist'),
      );
      expect(clients.map((client) => client.unitPreference).sort()).toEqual(['metric', 'us']);
      expect(scenario.operations).toHaveLength(3);
      expect(clients.flatMap((client) => client.ranches)).toHaveLength(3);
      expect(clients.flatMap((client) => client.herds).length).toBeGreaterThanOrEqual(5);
      expect(clients.flatMap((client) => client.lots)).toHaveLength(8);
      expect(new Set(clients.flatMap((client) => client.lots.map((lot) => lot.hayKind))).size).toBeGreaterThanOrEqual(
        4,
      );
    },
  );

  it("opens the hay budget page of all three operations from the owner's page of each", async () => {
    for (const operation of scenario.operations) {
      const owner = scenario.people.find((one) => one.key === operation.owner);
      const signedIn = await fetch(`${world.address}/yard/sign-in`, {
        method: 'POST',
        redirect: 'manual',
        headers: { 'Content-Type': 'application/x-www-form-urlencoded', Origin: world.address },
        body: new URLSearchParams({ email: owner?.email ?? '', passphrase: owner?.passphrase ?? '' }),
      });
      const headers = { Cookie: (signedIn.headers.getSetCookie()[0] ?? '').split(';')[0] ?? '', Accept: 'text/html' };
      const start = await (await fetch(`${world.address}/yard`, { headers })).text();
      const page = /\/yard\/operations\/[0-9a-f-]{36}/.exec(start)?.[0] ?? '';
      const found = await fetch(`${world.address}${page}/hay-budget`, { headers });
      expect([operation.key, found.status]).toEqual([operation.key, 200]);
      expect(await found.text()).toMatch(/The hay (lasts|runs out)/);
    }
  });

  it('the cows have a mineral in front of them: on their sheet, in their review', async () => {
    const miles = scenario.people.find((one) => one.key === 'miles');
    const json = async <Body>(path: string, init: RequestInit = {}): Promise<Body> =>
      (await (await fetch(`${world.address}${path}`, init)).json()) as Body;
    const signedIn = await json<{ accessToken: string }>('/v1/sign-in', {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify({ email: miles?.email, passphrase: miles?.passphrase }),
    });
    const headers = { Authorization: `Bearer ${signedIn.accessToken}` };
    const get = <Body>(path: string): Promise<Body> => json<Body>(path, { headers });
    const [operation] = (await get<{ items: { id: string }[] }>('/v1/operations')).items;
    const at = `/v1/operations/${operation?.id ?? ''}`;
    const herds = await get<{ items: { id: string; name: string; placeId: string }[] }>(`${at}/herds`);
    const cows = herds.items.find((one) => one.name === 'Spring-calving cows');
    const sheet = await get<{
      herds: { freeChoice: { hayLot: string; intake: object; forTheHerd: { value: string } }[] }[];
    }>(`${at}/places/${cows?.placeId ?? ''}/feed-sheet?on=2026-01-15`);
    // 120 head at 4 oz are 480 oz, 30 lb.
    expect(sheet.herds[0]?.freeChoice).toMatchObject([
      { hayLot: 'Winter mineral, free choice', intake: { value: '4', unit: 'oz' } },
    ]);
    expect(Number(sheet.herds[0]?.freeChoice[0]?.forTheHerd.value)).toBeCloseTo(30, 2);
    const review = await get<{ lines: { nutrient: string; missingIn: string[] }[] }>(
      `${at}/herds/${cows?.id ?? ''}/ration-review?on=2026-01-15`,
    );
    // The tag tells of copper, no test of their hay does: the line stands, and says whose value is missing.
    expect(review.lines.find((one) => one.nutrient === 'copper')?.missingIn.toSorted()).toEqual([
      'Alfalfa, second cutting',
      'Barley straw',
      'Meadow rounds',
    ]);
  });

  it('the manager buys 24 bales at landed cost', () => {
    // 24 × 1,150 lb = 27,600 lb = 13.8 ton; 13.8 × 120.00 = 1,656.00; with 350.00 freight 2,006.00; over 13.8 ton
    // 145.36.
    expect(after('tour-purchase-1')).toBe('27600 lb, 2006.00, 145.36 per ton');
  });

  it('the lab test has its relative feed value', () => {
    // (88.9 − 0.779 × 38.2) × (120 / 60.1) / 1.29 = 59.1422 × 1.99667 / 1.29 = 91.5 (Rohweder, Barnes & Jorgensen
    // 1978).
    expect(after('tour-test-1')).toBe('RFV 91.5');
  });

  it('the feeding lies in three layers, for the head of that day, with its cautions', () => {
    // 600 + 700 + 2 × 1,150 = 3,600 lb over 119 head (120 less one death in January) = 30.252101 lb.
    // Leafy alfalfa under the coarser meadow hay is not flagged: meadow hay is of medium texture. The frost is; and so
    // are the lots without a test, as in the review of that day, and that no salt is laid with hay, which holds little.
    // Over half of it is of a lot that the cows were not fed in the week before. And it keeps no cow in milk: at about
    // 0.4, 0.6 and 0.53 Mcal of net energy a lb of dry matter (straw, alfalfa, grass hay) they get about 14 Mcal, of
    // the 16 to 17 that a cow of 1,200 lb needs with a calf of a month or two (all from memory, by NRC 2000).
    expect(after('FEEDING="{')).toBe(
      '119 head, 30.252101 lb a head, nitrate-unknown less-than-keeps-weight ' +
        'abrupt-change lab-test-missing laid-while-wet sodium-low',
    );
  });

  it('the repeat is answered and not done twice', () => {
    expect(after('feedings that day')).toMatch(/^[0-9a-f-]{36}\nfeedings that day: 1$/);
  });

  it('the group weighs its mean', () => {
    // 38,640 lb over 30 head.
    expect(after('tour-weigh-in-1')).toBe('1288 lb');
  });

  it('the nutritionist sees her clients and what their herds lack', () => {
    const lines = after('ration-reviews').split('\n');
    expect(lines.slice(0, 2)).toEqual([
      'Coldwater Bench Cattle (invented), us, prices shown',
      'Larkspur Fold Farm (invented), metric, prices hidden',
    ]);
    expect(lines.slice(2).map((line) => line.split(':')[0])).toEqual([
      'First-calf heifers',
      'Replacement heifers',
      'Spring-calving cows',
      'Weaned steer calves',
    ]);
  });

  it('the unrelated operation does not exist for her', () => {
    expect(after('sign_in tess')).toBe('404 Nothing here by that name');
  });

  it('the accountant pulls the season with a key, as JSON and CSV', () => {
    const lines = after('tour-key-1').split(/\r?\n/);
    expect(lines[0]).toMatch(/^\d+\.\d{2} USD, \d\.\d{2} per head per day$/);
    // The file says of itself whose it is, of which days and how it was made, before its table.
    expect(lines[1]).toBe('# operation,Coldwater Bench Cattle (invented)');
    expect(lines).toContain('# period,2025-11-01 to 2026-03-31');
    const header = lines.findIndex((line) => line.startsWith('kind,key,fed_ton,'));
    const seasonLines = lines.slice(header, lines.findIndex((line) => line.startsWith('Total,')) + 1);
    const season = parse<Record<string, string>>(seasonLines.join('\n'), { columns: true });
    const cents = (row: Record<string, string> | undefined): number => Math.round(Number(row?.['hay_cost_USD']) * 100);
    // The kinds add up to the total, to the cent.
    expect(season.map((row) => row['key'])).toEqual([
      'alfalfa',
      'alfalfa-grass',
      'barley-straw',
      'meadow',
      'mineral',
      'no-kind',
      'oat-hay',
      'total',
    ]);
    // 4 oz for 120 head on 68 days and 119 on 69: 16,371 head-days, 4,092.75 lb. A hundred bags of 50 lb at 24.50, with
    // 60.00 freight 2,510.00, are 0.502 a pound: 2,054.56; every draw is booked in whole cents.
    const mineral = season.find((row) => row['key'] === 'mineral');
    expect(Math.abs(Number(mineral?.['other_feed_cost_USD']) - 2054.56)).toBeLessThan(0.015);
    expect(season.slice(0, -1).reduce((sum, row) => sum + cents(row), 0)).toBe(cents(season.at(-1)));
    // The cows of the tour weigh 1,288 lb, 2 lb less than in November: no cost is divided by a loss.
    expect(lines.filter((line) => line.startsWith('Spring-calving cows,'))[0]).toContain(
      'a cost of gain has no meaning',
    );
    expect(lines.at(-1)).toMatch(/^\d+\.\d+ t worth \d+\.\d{2} USD$/);
  });

  it('the accountant sees a year of the books tie, one line a month', () => {
    const lines = after('tour-key-1').split(/\r?\n/);
    const header = lines.findIndex((line) => line.startsWith('month,ledger_ton,'));
    const months = parse<Record<string, string>>(lines.slice(header, header + 13).join('\n'), { columns: true });
    expect(months.map((row) => row['month'])).toEqual([
      ...['2025-10', '2025-11', '2025-12', '2026-01', '2026-02', '2026-03'],
      ...['2026-04', '2026-05', '2026-06', '2026-07', '2026-08', '2026-09'],
    ]);
    expect(months.map((row) => row['ties'])).toEqual(months.map(() => 'yes'));
    // Told by reports of their own, and about something: hay was there, fed, and cost.
    const of = (row: Record<string, string> | undefined, name: string): number => Number(row?.[name]);
    for (const row of months) {
      expect(of(row, 'position_ton')).toBeGreaterThan(0);
      expect([of(row, 'ledger_ton'), row['roll_forward_USD'], row['journal_change_USD']]).toEqual([
        of(row, 'roll_forward_ton'),
        row['position_USD'],
        row['roll_forward_change_USD'],
      ]);
      expect([row['journal_feed_USD'], row['ledger_yardage_USD']]).toEqual([
        row['season_feed_USD'],
        row['season_yardage_USD'],
      ]);
    }
    const winter = months.filter((row) => (row['month'] ?? '') >= '2025-12' && (row['month'] ?? '') <= '2026-03');
    for (const row of winter) {
      expect(of(row, 'journal_feed_USD')).toBeGreaterThan(0);
      expect(of(row, 'ledger_yardage_USD')).toBeGreaterThan(0);
    }
    // What changed each month is what the month after it begins with.
    months.slice(1).forEach((row, index) => {
      const before = Math.round(of(months[index], 'position_USD') * 100);
      expect(before + Math.round(of(row, 'journal_change_USD') * 100)).toBe(Math.round(of(row, 'position_USD') * 100));
    });
  });

  it('the accountant closes out a lot, against its budget, beside the other operation', () => {
    const lines = after('FEEDERS=').split(/\r?\n/);
    const closed = new Map(
      lines.flatMap((line) => {
        const [, label = '', amount] = /^([A-Z].*) (\d+\.\d{2})$/.exec(line) ?? [];
        return amount === undefined ? [] : [[label, Math.round(Number(amount) * 100)] as const];
      }),
    );
    // 48 of 612 lb less 2 % at 252.00 a cwt; 47 of 726 lb less 3 % at 262.00. 48 head for 38 days and 47 for 56 are
    // 4,456 head-days at 0.35. The commission came two days after the last had left.
    const bills = { Processing: 696_00, Pasture: 336_00, Veterinary: 184_75, Trucking: 1020_00, Commission: 611_00 };
    const known = { 'Cattle bought': 72_546_97, 'Cattle sold': 86_717_65, Yardage: 1559_60, ...bills };
    for (const [label, amount] of Object.entries(known)) expect([label, closed.get(label)]).toEqual([label, amount]);
    const hay = closed.get('Hay at cost') ?? 0;
    expect(hay).toBeGreaterThan(0);
    const costs = hay + 1559_60 + Object.values(bills).reduce((sum, one) => sum + one, 0);
    const [, profit, breakEven] = /^Profit (\S+), breaks even at (\S+) per cwt$/m.exec(lines.join('\n')) ?? [];
    expect(Math.round(Number(profit) * 100)).toBe(86_717_65 - 72_546_97 - costs);
    // All that was laid out, over the 33,098.34 lb that were paid for.
    expect(breakEven).toBe(((72_546_97 + costs) / 33_098.34).toFixed(2));

    const header = lines.findIndex((line) => line.startsWith('month,herd,'));
    const until = lines.findIndex((line) => line.startsWith('Total,,,all costs,'));
    const rows = parse<Record<string, string>>(lines.slice(header, until + 1).join('\n'), { columns: true });
    const sold = rows.find((row) => row['line'] === 'cattle-sold' && row['month'] === '2026-02');
    expect(sold).toMatchObject({ budget_USD: '84000.00', actual_USD: '86717.65', variance_USD: '2717.65' });
    expect(rows.at(-1)?.['actual_USD']).toBe((costs / 100).toFixed(2));
    expect(lines.filter((line) => / cattle-sold \S+, feed-on-hand \S+ (USD|CAD)$/.test(line))).toHaveLength(2);
    expect(lines.at(-1)).toContain('Larkspur Fold Farm (invented): ');
    // Five at 369 kg and 5.72 a kilogram.
    expect(lines.at(-1)).toContain(' cattle-sold 10553.40, ');
  });

  it('a year of the books of every operation ties, in one printed table', async () => {
    const tables: string[] = [];
    for (const operation of scenario.operations) {
      const owner = scenario.people.find((one) => one.key === operation.owner);
      const signedIn = await fetch(`${world.address}/v1/sign-in`, {
        method: 'POST',
        headers: { 'Content-Type': 'application/json' },
        body: JSON.stringify({ email: owner?.email, passphrase: owner?.passphrase }),
      });
      const headers = { Authorization: `Bearer ${((await signedIn.json()) as { accessToken: string }).accessToken}` };
      const mine = await fetch(`${world.address}/v1/operations`, { headers });
      const { items } = (await mine.json()) as { items: { id: string; name: string }[] };
      const at = `${world.address}/v1/operations/${items.find(({ name }) => name === operation.name)?.id ?? ''}`;
      const year = await fetch(`${at}/reports/tie-out?from=2025-10-01&until=2026-09-30&format=csv&head=no`, {
        headers,
      });
      const rows = parse(await year.text(), { bom: true });
      const ties = rows.slice(1).map((row) => row.at(-1));
      expect([operation.key, ...ties]).toEqual([operation.key, ...Array<string>(12).fill('yes')]);
      tables.push(`## ${operation.name}\n\n${printedTable(rows)}`);
    }
    snapshot(
      'year-of-the-books.md',
      `# A year of the demo's books, one line a month\n\n` +
        "Generated by `test/api/tour.test.ts`, after the README's tour: " +
        'the same thing told by ledger, position,\nroll-forward, journal, season cost and closeouts.\n\n' +
        `${tables.join('\n\n')}\n`,
    );
  });

  it('the scratch pad gives the published example', () => {
    // ADF 29, NDF 36: 171.3 at full precision (Stallings, Virginia Cooperative Extension 2006, prints 170 from rounded
    // steps).
    expect(after('calculations/forage-value')).toBe('RFV 171.3');
  });

  it('what is too much for a lot is refused with the field that asked for it', () => {
    expect(after('tour-feeding-2')).toBe('409 There is not that much hay in the lot: #/layers/0/parts/0');
  });

  it('reads well and keeps nobody out on every page that its people reach on a winter morning', async () => {
    world.clock.set('2026-02-10T15:00:00.000Z');
    const pages = new Map<string, string>();
    for (const who of scenario.people) {
      const headers = await signedInToPages(world.address, who);
      // Whoever sees the same page sees it alike, but for prices.
      const found = await walkedPages(world.address, headers, (address) => {
        const isNew = !pages.has(address) || /herds|hay-position/.test(address);
        // Each page of sheets leads to the one of the day before.
        const isOfAnotherDay = /\/today\?on=(?!2026-02-)/.test(address);
        return isNew && !isOfAnotherDay && !address.includes('format=');
      });
      expect([who.key, found.filter(({ status }) => status !== 200).map(({ address }) => address)]).toEqual([
        who.key,
        [],
      ]);
      for (const { address, text } of found) {
        expect([address, slipsOf(text), barriersOf(text)]).toEqual([address, [], []]);
        pages.set(address, text);
      }
    }
    const kinds = [...pages.keys()].map((address) => /([a-z-]+)(?:\/[0-9a-f-]{36})?(?:\?.*)?$/.exec(address)?.[1]);
    expect(new Set(kinds)).toEqual(
      new Set([
        ...['yard', 'account', 'portfolio', 'operations', 'feed-sheet', 'ration-report'],
        ...['hay-budget', 'hay-lots', 'hay-position', 'closeout', 'season-cost', 'cost-of-gain', 'journal', 'card'],
        ...['roll-forward', 'money-budget', 'closings', 'herds', 'ration-desk', 'rations'],
        ...['today', 'fed', 'hay-ticket', 'hay-ticket-new-lot', 'weigh-in', 'count', 'head', 'water', 'weather'],
      ]),
    );
  });
});
