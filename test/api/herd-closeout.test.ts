/*
 * A lot of feeders closed out from the records that were entered: money, gain, breakeven, profit; the same feed cost as
 * season cost, the same cost of gain as its report; every line opens to its entries; a mistake reversed leaves no
 * trace. Everything here is invented.
 */
import { parse } from 'csv-parse/sync';
import { SignInStore } from '../../src/access/sign-in/sign-in.store.js';
import { addDays } from '../../src/core/time/calendar-day.js';
import { lateCost } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Amount {
  amount: string;
}
interface Line {
  line: string;
  side: string;
  amount: Amount | null;
  href: string | null;
  entries: { kind: string; id: string | null; amount: Amount | null; href: string | null }[];
}
interface GainCost {
  gain: { value: string };
  feed: Amount;
  feedAndYardage: Amount;
  all: Amount;
}
interface Gain {
  figures: { deadsOut: GainCost; deadsIn: GainCost | null } | null;
  refusedBecause: { code: string; headChangeId: string | null; message: string }[];
}
interface CloseoutBody {
  from: string;
  until: string;
  head: Record<string, number | string>;
  flags: { code: string; message: string }[];
  lines: Line[];
  totals: { cattleIn: Amount | null; cattleOut: Amount | null; feed: Amount; costs: Amount };
  hay: { atCost: Amount; atMarket: Amount | null };
  interest: { terms: string; days: number; onCattle: Amount; onCosts: Amount };
  gain: Gain;
  gainAtSameFill: Gain;
  breakEven: { saleWeight: { value: string }; deadsIn: Amount & { per: string }; deadsOut: Amount } | null;
  profit: { total: Amount; perHeadIn: Amount; perHeadOut: Amount } | null;
  profitWithHayAtMarket: { total: Amount } | null;
  correctedOfEarlier: { otherCosts: Amount; cattle: Amount };
}

const IN = '2026-11-01';
const OUT = '2027-01-10';
/** 200 a ton is 10 cents a pound. */
const PRICE = { basis: 'per-mass', amount: '200', per: 'ton' };

let world: World;
beforeAll(async () => {
  world = await openWorld();
});
afterAll(() => world.close());

/** Forty steers bought at 500 lb, weighed on arrival, fed from one lot of hay. */
class Feeders {
  private constructor(
    readonly operation: Operation,
    readonly ranchId: string,
    readonly herdId: string,
    readonly lotId: string,
    readonly purchaseId: string,
  ) {}

  static async open(): Promise<Feeders> {
    const operation = await operationWith(world);
    const ranchId = await ranch(operation);
    const { lotId, purchaseId } = await lot(operation, ranchId, { price: PRICE, purchasedOn: '2026-10-20' });
    const herdId = await herd(operation, ranchId, { head: 0, since: IN });
    const lots = new Feeders(operation, ranchId, herdId, lotId, purchaseId);
    await lots.post('/yardage-rates', { fromOn: '2026-10-01', perHeadDay: '0.50' });
    await lots.change('in', IN, 40, '500', { basis: 'per-mass', amount: '250', per: 'cwt', party: 'An auction' });
    return lots;
  }

  async post(path: string, body: object): Promise<WithId> {
    const { manager } = this.operation.as;
    return (await manager.post<WithId>(this.operation.at(path), body, { expect: 201 })).body;
  }

  async change(kind: string, happenedOn: string, head: number, pounds: string | null, price?: object): Promise<string> {
    const meanWeight = pounds === null ? {} : { meanWeight: { value: pounds, unit: 'lb' } };
    const body = { kind, happenedOn, head, ...meanWeight, ...(price === undefined ? {} : { price }) };
    return (await this.post(`/herds/${this.herdId}/head-changes`, body)).id;
  }

  weigh(weighedOn: string, head: number, value: string): Promise<WithId> {
    const mean = { measure: 'mean', weight: { value, unit: 'lb' } };
    return this.post('/weigh-ins', { scope: 'group', herdId: this.herdId, weighedOn, fill: 'full', head, ...mean });
  }

  feed(fedOn: string, pounds: number): Promise<string> {
    return feeding(this.operation, this.herdId, [[this.lotId, String(pounds)]], { fedOn });
  }

  cost(happenedOn: string, amount: string): Promise<WithId> {
    return this.post('/herd-costs', { herdId: this.herdId, kind: 'veterinary', happenedOn, payee: 'A vet', amount });
  }

  async reverse(record: string, effectiveOn?: string): Promise<void> {
    await this.post(`/${record}/reversal`, {
      reason: 'It was not so',
      ...(effectiveOn === undefined ? {} : { effectiveOn }),
    });
  }

  /** Two die, 38 are sold at 640 lb, 3 % pencil shrink. */
  async end(): Promise<void> {
    await this.change('death', '2026-12-01', 2, '540');
    await this.change('sale', OUT, 38, '640', {
      basis: 'per-mass',
      amount: '240',
      per: 'cwt',
      pencilShrinkPercent: '3',
      party: 'A packer',
    });
  }

  async read<Body>(path: string, query: Record<string, string> = {}): Promise<Body> {
    const { accountant } = this.operation.as;
    return (await accountant.get<Body>(this.operation.at(path), { query, expect: 200 })).body;
  }

  closeout(query: Record<string, string> = {}): Promise<CloseoutBody> {
    return this.read(`/herds/${this.herdId}/closeout`, { units: 'us', ...query });
  }
}

const cents = (amounts: readonly (Amount | null)[]): number =>
  amounts.reduce((sum, one) => sum + Math.round(Number(one?.amount ?? 0) * 100), 0);

/** A whole lot: twenty feedings, a vet's bill, a bill that came late. */
async function wholeLot(): Promise<Feeders> {
  const lots = await Feeders.open();
  for (let day = 0; day < 20; day += 1) await lots.feed(addDays('2026-11-10', day), 1000);
  await lots.cost('2026-11-03', '480');
  await lateCost(
    lots.operation,
    { kind: 'hay-purchase', id: lots.purchaseId },
    { billedOn: '2027-01-12', amount: '240' },
  );
  await lots.end();
  return lots;
}

describe('a lot of feeders', () => {
  let lots: Feeders;
  beforeAll(async () => {
    lots = await wholeLot();
  });

  // By hand: bought 40 x 500 lb at $2.50 = 50,000; sold 38 x 640 x 0.97 = 23,590.4 lb at $2.40 = 56,616.96. Hay 20,000
  // lb at 10 cents = 2,000, and 10 of the 24 tons' late bill of 240 = 100. Head-days 30 x 40 + 40 x 38 = 2,720 at
  // 0.50 = 1,360. Vet 480. Costs 3,940; profit 56,616.96 - 50,000 - 3,940 = 2,676.96.
  it('is closed out over the days on which its cattle came and went, to the cent', async () => {
    const found = await lots.closeout();
    expect([found.from, found.until]).toEqual([IN, OUT]);
    expect(found.head).toEqual({
      opening: 0,
      cameIn: 40,
      died: 2,
      wentOut: 38,
      closing: 0,
      headDays: 2720,
      deathLossPercent: '5',
    });
    expect(Object.fromEntries(found.lines.map(({ line, amount }) => [line, amount?.amount]))).toEqual({
      'cattle-bought': '50000.00',
      'cattle-sold': '56616.96',
      'dead-cattle': '0.00',
      hay: '2000.00',
      yardage: '1360.00',
      veterinary: '480.00',
      'late-costs': '100.00',
    });
    expect(found.profit).toMatchObject({ total: { amount: '2676.96' }, perHeadIn: { amount: '66.92' } });
    expect(found.flags).toEqual([]);
    // 24,320 + 1,080 - 20,000 = 5,400 lb; without the dead 4,320. At pay weights 23,590.4 + 1,080 - 20,000 = 4,670.4.
    const { deadsOut, deadsIn } = found.gain.figures ?? {};
    expect([deadsOut?.gain.value, deadsIn?.gain.value]).toEqual(['5400', '4320']);
    expect([deadsOut?.feed.amount, deadsOut?.feedAndYardage.amount, deadsIn?.all.amount]).toEqual([
      '0.3704',
      '0.6222',
      '0.9120',
    ]);
    expect(found.gainAtSameFill.figures?.deadsOut.gain.value).toBe('4670.4');
    // 53,940 over 23,590.4 lb, and over 24,670.4 lb with the dead.
    expect(found.breakEven).toMatchObject({
      deadsIn: { amount: '228.65', per: 'cwt' },
      deadsOut: { amount: '218.64' },
    });
  });

  it('opens every line to its entries, which add up to it and can be read', async () => {
    const { lines } = await lots.closeout();
    for (const { line, amount, entries, href } of lines) {
      if (entries.length > 0)
        expect({ line, sum: cents(entries.map((one) => one.amount)) }).toEqual({ line, sum: cents([amount]) });
      for (const at of [href, ...entries.map((one) => one.href)])
        if (at !== null) await lots.operation.as.accountant.get(at, { expect: 200 });
    }
    expect(lines.find(({ line }) => line === 'hay')?.entries).toHaveLength(20);
  });

  it('has the feed cost of season cost over the same days', async () => {
    const span = { from: IN, until: OUT };
    const season = await lots.read<{
      rows: { key: string; hayCost: Amount; otherFeedCost: Amount; yardageCost: Amount }[];
    }>('/reports/season-cost', { ...span, by: 'herd' });
    const own = season.rows.find(({ key }) => key === lots.herdId);
    const { totals, lines } = await lots.closeout(span);
    expect(cents([totals.feed])).toBe(cents([own?.hayCost ?? null, own?.otherFeedCost ?? null]));
    expect(lines.find(({ line }) => line === 'yardage')?.amount).toEqual(own?.yardageCost);
  });

  it('has the cost of gain of its report, where cattle were weighed as they came and went', async () => {
    const feeders = await Feeders.open();
    await feeders.feed('2026-11-10', 1000);
    await feeders.weigh(IN, 40, '500');
    await feeders.weigh('2027-01-09', 38, '640');
    await feeders.change('death', '2026-12-01', 2, '540');
    // The report's costs end with the day before the closing weighing, those of a closeout with its last day.
    const report = await feeders.read<{ herds: { figures: Record<string, Amount & { totalCostOfGain: Amount }> }[] }>(
      '/reports/cost-of-gain',
      { from: IN, until: '2027-01-09', windowDays: '0', units: 'us' },
    );
    await feeders.change('sale', '2027-01-09', 38, '640', { basis: 'per-head', amount: '1500' });
    const found = await feeders.closeout({ from: IN, until: '2027-01-09' });
    const [row] = report.herds;
    expect(found.gain.figures?.deadsOut.feed.amount).toBe(row?.figures['feedCostOfGain']?.amount);
    expect(found.gain.figures?.deadsOut.feedAndYardage.amount).toBe(row?.figures['totalCostOfGain']?.amount);
    expect(found.gain.figures?.deadsIn?.feedAndYardage.amount).toBe(row?.figures['deadsIn']?.totalCostOfGain.amount);
  });

  it('bears interest, hay at the farm price and a stated shrink only where they are asked for', async () => {
    const plain = await lots.closeout();
    expect(plain.interest).toMatchObject({ onCattle: { amount: '0.00' }, onCosts: { amount: '0.00' } });
    expect([plain.hay.atMarket, plain.profitWithHayAtMarket]).toEqual([null, null]);
    const asked = await lots.closeout({
      interestRatePercent: '7.3',
      hayMarketPrices: 'meadow:260',
      hayDispositionCost: '10',
      shrinkInPercent: '2',
      shrinkOutPercent: '4',
    });
    // 70 days: 50,000 x 0.073 x 70/365 = 700.00; 3,940 x 0.073 x 35/365 = 27.58. Hay: 10 tons at 250 = 2,500.
    expect(asked.interest).toMatchObject({ days: 70, onCattle: { amount: '700.00' }, onCosts: { amount: '27.58' } });
    expect(asked.hay.atMarket).toMatchObject({ amount: '2500.00' });
    expect(asked.profit?.total.amount).toBe('1949.38');
    expect(asked.profitWithHayAtMarket?.total.amount).toBe('1449.38');
    // (24,320 + 1,080) x 0.96 - 20,000 x 0.98 = 4,784.
    expect(asked.gainAtSameFill.figures?.deadsOut.gain.value).toBe('4784');
    const unpriced = await lots.closeout({ hayMarketPrices: 'alfalfa:260' });
    expect(unpriced.flags).toEqual([expect.objectContaining({ code: 'no-market-price' })]);
  });

  it('comes as a file of the same lines, entries and figures', async () => {
    const { accountant } = lots.operation.as;
    const address = lots.operation.at(`/herds/${lots.herdId}/closeout`);
    const { text } = await accountant.get(address, { query: { format: 'csv', units: 'us' }, expect: 200 });
    const rows: string[][] = parse(text, { bom: true, relaxColumnCount: true, fromLine: 1 });
    const of = (section: string): string[][] => rows.filter((row) => row[0] === section);
    const { lines } = await lots.closeout();
    expect(of('cost').map((row) => row[7])).toEqual(
      lines.filter(({ side }) => side === 'cost').map(({ amount }) => amount?.amount),
    );
    expect(of('cattle-out-entry')).toHaveLength(2);
    expect(
      of('figure')
        .find((row) => row[1] === 'Profit')
        ?.slice(8),
    ).toEqual(['2676.96', 'USD']);
    await accountant.get(address, { query: { format: 'xlsx' }, expect: 200 });
  });

  it('is a page and a paper, for who sees prices', async () => {
    const yard = `/yard/operations/${lots.operation.id}`;
    const address = `${yard}/herds/${lots.herdId}/closeout`;
    const opened = async (role: 'accountant' | 'hand', query = '', at = address) => {
      const sessions = world.application.get(SignInStore);
      const { id } = lots.operation.people[role];
      const token = await sessions.openPageSession(id, 'test', world.clock.now(), '10.0.0.9', 12);
      const headers = { accept: 'text/html,*/*;q=0.8', host: 'yard.test:4180', cookie: `rickyard_pages=${token}` };
      return world.application.inject({ method: 'GET', url: `${at}${query}`, headers });
    };
    const page = await opened('accountant');
    expect([page.statusCode, page.headers['content-type']]).toEqual([200, 'text/html; charset=utf-8']);
    for (const words of ['Profit: 2,676.96 USD', '56,616.96 USD', 'A packer', '228.65'])
      expect(page.payload).toContain(words);
    const paper = await opened('accountant', '?format=pdf');
    expect([paper.statusCode, paper.headers['content-type']]).toEqual([200, 'application/pdf']);
    expect((await opened('hand')).statusCode).toBe(403);
    // The lot is gone, and its closeout is still found from the page of the operation.
    expect((await opened('accountant', '', yard)).payload).toContain(`href="${address}"`);
    expect((await opened('hand', '', yard)).payload).not.toContain('/closeout');
  });

  it('is hidden from who sees no prices, and from other operations', async () => {
    const address = lots.operation.at(`/herds/${lots.herdId}/closeout`);
    await lots.operation.as.hand.get(address, { expect: 403 });
    const other = await operationWith(world);
    await other.as.accountant.get(address, { expect: 404 });
  });
});

describe('what is not known', () => {
  it('leaves figures out and says of which entry', async () => {
    const lots = await Feeders.open();
    const sold = await lots.change('sale', '2026-12-20', 10, null);
    const found = await lots.closeout({ until: '2026-12-31' });
    expect(found).toMatchObject({ profit: null, breakEven: null, totals: { cattleOut: null } });
    expect(found.flags.map(({ code }) => code)).toEqual(['no-closing-value', 'no-price', 'no-weight']);
    expect(found.gain.refusedBecause.map(({ code }) => code)).toEqual(['no-weighing']);
    await lots.weigh('2026-12-30', 30, '600');
    const weighed = await lots.closeout({ until: '2026-12-31' });
    expect(weighed.gain.refusedBecause).toEqual([
      expect.objectContaining({ code: 'flow-without-weight', headChangeId: sold }),
    ]);
  });

  it('refuses a cost of a loss in the unit asked for', async () => {
    const lots = await Feeders.open();
    await lots.change('sale', '2026-12-20', 40, '480', { basis: 'per-head', amount: '1200' });
    const { gain } = await lots.closeout();
    expect(gain.refusedBecause.map(({ message }) => message)).toEqual([
      'The herd lost 800 lb between the weighings: a cost of gain has no meaning.',
    ]);
  });

  it('a winter of cows is closed out at stated values', async () => {
    const lots = await Feeders.open();
    await lots.weigh('2026-12-01', 40, '540');
    await lots.weigh('2026-12-31', 40, '600');
    await lots.feed('2026-12-10', 1000);
    const found = await lots.closeout({
      from: '2026-12-01',
      until: '2026-12-31',
      openingValue: '250',
      openingValuePer: 'cwt',
      closingValue: '1500',
    });
    // 40 x 540 lb at $2.50 = 54,000; 40 x 1,500 = 60,000; hay 100, yardage 31 x 40 x 0.50 = 620.
    expect(found.totals).toMatchObject({ cattleIn: { amount: '54000.00' }, cattleOut: { amount: '60000.00' } });
    expect(found.profit?.total.amount).toBe('5280.00');
    expect(found.gain.figures?.deadsOut.gain.value).toBe('2400');
    expect(found.breakEven?.deadsIn.amount).toBe(((54_720 / 24_000) * 100).toFixed(2));
  });
});

describe('closed with the books', () => {
  interface Closed {
    closingId: string;
  }
  type Listed = CloseoutBody & { herdId: string; closed: Closed | null };
  interface Period {
    closed: Closed | null;
    ended: Listed[];
    ofThePeriod: Listed[];
  }
  const days = ({ from, until }: { from: string; until: string }): string => `${from} ${until}`;

  it('stores the lot that ended in the period over all its days, and every herd over those of the period', async () => {
    const lots = await Feeders.open();
    const others = await herd(lots.operation, lots.ranchId, { name: 'Stay on', head: 10, since: '2026-11-20' });
    const { accountant, manager } = lots.operation.as;
    const close = async (until: string): Promise<string> =>
      (await accountant.post<WithId>(lots.operation.at('/closings'), { until }, { expect: 201 })).body.id;
    const period = (from: string, until: string): Promise<Period> =>
      lots.read('/reports/herd-closeouts', { from, until, units: 'us' });
    await lots.feed('2026-11-10', 1000);
    await close('2026-11-30');
    await lots.feed('2026-12-10', 2000);
    await lots.change('sale', '2026-12-30', 40, '640', { basis: 'lump-sum', amount: '60000' });
    const december = { from: '2026-12-01', until: '2026-12-31' };
    const openDays = await period(december.from, december.until);
    const closing = await close(december.until);
    const stored = await period(december.from, december.until);
    expect([openDays.closed, stored.closed?.closingId]).toEqual([null, closing]);
    expect({ ...stored, closed: null }).toEqual({ ...openDays, closed: null });
    // The lot began in the period before; it is told there over that period's days, and ended in none.
    expect(stored.ended.map(days)).toEqual([`${IN} 2026-12-30`]);
    expect(stored.ofThePeriod.map(({ herdId }) => herdId).sort()).toEqual([lots.herdId, others].sort());
    expect((await period(IN, '2026-11-30')).ended).toEqual([]);
    // 3,000 lb of hay at 10 cents; 40 head for 59 days at 50 cents.
    expect(stored.ended[0]?.totals).toMatchObject({ feed: { amount: '300.00' }, costs: { amount: '1480.00' } });
    expect(stored.ended[0]?.profit?.total.amount).toBe('8520.00');

    // The closeout of exactly the closed days is the stored one; with terms, or over other days, it is worked out.
    const own = await lots.read<Listed>(`/herds/${lots.herdId}/closeout`, { ...december, units: 'us' });
    expect(own).toEqual({ ...stored.ofThePeriod.find(({ herdId }) => herdId === lots.herdId), closed: own.closed });
    expect(own.closed?.closingId).toBe(closing);
    const termed = { ...december, interestRatePercent: '5' };
    expect((await lots.read<Listed>(`/herds/${lots.herdId}/closeout`, termed)).closed).toBeNull();

    // A bill that comes later changes nothing that was stored; the lot has it, and says what it was closed with.
    expect((await lots.closeout()).flags.map(({ code }) => code)).toEqual([]);
    await lateCost(
      lots.operation,
      { kind: 'hay-purchase', id: lots.purchaseId },
      { billedOn: '2027-01-05', amount: '240' },
    );
    expect(await period(december.from, december.until)).toEqual(stored);
    const late = await lots.closeout();
    // A sixteenth of the 24 tons.
    expect(late.totals.costs.amount).toBe('1495.00');
    expect(late.flags).toEqual([
      expect.objectContaining({
        code: 'changed-since-closing',
        message: expect.stringContaining('1480.00 USD') as string,
      }),
    ]);
    // Opened again, nothing stored answers.
    await accountant.post(lots.operation.at(`/closings/${closing}/reopening`), { reason: 'A bill' }, { expect: 200 });
    expect((await period(december.from, december.until)).closed).toBeNull();
    expect((await lots.closeout()).flags).toEqual([]);
    expect((await manager.get(lots.operation.at('/reports/herd-closeouts'), { query: december })).status).toBe(200);
  });

  it('has the bills that came before its cattle or after they had left, in the days of its interest', async () => {
    const lots = await Feeders.open();
    const { accountant } = lots.operation.as;
    const december = { from: '2026-12-01', until: '2026-12-31' };
    await lots.cost('2026-10-31', '300');
    await lots.change('sale', '2026-12-30', 40, '640', { basis: 'lump-sum', amount: '60000' });
    await accountant.post(lots.operation.at('/closings'), { until: december.until }, { expect: 201 });
    // 40 head for 59 days at 50 cents, and the haul of the day before they came.
    const before = await lots.closeout();
    expect([days(before), before.totals.costs.amount, before.interest.days]).toEqual([
      '2026-10-31 2026-12-30',
      '1480.00',
      59,
    ]);
    const commission = await lots.cost('2027-01-04', '611');
    await lots.cost('2027-01-08', '25');
    const after = await lots.closeout();
    expect([days(after), after.totals.costs.amount, after.interest.days]).toEqual([
      '2026-10-31 2027-01-08',
      '2116.00',
      59,
    ]);
    expect(after.profit?.total.amount).toBe('7884.00');
    expect(after.flags.map(({ code }) => code)).toEqual(['changed-since-closing']);
    // The closed period keeps what was known; one that has the last day of the lot and the bills has them.
    const told = async (until: string): Promise<string[]> => {
      const found = await lots.read<Period>('/reports/herd-closeouts', { from: '2026-10-01', until, units: 'us' });
      return found.ended.map((one) => `${days(one)}: ${one.totals.costs.amount}`);
    };
    expect(await told('2027-01-05')).toEqual(['2026-10-31 2027-01-04: 2091.00']);
    expect(await told('2027-01-31')).toEqual(['2026-10-31 2027-01-08: 2116.00']);
    // A bill that was none leaves no trace, and the next lot begins with its own cattle.
    await lots.reverse(`herd-costs/${commission.id}`);
    await lots.change('in', '2027-01-09', 5, '500');
    await lots.cost('2027-01-10', '7');
    expect(await told('2027-01-31')).toEqual(['2026-10-31 2027-01-08: 1505.00']);
    expect((await lots.closeout()).from).toBe('2027-01-09');
  });

  it('comes as a table, one line a closeout', async () => {
    const lots = await wholeLot();
    const { text } = await lots.operation.as.accountant.get(lots.operation.at('/reports/herd-closeouts'), {
      query: { from: IN, until: '2027-01-14', format: 'csv', units: 'us', head: 'no' },
      expect: 200,
    });
    const rows = parse<Record<string, string>>(text, { bom: true, columns: true });
    expect(rows.map((row) => [row['closeout'], row['from'], row['until'], row['profit_USD']])).toEqual([
      ['lot that ended', IN, OUT, '2676.96'],
      ['the days of the period', IN, '2027-01-14', '2676.96'],
    ]);
  });
});

it('tells money that a reversal takes back of earlier days, of cattle as of costs, as the budget does', async () => {
  const lots = await Feeders.open();
  const sold = await lots.change('sale', '2026-11-20', 2, '540', { basis: 'lump-sum', amount: '3200' });
  const bill = await lots.cost('2026-11-12', '80');
  await lots.reverse(`herds/${lots.herdId}/head-changes/${sold}`, '2026-12-05');
  await lots.reverse(`herd-costs/${bill.id}`, '2026-12-06');
  const found = await lots.closeout({ from: '2026-12-01', until: '2026-12-31' });
  expect(found.correctedOfEarlier).toMatchObject({ otherCosts: { amount: '-80.00' }, cattle: { amount: '3200.00' } });
  expect(found.flags.map(({ code }) => code)).toEqual(
    expect.arrayContaining(['corrected-costs-of-earlier-days', 'corrected-cattle-of-earlier-days']),
  );
  const budget = await lots.read<{ correctionsOfEarlier: { line: string; amount: Amount }[] }>(
    '/reports/budget-against-actual',
    { from: '2026-12', until: '2026-12' },
  );
  expect(budget.correctionsOfEarlier.map(({ line, amount }) => `${line} ${amount.amount}`)).toEqual([
    // Two head that stood for the eleven days after all.
    'yardage 11.00',
    'herd-costs -80.00',
    'cattle-sold -3200.00',
  ]);
});

it('a cost that is taken back after the cattle had left is none of their lot, and no correction later', async () => {
  const lots = await Feeders.open();
  await lots.change('sale', '2026-12-30', 40, '640', { basis: 'lump-sum', amount: '60000' });
  const never = (await lots.closeout()).totals.costs.amount;
  const wrong = await lots.cost('2026-12-20', '611');
  await lots.reverse(`herd-costs/${wrong.id}`, '2027-01-06');
  // Entered after the cattle had left, and taken back later still: of no lot.
  const none = await lots.cost('2027-01-08', '33');
  await lots.reverse(`herd-costs/${none.id}`, '2027-01-09');
  const lot = await lots.closeout();
  expect([`${lot.from} ${lot.until}`, lot.totals.costs.amount]).toEqual(['2026-11-01 2027-01-06', never]);
  const later = await lots.read<{ ended: CloseoutBody[] }>('/reports/herd-closeouts', {
    from: '2026-12-01',
    until: '2027-01-31',
    units: 'us',
  });
  expect(later.ended.map((one) => [`${one.from} ${one.until}`, one.totals.costs.amount])).toEqual([
    ['2026-11-01 2027-01-06', never],
  ]);
});

it('a mistake reversed leaves no trace, as of its own day or a later one', async () => {
  const [books, never] = [await Feeders.open(), await Feeders.open()];
  const wrong = [
    `herds/${books.herdId}/head-changes/${await books.change('death', '2026-11-15', 1, null)}`,
    `feedings/${await books.feed('2026-11-16', 700)}`,
    `herd-costs/${(await books.cost('2026-11-17', '99')).id}`,
  ];
  for (const [index, record] of wrong.entries()) await books.reverse(record, addDays('2026-11-20', index));
  for (const one of [books, never]) {
    await one.feed('2026-11-10', 1000);
    await one.cost('2026-11-03', '480');
    await one.end();
  }
  const told = async (one: Feeders): Promise<object> => {
    const { lines, profit, gain, breakEven, head, flags, totals } = await one.closeout();
    return {
      lines: lines.map(({ line, amount, entries }) => [line, amount, entries.map((entry) => entry.amount)]),
      profit,
      gain,
      breakEven,
      head,
      flags,
      totals,
    };
  };
  expect(await told(books)).toEqual(await told(never));
});
