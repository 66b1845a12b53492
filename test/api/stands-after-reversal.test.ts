/*
 * What was reversed and its reversal are in no report of days that have both; what corrects earlier days stands apart,
 * with its amount; a bill that comes late reaches the herds that ate the hay.
 */
import { addDays } from '../../src/core/time/calendar-day.js';
import { lateCost, sale } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import fc, { examples } from '../support/properties.js';
import { feeding, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Amount {
  amount: string;
}
interface Measure {
  value: string;
}
interface Correction {
  what: string;
  herdId: string;
  on: string;
  of: string;
  fed: Measure | null;
  head: number | null;
  headDays: number | null;
  amount: Amount;
}
interface Gained {
  figures: {
    headDays: number;
    totalGain: Measure;
    totalCost: Amount;
    feedCost: Amount;
    yardageCost: Amount;
    lateCosts: Amount;
    totalWithLateCosts: Amount;
    totalCostOfGain: Amount;
    totalCostOfGainWithLateCosts: Amount;
    deadsIn: { weightOfDead: Measure; totalGain: Measure; totalCostOfGain: Amount };
    hayFed: Measure;
  } | null;
  refusedBecause: { code: string; headChangeId: string | null; message: string }[];
  notes: { code: string; message: string }[];
  correctionsOfEarlier: Correction[];
}
interface SeasonRow {
  key: string;
  fed: Measure;
  headDays: number;
  totalCost: Amount;
  lateCosts: Amount;
  totalWithLateCosts: Amount;
  corrections: Amount;
}
interface Season {
  rows: SeasonRow[];
  total: SeasonRow;
  correctionsOfEarlier: Correction[];
  flags: { code: string; message: string }[];
}

const HEAD = 20;
const FROM = '2026-12-01';
const UNTIL = '2027-01-10';
/** 200 a ton is 10 cents a pound: feedings of whole tens of pounds cost whole dollars. */
const PRICE = { basis: 'per-mass', amount: '200', per: 'ton' };

let world: World;
beforeAll(async () => {
  world = await openWorld();
});
afterAll(async () => {
  await world.close();
});

/** An operation of one herd that was weighed twice, one lot of hay, and yardage of half a dollar. */
class Books {
  private constructor(
    readonly operation: Operation,
    readonly herdId: string,
    readonly lotId: string,
    readonly purchaseId: string,
  ) {}

  static async open(costingMethod: 'specific-lot' | 'moving-average' | 'fifo' = 'specific-lot'): Promise<Books> {
    const operation = await operationWith(world, { costingMethod });
    const ranchId = await ranch(operation);
    const { lotId, purchaseId } = await lot(operation, ranchId, { price: PRICE });
    const books = new Books(operation, await herd(operation, ranchId, { head: HEAD }), lotId, purchaseId);
    await books.post('/yardage-rates', { fromOn: '2026-11-01', perHeadDay: '0.50' });
    await books.weigh(FROM, '500');
    await books.weigh(UNTIL, '560');
    return books;
  }

  async post(path: string, body: object): Promise<WithId> {
    const { manager } = this.operation.as;
    return (await manager.post<WithId>(this.operation.at(path), body, { expect: 201 })).body;
  }

  weigh(weighedOn: string, value: string): Promise<WithId> {
    const mean = { measure: 'mean', weight: { value, unit: 'lb' } };
    return this.post('/weigh-ins', { scope: 'group', herdId: this.herdId, weighedOn, fill: 'full', head: 10, ...mean });
  }

  async leave(kind: 'death' | 'sale', happenedOn: string, head: number, pounds: string | null): Promise<string> {
    const meanWeight = pounds === null ? {} : { meanWeight: { value: pounds, unit: 'lb' } };
    return (await this.post(`/herds/${this.herdId}/head-changes`, { kind, happenedOn, head, ...meanWeight })).id;
  }

  feed(fedOn: string, pounds: number): Promise<string> {
    return feeding(this.operation, this.herdId, [[this.lotId, String(pounds)]], { fedOn });
  }

  async reverse(record: string, effectiveOn?: string): Promise<void> {
    await this.post(`/${record}/reversal`, {
      reason: 'It was not so',
      ...(effectiveOn === undefined ? {} : { effectiveOn }),
    });
  }

  reverseHead(id: string, effectiveOn?: string): Promise<void> {
    return this.reverse(`herds/${this.herdId}/head-changes/${id}`, effectiveOn);
  }

  async read<Body>(path: string, query: Record<string, string> = {}): Promise<Body> {
    const span = { from: FROM, until: UNTIL, ...query };
    const { accountant } = this.operation.as;
    return (await accountant.get<Body>(this.operation.at(path), { query: span, expect: 200 })).body;
  }

  async gained(query: Record<string, string> = {}): Promise<Gained> {
    const { herds } = await this.read<{ herds: Gained[] }>('/reports/cost-of-gain', {
      windowDays: '0',
      units: 'us',
      ...query,
    });
    const [own] = herds;
    if (own === undefined) throw new Error('no herd');
    return own;
  }

  season(query: Record<string, string> = {}): Promise<Season> {
    return this.read<Season>('/reports/season-cost', { by: 'herd', units: 'us', ...query });
  }
}

describe('a death entered without a weight', () => {
  it.each([
    ['as of its own day', undefined],
    ['as of a later day', '2026-12-20'],
  ])('reversed %s and entered with one leaves no trace', async (_, reversedOn) => {
    const [books, never] = [await Books.open(), await Books.open()];
    const wrong = await books.leave('death', '2026-12-10', 1, null);
    await books.reverseHead(wrong, reversedOn);
    for (const one of [books, never]) {
      await one.leave('death', '2026-12-10', 1, '510');
      await one.feed('2026-12-05', 500);
    }
    const found = await books.gained();
    expect(found.refusedBecause).toEqual([]);
    expect(found.figures).toEqual((await never.gained()).figures);
    // 9 days of 20 head and 31 of 19.
    expect(found.figures?.headDays).toBe(9 * 20 + 31 * 19);
    const converted = await books.read<{ herds: { figures: object | null }[] }>('/reports/feed-conversion');
    expect(converted.herds[0]?.figures).not.toBeNull();
  });

  it('is named by the refusal, with what to do', async () => {
    const books = await Books.open();
    const id = await books.leave('death', '2026-12-10', 2, null);
    const told = [
      {
        code: 'flow-without-weight',
        headChangeId: id,
        message: expect.stringMatching(/^2 head died on 2026-12-10 without a weight\. Reverse .* meanWeight/) as string,
      },
    ];
    expect((await books.gained()).refusedBecause).toEqual(told);
    const converted = await books.read<{ herds: Gained[] }>('/reports/feed-conversion', { windowDays: '0' });
    expect(converted.herds[0]?.refusedBecause).toEqual(told);
  });
});

describe('a record of an earlier period that is reversed in this one', () => {
  it('is told apart with its amount, in cost of gain and season cost', async () => {
    const books = await Books.open();
    const wrong = await books.feed('2026-11-20', 400);
    await books.feed('2026-12-05', 1000);
    await books.reverse(`feedings/${wrong}`, '2026-12-15');
    // A death that was none: half a dollar of yardage for each of the 10 days from Nov 21 to Nov 30.
    const dead = await books.leave('death', '2026-11-21', 1, '480');
    await books.reverseHead(dead, '2026-12-16');
    const found = await books.gained();
    expect(found.figures).toMatchObject({
      feedCost: { amount: '100.00' },
      hayFed: { value: '0.5' },
      headDays: 40 * HEAD,
      yardageCost: { amount: '400.00' },
    });
    const corrections = [
      { what: 'feeding', on: '2026-12-15', of: '2026-11-20', fed: { value: '-0.2' }, amount: { amount: '-40.00' } },
      { what: 'head-change', on: '2026-12-16', of: '2026-11-21', head: 1, headDays: 10, amount: { amount: '5.00' } },
    ];
    expect(found.correctionsOfEarlier).toMatchObject(corrections);
    const [told] = found.notes.filter(({ code }) => code === 'corrections-of-earlier-days');
    expect(told?.message).toContain('-35.00 USD');

    const season = await books.season();
    expect(season.correctionsOfEarlier).toMatchObject(corrections);
    expect(season.total).toMatchObject({ corrections: { amount: '-35.00' }, fed: { value: '0.5' } });
    expect(season.flags.find(({ code }) => code === 'corrections-of-earlier-days')?.message).toContain('-35.00 USD');
    // November has the mistakes, the two months together have neither: the parts and their corrections add up.
    const [before, whole] = [
      await books.season({ from: '2026-11-01', until: '2026-11-30' }),
      await books.season({ from: '2026-11-01' }),
    ];
    expect(before.total).toMatchObject({ fed: { value: '0.2' }, headDays: 30 * HEAD - 10 });
    expect(whole).toMatchObject({ correctionsOfEarlier: [], total: { fed: { value: '0.5' }, headDays: 71 * HEAD } });
    const parts = [before.total.totalCost, season.total.totalCost, season.total.corrections];
    expect(parts.reduce((sum, { amount }) => sum + Number(amount), 0)).toBeCloseTo(
      Number(whole.total.totalCost.amount),
      6,
    );
  });
});

describe('cattle that died', () => {
  it('count at their weight in one figure of gain, and not in the other', async () => {
    const books = await Books.open();
    await books.leave('death', '2026-12-11', 2, '520');
    await books.leave('sale', '2026-12-21', 1, '540');
    for (const on of ['2026-12-04', '2026-12-05', '2026-12-06', '2026-12-07']) await books.feed(on, 1000);
    // 17 x 560 + 2 x 520 + 540 - 20 x 500 = 1,100 lb; without 1,040 lb of the dead 60 lb.
    // Head-days 10 x 20 + 10 x 18 + 20 x 17 = 720, at 0.50; hay 400.
    const { figures } = await books.gained();
    expect(figures).toMatchObject({
      totalGain: { value: '1100' },
      totalCost: { amount: '760.00' },
      totalCostOfGain: { amount: '0.6909' },
      deadsIn: {
        weightOfDead: { value: '1040' },
        totalGain: { value: '60' },
        totalCostOfGain: { amount: '12.6667' },
      },
    });
    const { herds } = await books.read<{
      herds: { figures: { fedPerGain: string; deadsIn: { fedPerGain: string; totalGain: Measure } } | null }[];
    }>('/reports/feed-conversion', { units: 'us' });
    const [converted] = herds;
    expect(converted?.figures?.deadsIn.totalGain.value).toBe('60');
    // The same feed over 60 lb instead of 1,100; both are told to the hundredth.
    const [fedPerGain, deadsIn] = [converted?.figures?.fedPerGain, converted?.figures?.deadsIn.fedPerGain].map(Number);
    expect(Math.abs((deadsIn ?? NaN) * 60 - (fedPerGain ?? NaN) * 1100)).toBeLessThan(0.005 * (60 + 1100));
  });
});

describe('freight that is billed late', () => {
  it('is taken off the herds again where the bill is taken back, in days that have nothing else late', async () => {
    const books = await Books.open();
    await books.feed('2026-12-06', 1000);
    // A cent a pound of 48,000 lb, of which the herd ate 1,000.
    const of = { kind: 'hay-purchase', id: books.purchaseId };
    const { id } = await lateCost(books.operation, of, { billedOn: '2026-12-20', amount: '480' });
    await books.operation.as.manager.post(
      books.operation.at(`/late-costs/${id}/reversal`),
      { reason: 'Not ours', effectiveOn: '2027-01-10' },
      { expect: 201 },
    );
    const lateCosts = async (from: string, until: string): Promise<string> =>
      (await books.season({ from, until })).total.lateCosts.amount;
    expect(await lateCosts('2026-12-01', '2026-12-31')).toBe('10.00');
    // January takes back what December told: a correction of earlier days.
    const january = await books.season({ from: '2027-01-01', until: '2027-01-14' });
    expect([january.total.lateCosts.amount, january.total.corrections.amount]).toEqual(['0.00', '-10.00']);
    expect(await lateCosts('2026-12-01', '2027-01-14')).toBe('0.00');
  });

  it('reaches the cost of gain as if it had come with the hay, and the herds that ate it', async () => {
    const [late, inTime] = [await Books.open(), await Books.open()];
    const other = await herd(late.operation, await ranch(late.operation, { name: 'South ranch' }), { head: 10 });
    // Of 48,000 lb, the herd eats 1,000 before the first weighing and 2,000 after it, others 500, and 500 are sold.
    for (const books of [late, inTime]) {
      await books.feed('2026-11-10', 1000);
      await books.feed(FROM, 1200);
      await books.feed('2026-12-12', 800);
    }
    await feeding(late.operation, other, [[late.lotId, '500']], { fedOn: '2026-12-06' });
    await sale(late.operation, late.lotId, {
      soldOn: '2026-12-08',
      quantity: { weight: { value: '500', unit: 'lb' } },
    });
    // 480 is a cent a pound; of 4,000 lb that are gone when the bill comes, 40.
    const bill = { billedOn: '2027-01-12', amount: '480' };
    await lateCost(late.operation, { kind: 'hay-purchase', id: late.purchaseId }, bill);
    const { figures } = await late.gained({ herdId: late.herdId });
    expect(figures).toMatchObject({
      feedCost: { amount: '200.00' },
      lateCosts: { amount: '20.00' },
      totalWithLateCosts: { amount: '620.00' },
    });
    // What the herd ate between the weighings, with the freight on the ticket: 0.11 a pound.
    expect(Number(figures?.totalWithLateCosts.amount)).toBe(2000 * 0.11 + Number(figures?.yardageCost.amount));
    expect((await inTime.gained()).figures).toMatchObject({
      lateCosts: { amount: '0.00' },
      totalCost: { amount: '600.00' },
    });

    const whole = { from: '2026-11-01', until: '2027-01-14' };
    const season = await late.season(whole);
    const rows = new Map(season.rows.map((row) => [row.key, row]));
    expect(rows.get(late.herdId)).toMatchObject({ lateCosts: { amount: '30.00' } });
    expect(rows.get(other)).toMatchObject({ lateCosts: { amount: '5.00' } });
    expect(season.total).toMatchObject({ lateCosts: { amount: '35.00' } });
    const [flag] = season.flags.filter(({ code }) => code === 'cost-variances');
    expect(flag?.message).toMatch(/40\.00 USD.*35\.00 USD.*5\.00 USD/);
    // Only of its own days.
    const earlier = await late.season({ ...whole, until: '2027-01-11' });
    expect(earlier.flags.map(({ code }) => code)).not.toContain('cost-variances');
    expect(earlier.total.lateCosts.amount).toBe('0.00');

    const variances = await late.read<{
      total: Amount;
      notEaten: Amount;
      byHerd: { herdId: string; amount: Amount }[];
    }>('/reports/cost-variances', whole);
    expect(variances).toMatchObject({ total: { amount: '40.00' }, notEaten: { amount: '5.00' } });
    expect(new Map(variances.byHerd.map(({ herdId, amount }) => [herdId, amount.amount]))).toEqual(
      new Map([
        [late.herdId, '30.00'],
        [other, '5.00'],
      ]),
    );
  });
});

describe('a mistake, its reversal and the truth', () => {
  interface Entry {
    what: 'death' | 'sale' | 'feeding' | 'weigh-in';
    day: number;
    size: number;
    /** How it was entered at first, if wrongly. */
    wrong: { size: number; weight: boolean } | null;
    /** Days after its own as of which the mistake was undone. */
    undoneAfter: number;
  }
  const entry = fc.record<Entry>({
    what: fc.constantFrom('death', 'sale', 'feeding', 'feeding', 'weigh-in'),
    day: fc.integer({ min: 1, max: 30 }),
    size: fc.integer({ min: 1, max: 2 }),
    wrong: fc.option(fc.record({ size: fc.integer({ min: 1, max: 2 }), weight: fc.boolean() })),
    undoneAfter: fc.integer({ min: 0, max: 9 }),
  });

  async function enter(books: Books, { what, day, size }: Entry, weight = true): Promise<string> {
    const on = addDays(FROM, day);
    switch (what) {
      case 'feeding':
        return `feedings/${await books.feed(on, 200 * size)}`;
      case 'weigh-in':
        return `weigh-ins/${(await books.weigh(on, String(500 + 2 * day + size))).id}`;
      default:
        return `herds/${books.herdId}/head-changes/${await books.leave(what, on, size, weight ? '520' : null)}`;
    }
  }

  const REPORTS: readonly (readonly [string, Record<string, string>])[] = [
    ['/reports/cost-of-gain', { windowDays: '0' }],
    ['/reports/feed-conversion', { windowDays: '0' }],
    ...['herd', 'kind', 'month', 'operation'].map((by) => ['/reports/season-cost', { by }] as const),
    ['/reports/cost-variances', {}],
  ];
  /** Reports without what names these very records, and without the counts of the ledger, which keeps them all. */
  const told = async (books: Books): Promise<string> => {
    const parts = [];
    for (const [path, query] of REPORTS) parts.push(await books.read<object>(path, query));
    parts.push(await books.read<object>(`/herds/${books.herdId}/head-days`));
    // The judge goes by the same head.
    for (const view of ['ration-review', 'state'])
      parts.push(
        (
          await books.operation.as.manager.get<object>(books.operation.at(`/herds/${books.herdId}/${view}`), {
            query: { on: UNTIL },
            expect: 200,
          })
        ).body,
      );
    return JSON.stringify(
      parts,
      (key, value: unknown) =>
        /^(?:id|key|entryId|.*Id|operation|label|ledgerMovements|costedEntries)$/.test(key) ? undefined : value,
      1,
    );
  };

  it('give every report of a history that never had the mistake', async () => {
    const scenario = fc.record({
      entries: fc.array(entry, { minLength: 2, maxLength: 4 }),
      method: fc.constantFrom('specific-lot' as const, 'moving-average' as const, 'fifo' as const),
    });
    await fc.assert(
      fc.asyncProperty(scenario, async ({ entries, method }) => {
        const [books, never] = [await Books.open(method), await Books.open(method)];
        for (const one of entries) {
          if (one.wrong !== null) {
            const record = await enter(books, { ...one, size: one.wrong.size }, one.wrong.weight);
            await books.reverse(record, addDays(FROM, one.day + one.undoneAfter));
          }
          for (const either of [books, never]) await enter(either, one);
        }
        for (const { operation, purchaseId } of [books, never])
          await lateCost(operation, { kind: 'hay-purchase', id: purchaseId }, { billedOn: UNTIL, amount: '480' });
        expect(await told(books)).toBe(await told(never));
      }),
      { numRuns: examples(4) },
    );
  });
});
