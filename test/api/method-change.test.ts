/*
 * The costing method is changed after a closing: closed days keep the method that they were closed with, open ones go
 * by the new one, and what the change itself makes of the hay on hand is an entry of its own on the first open day. So
 * every report of hay's money that is of those days says so, and their figures tie through the change. By hand: lot A
 * is 10 tons at 100, lot B 10 tons at 200, of one kind. Everything here is invented.
 */
import { sale } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Amount {
  amount: string;
}
interface Flag {
  code: string;
  message: string;
}
interface Worth {
  quantity: { value: string };
  value: Amount;
}
interface Rolled {
  total: { opening: Worth; closing: Worth; flows: Record<string, Worth> };
  rows: { betweenLots: Amount; label: string; flows: Record<string, Worth> }[];
  flags: Flag[];
}
interface Line {
  on: string;
  kind: string;
  account: string;
  hayLot: string | null;
  debit: Amount;
  credit: Amount;
}
type Days = { from: string; until: string };

const NOVEMBER = { from: '2026-11-01', until: '2026-11-30' };
const DECEMBER = { from: '2026-12-01', until: '2026-12-31' };
const BOTH = { from: NOVEMBER.from, until: DECEMBER.until };
const CHANGED = 'costing-method-changed';

let world: World;
let operation: Operation;
const ids = { herd: '', cheap: '', dear: '', slip: '' };

const cents = ({ amount }: Amount): number => Math.round(Number(amount) * 100);

async function useMethod(costingMethod: string): Promise<void> {
  const { owner } = operation.as;
  const { headers } = await owner.get(operation.at(''), { expect: 200 });
  await owner.patch(operation.at(''), { costingMethod }, { ifMatch: headers['etag'] ?? '', expect: 200 });
}
const read = async <Body>(path: string, query: Record<string, string>): Promise<Body> =>
  (await operation.as.accountant.get<Body>(path.startsWith('/v1') ? path : operation.at(path), { query, expect: 200 }))
    .body;

beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world, { costingMethod: 'specific-lot', roles: ['owner', 'manager', 'accountant'] });
  const place = await ranch(operation);
  ids.herd = await herd(operation, place);
  const bought = (name: string, amount: string) =>
    lot(operation, place, { name, tons: '10', price: { basis: 'per-mass', amount, per: 'ton' } });
  ids.cheap = (await bought('A', '100')).lotId;
  ids.dear = (await bought('B', '200')).lotId;
  for (const [weighedOn, value] of [
    ['2026-11-02', '500'],
    ['2026-12-31', '560'],
  ])
    await operation.as.manager.post(
      operation.at('/weigh-ins'),
      {
        ...{ scope: 'group', herdId: ids.herd, weighedOn, fill: 'full', head: 100, measure: 'mean' },
        weight: { value, unit: 'lb' },
      },
      { expect: 201 },
    );
  // 4 tons of A, and 1 ton of B that was not fed, as was found in December.
  await feeding(operation, ids.herd, [[ids.cheap, '8000']], { fedOn: '2026-11-28' });
  ids.slip = await feeding(operation, ids.herd, [[ids.dear, '2000']], { fedOn: '2026-11-29' });
  await operation.as.accountant.post(operation.at('/closings'), { until: NOVEMBER.until }, { expect: 201 });
  await useMethod('moving-average');
  await feeding(operation, ids.herd, [[ids.cheap, '2000']], { fedOn: '2026-12-05' });
  await sale(operation, ids.dear, { soldOn: '2026-12-10' });
  await operation.as.manager.post(
    operation.at(`/feedings/${ids.slip}/reversal`),
    { reason: 'Never fed', effectiveOn: '2026-12-08' },
    { expect: 201 },
  );
});
afterAll(() => world.close());

const rolled = (days: Days, by = 'lot'): Promise<Rolled> => read('/reports/inventory-roll-forward', { ...days, by });
const position = (on: string): Promise<{ total: Worth; flags: Flag[]; reconciliation: Record<string, Amount> }> =>
  read('/reports/hay-position', { on });
const ledger = async (days: Days): Promise<Line[]> => (await read<{ lines: Line[] }>('/general-ledger', days)).lines;
const net = (lines: readonly Line[], account: string): number =>
  lines
    .filter((line) => line.account === account)
    .reduce((sum, line) => sum + cents(line.debit) - cents(line.credit), 0);

describe('a position as known at an instant', () => {
  const known = (on: string, knownAt: string): Promise<Awaited<ReturnType<typeof position>>> =>
    read('/reports/hay-position', { on, knownAt });
  const changes = ({ flags }: { flags: Flag[] }): string[] =>
    flags.filter(({ code }) => code === CHANGED).map(({ message }) => message);

  it('carries the change of the method that was known then', async () => {
    const now = await position(DECEMBER.until);
    const then = await known(DECEMBER.until, world.clock.now().toISOString());
    expect(changes(then)).toEqual(changes(now));
    expect(changes(then)).toHaveLength(1);
    expect(then.total).toEqual(now.total);
    expect((await known(NOVEMBER.until, world.clock.now().toISOString())).total).toEqual(
      (await position(NOVEMBER.until)).total,
    );
  });

  it('has none of a change that was not known yet', async () => {
    const before = new Date(world.clock.now().getTime() - 86_400_000).toISOString();
    expect(changes(await known(DECEMBER.until, before))).toEqual([]);
  });
});

describe('every report that tells what hay cost', () => {
  type Flagged = { flags: Flag[] };
  const REPORTS: [string, () => Promise<Flagged>][] = [
    ...['operation', 'herd', 'ranch', 'kind', 'month'].map((by): [string, () => Promise<Flagged>] => [
      `season cost by ${by}`,
      () => read('/reports/season-cost', { ...BOTH, by }),
    ]),
    ['cost of gain', () => read('/reports/cost-of-gain', BOTH)],
    ['closeout', () => read(`/herds/${ids.herd}/closeout`, BOTH)],
    ['closeouts of a period', () => read('/reports/herd-closeouts', BOTH)],
    ['roll-forward', () => rolled(BOTH)],
    ['position', () => position(DECEMBER.until)],
    ['year-end inventory', () => read('/reports/year-end-inventory', { on: DECEMBER.until })],
    ['general ledger', () => read('/general-ledger', BOTH)],
    ['journal', () => read('/journal', BOTH)],
    ['trial balance', () => read('/reports/trial-balance', BOTH)],
    ['trial balance of all', () => read('/reports/trial-balance', { until: BOTH.until })],
    ['cost variances', () => read('/reports/cost-variances', BOTH)],
    ['lot card', () => read(`/hay-lots/${ids.dear}/card`, { until: BOTH.until })],
    ['money budget', () => read('/reports/budget-against-actual', { from: '2026-11', until: '2026-12' })],
    [
      'roll-up',
      async () => {
        const { operations } = await read<{ operations: { flags: Flag[] }[] }>('/v1/accounting/roll-up', BOTH);
        return { flags: operations.flatMap(({ flags }) => flags) };
      },
    ],
    ['tie-out', () => read('/reports/tie-out', BOTH)],
  ];

  // Under their own lots 6 tons of A are 600 and 9 of B 1,800; at the mean of 150, 15 tons are 2,250.
  it.each(REPORTS)('%s says that the method changed in its days, when, and by how much', async (_, report) => {
    const flag = (await report()).flags.find(({ code }) => code === CHANGED);
    expect(flag?.message).toMatch(/specific-lot/);
    expect(flag?.message).toMatch(/moving-average/);
    expect(flag?.message).toContain('2026-12-01');
    expect(flag?.message).toContain('-150.00 USD');
  });

  it.each([
    ['season cost', () => read<{ flags: Flag[] }>('/reports/season-cost', { from: '2026-12-04', until: '2026-12-31' })],
    ['roll-forward', () => rolled({ from: '2026-12-04', until: '2026-12-31' })],
  ])('%s says so too where the change lies just before its days', async (_, report) => {
    expect((await report()).flags.map(({ code }) => code)).toContain(CHANGED);
  });

  it('and none of the closed days says so', async () => {
    expect((await rolled(NOVEMBER)).flags).toEqual([]);
    expect((await position(NOVEMBER.until)).flags).toEqual([]);
  });
});

describe('through a change', () => {
  it('the roll-forward begins with what was closed, and the change is a line of its own', async () => {
    const [november, december, both] = [await rolled(NOVEMBER), await rolled(DECEMBER), await rolled(BOTH)];
    const closed = await position(NOVEMBER.until);
    expect(december.total.opening).toEqual({ quantity: closed.total.quantity, value: closed.total.value });
    expect(november.total.closing).toEqual(december.total.opening);
    expect(both.total.closing).toEqual(december.total.closing);
    // 150.00 of what was on hand then, and 50.00 of the ton that had been charged at 200 and comes back at 150.
    expect(december.total.flows['costing-method']).toMatchObject({
      quantity: { value: '0' },
      value: { amount: '-200.00' },
    });
    expect(december.total.flows['correction']).toMatchObject({ quantity: { value: '1' }, value: { amount: '200.00' } });
    for (const { total } of [november, december, both])
      expect(
        cents(total.opening.value) + Object.values(total.flows).reduce((sum, { value }) => sum + cents(value), 0),
      ).toBe(cents(total.closing.value));
    for (const flow of Object.keys(both.total.flows))
      if (!['fed', 'correction'].includes(flow))
        expect([flow, cents(both.total.flows[flow]!.value)]).toEqual([
          flow,
          cents(november.total.flows[flow]!.value) + cents(december.total.flows[flow]!.value),
        ]);
  });

  it('the change is an entry of the first open day, lot by lot, that balances', async () => {
    const change = (await ledger(DECEMBER)).filter(({ kind }) => kind === 'costing-method-change');
    expect(
      change.map(({ on, account, hayLot, debit, credit }) => [on, account, hayLot, debit.amount, credit.amount]).sort(),
    ).toEqual([
      // At the mean A is 6 x 150 = 900 instead of 600, B 9 x 150 = 1,350 instead of 1,800.
      ['2026-12-01', 'costing-method-change', 'A', '0.00', '300.00'],
      ['2026-12-01', 'costing-method-change', 'B', '450.00', '0.00'],
      ['2026-12-01', 'hay-inventory', 'A', '300.00', '0.00'],
      ['2026-12-01', 'hay-inventory', 'B', '0.00', '450.00'],
    ]);
    const journal = await read<{ items: { kind: string; on: string; lines: Line[] }[] }>('/journal', {
      ...DECEMBER,
      limit: '1',
    });
    expect(journal.items.map(({ kind, on }) => [kind, on])).toEqual([['costing-method-change', '2026-12-01']]);
    const lines = await ledger(BOTH);
    expect(lines.reduce((sum, line) => sum + cents(line.debit) - cents(line.credit), 0)).toBe(0);
    expect(net(lines, 'hay-inventory')).toBe(cents((await position(BOTH.until)).total.value));
  });

  it('a mistake of the closed days that is taken back is taken back at what it was charged', async () => {
    // Fed in November at 200, and that is what December gives back of it; 4 tons at 100 and 1 at the mean stand.
    const lines = await ledger(BOTH);
    const december = await ledger(DECEMBER);
    const season = await read<{
      total: { hayCost: Amount; corrections: Amount };
      correctionsOfEarlier: { amount: Amount }[];
    }>('/reports/season-cost', DECEMBER);
    expect(season.correctionsOfEarlier.map(({ amount }) => amount.amount)).toEqual(['-200.00']);
    expect(net(december, 'feed-expense')).toBe(cents(season.total.hayCost) - 20_000);
    const both = await read<{ total: { hayCost: Amount; fed: { value: string } } }>('/reports/season-cost', BOTH);
    expect([both.total.hayCost.amount, both.total.fed.value]).toEqual(['550.00', '5']);
    expect(net(lines, 'feed-expense')).toBe(55_000);
    // As if it had never been: 6 tons of A and 10 of B were 2,600, at their mean of 150 they are 2,400.
    expect(net(lines, 'costing-method-change')).toBe(20_000);
  });

  it('journal pages, trial balances and months of the season add up to the whole', async () => {
    const paged: { on: string; lines: Line[] }[] = [];
    for (let cursor: string | null = ''; cursor !== null;) {
      const page: { items: typeof paged; nextCursor: string | null } = await read('/journal', {
        ...BOTH,
        limit: '1',
        ...(cursor === '' ? {} : { cursor }),
      });
      paged.push(...page.items);
      cursor = page.nextCursor;
    }
    const whole = await read<{ items: typeof paged }>('/journal', { ...BOTH, limit: '200' });
    expect(paged).toEqual(whole.items);
    // Worked out some days at a time, or as a whole with all other books.
    const amounts = (lines: readonly Line[]): string[] =>
      lines.map(({ account, debit, credit }) => `${account} ${debit.amount} ${credit.amount}`).sort();
    const days = [...new Set(paged.map(({ on }) => on))];
    expect(days).toEqual([...days].sort());
    const hay = (await ledger(BOTH)).filter(({ hayLot }) => hayLot !== null);
    for (const day of days)
      expect([day, amounts(paged.filter(({ on }) => on === day).flatMap(({ lines }) => lines))]).toEqual([
        day,
        amounts(hay.filter(({ on }) => on === day)),
      ]);
    expect(new Set(hay.map(({ on }) => on))).toEqual(new Set(days));
    interface Trial {
      rows: { accountNumber: string; debit: Amount; credit: Amount }[];
    }
    const sums = (some: readonly Trial[]): Record<string, number> => {
      const all: Record<string, number> = {};
      for (const { accountNumber, debit, credit } of some.flatMap(({ rows }) => rows))
        all[accountNumber] = (all[accountNumber] ?? 0) + cents(debit) - cents(credit);
      return all;
    };
    const trial = (days: Record<string, string>): Promise<Trial> => read('/reports/trial-balance', days);
    const all = await trial({ until: BOTH.until });
    expect(sums([all])).toEqual(sums([await trial(BOTH)]));
    expect(sums([all])).toEqual(sums([await trial(NOVEMBER), await trial(DECEMBER)]));
    const months = await read<{ rows: { key: string; hayCost: Amount }[] }>('/reports/season-cost', {
      ...BOTH,
      by: 'month',
    });
    expect(months.rows.map(({ key, hayCost }) => [key, hayCost.amount])).toEqual([
      ['2026-11', '400.00'],
      ['2026-12', '150.00'],
    ]);
  });

  it('position, closeout, cost of gain and lot card tie to them', async () => {
    const { total, reconciliation: of } = await position(BOTH.until);
    const [received, drawn, change, onHand] = [
      of['valueReceived'],
      of['valueDrawn'],
      of['valueOfMethodChanges'],
      of['valueOnHand'],
    ];
    expect(cents(received!) - cents(drawn!) + cents(change!)).toBe(cents(onHand!));
    expect(onHand).toEqual(total.value);
    const closeout = await read<{ lines: { line: string; amount: Amount; entries: { amount: Amount }[] }[] }>(
      `/herds/${ids.herd}/closeout`,
      BOTH,
    );
    const hay = closeout.lines.find(({ line }) => line === 'hay');
    expect([hay?.amount.amount, hay?.entries.map(({ amount }) => amount.amount)]).toEqual([
      '550.00',
      ['400.00', '150.00'],
    ]);
    const gained = await read<{ herds: { figures: { feedCost: Amount } }[] }>('/reports/cost-of-gain', BOTH);
    expect(gained.herds[0]?.figures.feedCost.amount).toBe('550.00');
    const card = await read<{ value: Amount; lines: { kind: string; cost: Amount | null }[] }>(
      `/hay-lots/${ids.cheap}/card`,
      { until: BOTH.until },
    );
    expect(card.lines.map(({ kind, cost }) => [kind, cost?.amount])).toEqual([
      ['purchase', '1000.00'],
      ['feed', '-400.00'],
      ['costing-method-change', '300.00'],
      ['feed', '-150.00'],
    ]);
    expect(card.value.amount).toBe('750.00');
  });

  it('a year of them ties, month by month', async () => {
    const { months, ties } = await read<{ months: { differences: string[] }[]; ties: boolean }>(
      '/reports/tie-out',
      BOTH,
    );
    expect([ties, months.map(({ differences }) => differences)]).toEqual([true, [[], []]]);
  });

  it('once the new days are closed too, later reports need no word, those over the change still do', async () => {
    const before = await rolled(BOTH);
    await operation.as.accountant.post(operation.at('/closings'), { until: DECEMBER.until }, { expect: 201 });
    expect((await rolled({ from: '2027-01-01', until: '2027-01-14' })).flags).toEqual([]);
    expect(await rolled(BOTH)).toEqual(before);
    // And a second change, back to the first method.
    await useMethod('specific-lot');
    const january = await rolled({ from: '2027-01-01', until: '2027-01-14' });
    expect(january.total.opening.value).toEqual(before.total.closing.value);
    expect(january.flags.map(({ code }) => code)).toEqual([CHANGED]);
    const all = await rolled({ from: NOVEMBER.from, until: '2027-01-14' });
    expect(all.flags.map(({ code }) => code)).toEqual([CHANGED, CHANGED]);
    // As if it had always been the first one: 5 tons of A and 9 of B.
    expect(all.total.closing.value.amount).toBe('2300.00');
    const { ties } = await read<{ ties: boolean }>('/reports/tie-out', { from: NOVEMBER.from, until: '2027-01-14' });
    expect(ties).toBe(true);
  });
});
