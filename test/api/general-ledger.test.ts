/*
 * The general ledger as an accountant takes it: it ties to the journal, the journal of cattle and the season cost, by
 * entry, day and month; a closed batch reads the same again. The plain text is parsed and checked by another library
 * (@rustledger/wasm) that implements the Beancount Language Syntax, which refuses what does not balance.
 */
import { readFileSync } from 'node:fs';
import { initSync, ParsedLedger } from '@rustledger/wasm';
import { lateCost, sale } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, feedingBody, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Line {
  on: string;
  entryId: string | null;
  kind: string | null;
  accountNumber: string;
  enterprise: string;
  debit: { amount: string };
  credit: { amount: string };
  vendor: string | null;
  buyer: string | null;
  memo: string | null;
  hayLot: string | null;
  herd: string | null;
  source: { kind: string; id: string } | null;
  reversesId: string | null;
}
interface Flag {
  code: string;
  message: string;
}
interface Ledger {
  flags: Flag[];
  lines: Line[];
  batchId: string | null;
  closed: { sha256: string } | null;
  totalDebit: { amount: string };
  totalCredit: { amount: string };
}

interface CattleEntry {
  entryId: string;
  on: string;
  reversesId: string | null;
  memo: string | null;
  lines: { accountNumber: string; debit: { amount: string }; credit: { amount: string }; herd: string }[];
}
const isOfCattle = ({ kind }: Line): boolean => kind === 'herd-cost' || kind?.startsWith('cattle-') === true;

let world: World;
let operation: Operation;
let ranchId: string;
let herdId: string;
const bought: { lotId: string; purchaseId: string }[] = [];
const AUTUMN = { from: '2026-11-01', until: '2026-12-31' };

beforeAll(async () => {
  initSync({ module: readFileSync(require.resolve('@rustledger/wasm/rustledger_wasm_bg.wasm')) });
  world = await openWorld();
  operation = await operationWith(world);
  ranchId = await ranch(operation);
  herdId = await herd(operation, ranchId, { name: 'Weaned calves', since: '2026-11-01' });
  const { owner, manager } = operation.as;
  await owner.post(operation.at('/yardage-rates'), { fromOn: '2026-11-01', perHeadDay: '0.35' }, { expect: 201 });
  bought.push(
    await lot(operation, ranchId, {
      name: 'Stack "A" \\ north',
      vendor: 'A "good" neighbor',
      note: 'Line one\nline two \\ "quoted"',
      freight: '120',
    }),
  );
  const [hay] = bought;
  await feeding(operation, herdId, [[hay?.lotId ?? '', '4000']], { fedOn: '2026-11-20' });
  const slip = await manager.post<WithId>(
    operation.at('/feedings'),
    feedingBody(herdId, [[hay?.lotId ?? '', '900']], { fedOn: '2026-12-01' }),
    { expect: 201 },
  );
  await manager.post(
    operation.at(`/feedings/${slip.body.id}/reversal`),
    { reason: 'Entered twice', effectiveOn: '2026-12-03' },
    { expect: 201 },
  );
  await sale(operation, hay?.lotId ?? '');
  await lateCost(operation, { kind: 'hay-purchase', id: hay?.purchaseId ?? '' });
  await cattleAndCosts();
  const map = await owner.get(operation.at('/account-map'), { expect: 200 });
  await owner.send(
    'PUT',
    operation.at('/account-map'),
    {
      accounts: [
        { role: 'hay-inventory', number: '1400.1', name: 'Hay & straw' },
        { role: 'receivables', number: '1400-1', name: 'Hay & straw' },
      ],
    },
    { ifMatch: map.headers['etag'] ?? '', expect: 200 },
  );
});
afterAll(() => world.close());

/** Cattle bought, moved and sold at a price, a bill that was of another herd, and a sale that was none. */
async function cattleAndCosts(): Promise<void> {
  const other = await herd(operation, ranchId, { name: 'Sold calves', head: 0 });
  const { manager } = operation.as;
  const post = async (path: string, body: object): Promise<string> =>
    (await manager.post<WithId>(operation.at(path), body, { expect: 201 })).body.id;
  const change = (kind: string, happenedOn: string, head: number, amount: string, more: object = {}) =>
    post(`/herds/${herdId}/head-changes`, {
      ...{ kind, happenedOn, head, note: `${kind} noted`, ...more },
      price: { basis: 'lump-sum', amount, party: 'An auction' },
    });
  await change('in', '2026-11-05', 10, '15000');
  await change('move', '2026-11-25', 4, '6400', { toHerdId: other });
  const bill = { herdId, kind: 'veterinary', payee: 'A vet', amount: '480.50' };
  const cost = await post('/herd-costs', { ...bill, happenedOn: '2026-11-12' });
  await post(`/herd-costs/${cost}/reversal`, { reason: 'Another herd', effectiveOn: '2026-12-02' });
  await post('/herd-costs', { ...bill, herdId: other, happenedOn: '2026-12-02' });
  const wrong = await change('sale', '2026-12-05', 6, '9000');
  await post(`/herds/${herdId}/head-changes/${wrong}/reversal`, { reason: 'Not sold' });
  await change('sale', '2026-12-20', 6, '9900');
}

const ledger = async (query: Record<string, string> = {}): Promise<Ledger> =>
  (
    await operation.as.accountant.get<Ledger>(operation.at('/general-ledger'), {
      query: { ...AUTUMN, ...query },
      expect: 200,
    })
  ).body;
const plainText = async (query: Record<string, string> = {}): Promise<string> =>
  (
    await operation.as.accountant.get(operation.at('/general-ledger'), {
      query: { ...AUTUMN, ...query, format: 'beancount' },
      expect: 200,
    })
  ).text;
const byValue = (one: number, other: number): number => one - other;
const cents = (amount: string): number => Math.round(Number(amount) * 100);
const net = ({ debit, credit }: Line): number => cents(debit.amount) - cents(credit.amount);
function balances(lines: readonly Line[]): Record<string, number> {
  const sums: Record<string, number> = {};
  for (const line of lines) sums[line.accountNumber] = (sums[line.accountNumber] ?? 0) + net(line);
  return Object.fromEntries(Object.entries(sums).filter(([, sum]) => sum !== 0));
}

describe('the general ledger', () => {
  it("has the journal's accounts to the cent, and the season's yardage beside them", async () => {
    const { lines, totalDebit, totalCredit } = await ledger();
    expect(totalDebit).toEqual(totalCredit);
    const trial = await operation.as.accountant.get<{ rows: Line[] }>(operation.at('/reports/trial-balance'), {
      query: AUTUMN,
      expect: 200,
    });
    const ofHay = lines.filter((line) => !isOfCattle(line));
    const { 5500: yardage, 5590: applied, ...hay } = balances(ofHay);
    expect(hay).toEqual(balances(trial.body.rows));
    const season = await operation.as.accountant.get<{ total: { yardageCost: { amount: string } } }>(
      operation.at('/reports/season-cost'),
      { query: AUTUMN, expect: 200 },
    );
    // 100 head at 0.35 for 61 days, 10 that came for 57 of them, 6 that were sold gone for the last 12.
    expect(season.body.total.yardageCost.amount).toBe('2309.30');
    expect([yardage, applied]).toEqual([230_930, -230_930]);
  });

  it('has every entry of the journal of cattle, side by side, once', async () => {
    const { body } = await operation.as.accountant.get<{ items: CattleEntry[] }>(operation.at('/cattle-journal'), {
      query: { ...AUTUMN, limit: '100' },
      expect: 200,
    });
    expect(body.items).toHaveLength(6);
    const { lines } = await ledger();
    const told = lines
      .filter(isOfCattle)
      .map((line) => [line.on, line.entryId, line.accountNumber, net(line), line.herd, line.memo, line.reversesId]);
    const journal = body.items.flatMap((entry) =>
      entry.lines.map((line) => [
        ...[entry.on, entry.entryId, line.accountNumber, cents(line.debit.amount) - cents(line.credit.amount)],
        ...[line.herd, entry.memo, entry.reversesId],
      ]),
    );
    expect(told).toEqual(journal);
    // By hand: bought 15,000, sold 9,900, moved 6,400 on one account, one bill of 480.50 that moved to another herd.
    const { 4000: sold, 5600: costs, 5700: purchases, 5790: moved } = balances(lines);
    expect([sold, costs, purchases, moved]).toEqual([-990_000, 48_050, 1_500_000, undefined]);
  });

  it('tells cattle and costs of herds by whom, of which herd and enterprise, and by a code of their own', async () => {
    const { lines } = await ledger();
    const of = (kind: string): Line[] => lines.filter((line) => line.kind === kind);
    expect(of('cattle-in')[0]).toMatchObject({ vendor: 'An auction', buyer: null, enterprise: 'growing-calf' });
    expect(of('cattle-sale')[0]).toMatchObject({ vendor: null, buyer: 'An auction', memo: 'sale noted' });
    expect(of('cattle-move-out').map(({ herd: name }) => name)).toEqual(['Sold calves', 'Weaned calves']);
    expect(of('herd-cost').map((line) => [line.vendor, line.herd, line.source?.kind])).toEqual([
      ['A vet', 'Weaned calves', 'herd-cost'],
      ['A vet', 'Weaned calves', 'herd-cost'],
      ['A vet', 'Weaned calves', 'reversal'],
      ['A vet', 'Weaned calves', 'reversal'],
      ['A vet', 'Sold calves', 'herd-cost'],
      ['A vet', 'Sold calves', 'herd-cost'],
    ]);
    // Hay that was sold keeps the code of the hay books.
    expect(of('sale').every(({ hayLot }) => hayLot !== null)).toBe(true);
  });

  it('gives each herd its part of a late bill, as the closeout does, and the rest to the hay', async () => {
    const { lines } = await ledger();
    const variances = await operation.as.accountant.get<{
      byHerd: { herd: string; amount: { amount: string } }[];
      notEaten: { amount: string };
    }>(operation.at('/reports/cost-variances'), { query: AUTUMN, expect: 200 });
    const late = lines.filter((line) => line.kind === 'late-cost' && line.accountNumber === '5400');
    expect(late.map((line) => [line.herd, line.enterprise, net(line)])).toEqual([
      ...variances.body.byHerd.map((one) => [one.herd, 'growing-calf', cents(one.amount.amount)]),
      [null, 'hay', cents(variances.body.notEaten.amount)],
    ]);
    expect(variances.body.byHerd).toHaveLength(1);
  });

  it('tells vendor, memo, lot, herd and enterprise by name', async () => {
    const { lines } = await ledger();
    expect(lines.find(({ kind }) => kind === 'purchase')).toMatchObject({
      vendor: 'A "good" neighbor',
      hayLot: 'Stack "A" \\ north',
      enterprise: 'hay',
    });
    const fed = lines.find((line) => line.kind === 'feed' && line.accountNumber === '5100');
    expect(fed).toMatchObject({ herd: 'Weaned calves', enterprise: 'growing-calf' });
    const ofCalves = lines.filter(({ kind, herd: name }) => kind === 'yardage' && name === 'Weaned calves');
    // November: 100 head, 110 from the 5th, 106 from the 25th. December: 106, and 100 from the 20th. At 0.35.
    expect(ofCalves.map((line) => [line.on, line.enterprise, net(line)])).toEqual([
      ['2026-11-30', 'growing-calf', 113_260],
      ['2026-11-30', 'growing-calf', -113_260],
      ['2026-12-31', 'growing-calf', 112_490],
      ['2026-12-31', 'growing-calf', -112_490],
    ]);
  });

  it.each(['day', 'month'])('in sum by %s balances each time, and comes to the same accounts', async (detail) => {
    const [whole, sums] = [await ledger(), await ledger({ detail })];
    expect(balances(sums.lines)).toEqual(balances(whole.lines));
    const days = new Set(sums.lines.map(({ on }) => on));
    for (const day of days)
      expect(sums.lines.filter(({ on }) => on === day).reduce((sum, line) => sum + net(line), 0)).toBe(0);
    if (detail === 'month') expect([...days]).toEqual(['2026-11-30', '2026-12-31']);
    expect(sums.lines.every(({ entryId }) => entryId === null)).toBe(true);
  });

  it('in sum over all the days is a balance of every account, of the hay books as their trial balance', async () => {
    const [whole, sums] = [await ledger(), await ledger({ detail: 'period' })];
    expect(balances(sums.lines)).toEqual(balances(whole.lines));
    expect(new Set(sums.lines.map(({ on }) => on))).toEqual(new Set([AUTUMN.until]));
    expect(sums.lines.reduce((sum, line) => sum + net(line), 0)).toBe(0);
    const kept = new Set(sums.lines.map((line) => `${line.accountNumber} ${line.enterprise}`));
    expect(kept.size).toBe(sums.lines.length);
    // Accounts that only the hay books post to.
    const { body: trial } = await operation.as.accountant.get<{
      rows: { accountNumber: string; debit: { amount: string }; credit: { amount: string } }[];
    }>(operation.at('/reports/trial-balance'), { query: AUTUMN, expect: 200 });
    const ofHay = Object.fromEntries(
      trial.rows.map((row) => [row.accountNumber, cents(row.debit.amount) - cents(row.credit.amount)]),
    );
    const told = balances(sums.lines);
    for (const number of ['1400', '1400.1', '5100'].filter((one) => one in ofHay))
      expect([number, told[number]]).toEqual([number, ofHay[number]]);
    expect(ofHay['5100']).toBeGreaterThan(0);
  });

  it('keeps yardage that a reversed head change takes back of an earlier period apart, on its day', async () => {
    const other = await operationWith(world);
    const place = await ranch(other);
    const cattle = await herd(other, place, { since: '2026-11-01' });
    await other.as.owner.post(other.at('/yardage-rates'), { fromOn: '2026-11-01', perHeadDay: '1' }, { expect: 201 });
    const change = await other.as.manager.post<WithId>(
      other.at(`/herds/${cattle}/head-changes`),
      { kind: 'in', head: 10, happenedOn: '2026-11-21' },
      { expect: 201 },
    );
    await other.as.manager.post(
      other.at(`/herds/${cattle}/head-changes/${change.body.id}/reversal`),
      { reason: 'Another herd', effectiveOn: '2026-12-05' },
      { expect: 201 },
    );
    const read = await other.as.accountant.get<Ledger>(other.at('/general-ledger'), {
      query: { from: '2026-12-01', until: '2026-12-31' },
      expect: 200,
    });
    const season = await other.as.accountant.get<{
      total: { yardageCost: { amount: string }; corrections: { amount: string } };
    }>(other.at('/reports/season-cost'), { query: { from: '2026-12-01', until: '2026-12-31' }, expect: 200 });
    const of = (kind: string): number =>
      read.body.lines
        .filter((line) => line.kind === kind && line.accountNumber === '5500')
        .reduce((sum, line) => sum + net(line), 0);
    expect(of('yardage')).toBe(cents(season.body.total.yardageCost.amount));
    expect(of('yardage-correction')).toBe(cents(season.body.total.corrections.amount));
    expect(of('yardage-correction')).toBeLessThan(0);
  });

  // By hand: 10 head for 15,000 among 110, of which 4 moved and 6 of the other 106 were sold: 10 × 104 / 110 head.
  it('says how many bought cattle still stand, and for how much, since no balance account holds them', async () => {
    const { body } = await operation.as.accountant.get<{ flags: Flag[] }>(operation.at('/reports/year-end-inventory'), {
      query: { on: AUTUMN.until },
      expect: 200,
    });
    for (const { flags } of [await ledger(), body]) {
      const told = flags.filter(({ code }) => code === 'bought-cattle-not-capitalized').map(({ message }) => message);
      expect(told).toHaveLength(1);
      expect(told[0]).toContain('9 bought animals still stand, at 14181.82 USD');
      expect(told[0]).toContain('5700');
    }
    const early = await ledger({ from: '2026-11-01', until: '2026-11-04' });
    expect(early.flags.filter(({ code }) => code === 'bought-cattle-not-capitalized')).toEqual([]);
  });

  it('is not for those who see no prices', async () => {
    expect((await operation.as.hand.get(operation.at('/general-ledger'), { query: AUTUMN })).status).toBe(403);
  });
});

describe('as double entry in plain text', () => {
  it.each(['entry', 'day', 'month', 'period'])(
    'told by %s, it is read by another library, balances and has our sums',
    async (detail) => {
      const [text, { lines }] = [await plainText({ detail }), await ledger({ detail })];
      const parsed = new ParsedLedger(text);
      expect(parsed.getErrors()).toEqual([]);
      const sums = new Map<string, number>();
      const numbers = new Map<string, string>();
      for (const directive of parsed.getDirectives()) {
        if (directive.type === 'open')
          numbers.set(
            directive.account,
            /number: "(.*)"/.exec(text.slice(text.indexOf(`open ${directive.account} `)))?.[1] ?? '',
          );
        if (directive.type === 'transaction')
          for (const posting of directive.postings)
            sums.set(
              posting.account,
              (sums.get(posting.account) ?? 0) + cents((posting.units as { number: string }).number),
            );
      }
      const told = [...sums]
        .map(([account, sum]): [string, number] => [numbers.get(account) ?? '', sum])
        .filter(([, sum]) => sum !== 0);
      expect(Object.fromEntries(told)).toEqual(balances(lines));
      parsed.free();
    },
  );

  it('joins into one file, month by month, where the first opens the accounts', async () => {
    const months = [
      { from: '2026-11-01', until: '2026-11-30' },
      { from: '2026-12-01', until: '2026-12-31', openAccounts: 'no' },
      { from: '2027-01-01', until: '2027-01-14', openAccounts: 'no' },
    ];
    await sale(operation, bought[0]?.lotId ?? '', { soldOn: '2027-01-05' });
    const files: string[] = [];
    for (const month of months) files.push(await plainText(month));
    const parsed = new ParsedLedger(files.join('\n'));
    expect(parsed.getErrors()).toEqual([]);
    expect(parsed.getDirectives().filter(({ type, date }) => type === 'open' && date !== '2026-11-01')).toEqual([]);
    const sums = new Map<string, number>();
    for (const directive of parsed.getDirectives())
      if (directive.type === 'transaction')
        for (const { account, units } of directive.postings)
          sums.set(account, (sums.get(account) ?? 0) + cents((units as { number: string }).number));
    const { lines } = await ledger({ from: '2026-11-01', until: '2027-01-14' });
    expect([...sums.values()].filter((sum) => sum !== 0).sort(byValue)).toEqual(
      Object.values(balances(lines)).sort(byValue),
    );
    parsed.free();
    // Without that, the library refuses accounts that are opened twice.
    const [first = '', second = ''] = [files[0], await plainText({ from: '2026-12-01', until: '2026-12-31' })];
    const twice = new ParsedLedger(`${first}\n${second}`);
    expect(twice.isValid()).toBe(false);
    twice.free();
  });

  it('keeps two accounts apart whose numbers differ by a dot, and words with quotes', async () => {
    const text = await plainText();
    expect(text).toMatch(/open Assets:1400-1-Hay-straw USD\r?\n {2}number: "1400\.1"/);
    expect(text).toMatch(/open Assets:1400-1-Hay-straw-2 USD\r?\n {2}number: "1400-1"/);
    const parsed = new ParsedLedger(text);
    const payees = parsed
      .getDirectives()
      .flatMap((one) => (one.type === 'transaction' ? [[one.payee, one.narration]] : []));
    expect(payees).toContainEqual(['A "good" neighbor', 'Line one line two \\ "quoted"']);
    parsed.free();
  });

  it('is refused by that library where an amount is changed', async () => {
    const text = (await plainText()).replace(
      /(Assets:1400-1-Hay-straw {2})(\d+)/,
      (_, name, whole) => `${name}${Number(whole) + 1}`,
    );
    const parsed = new ParsedLedger(text);
    expect(parsed.isValid()).toBe(false);
    parsed.free();
  });

  it('is a file by its own name', async () => {
    const { headers } = await operation.as.accountant.get(operation.at('/general-ledger'), {
      query: { ...AUTUMN, format: 'beancount' },
      expect: 200,
    });
    expect(headers['content-disposition']).toMatch(/_general-ledger_2026-11_2026-12\.beancount"$/);
  });
});

describe('a closed batch', () => {
  it('has an id, and reads the same again whatever is entered, renamed or mapped later', async () => {
    const { owner, accountant } = operation.as;
    expect((await ledger()).batchId).toBeNull();
    const closing = await accountant.post<WithId>(operation.at('/closings'), { until: AUTUMN.until }, { expect: 201 });
    const [first, text] = [await ledger(), await plainText()];
    expect(first.batchId).toBe(closing.body.id);
    expect(text).toContain(`batch: "${closing.body.id}"`);
    const map = await owner.get(operation.at('/account-map'), { expect: 200 });
    await owner.send(
      'PUT',
      operation.at('/account-map'),
      { accounts: [{ role: 'feed-expense', number: '6100', name: 'Feed' }] },
      { ifMatch: map.headers['etag'] ?? '', expect: 200 },
    );
    const renamed = await owner.get(operation.at(`/herds/${herdId}`), { expect: 200 });
    await operation.as.manager.patch(
      operation.at(`/herds/${herdId}`),
      { name: 'Calves by another name' },
      { ifMatch: renamed.headers['etag'] ?? '', expect: 200 },
    );
    await sale(operation, bought[0]?.lotId ?? '', { soldOn: '2026-12-30', postTo: 'open-period' });
    expect(await ledger()).toEqual(first);
    expect(await plainText()).toBe(text);
    expect((await ledger({ until: '2026-12-30' })).batchId).toBeNull();
    const month = await ledger({ detail: 'month' });
    expect([month.batchId, balances(month.lines)]).toEqual([first.batchId, balances(first.lines)]);
  });
});
