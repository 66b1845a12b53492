/*
 * A head change, or a cost of a herd, of a closed period that is put right into the open one: accounts of all days are
 * as if the mistake had never been typed, and those of the period in which it was posted tell the difference of money,
 * and nothing of head, head-days or yardage, which were right. Everything here is invented; amounts by hand.
 */
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Amount {
  amount: string;
}
interface Closeout {
  head: { opening: number; cameIn: number; wentOut: number; headDays: number };
  lines: { line: string; amount: Amount }[];
  correctionsOfEarlier: { what: string; head: number | null; amount: Amount }[];
  correctedOfEarlier: { otherCosts: Amount; cattle: Amount };
}
interface Season {
  total: { yardageCost: Amount; headDays: number; corrections: Amount };
  correctionsOfEarlier: object[];
}
interface Ledger {
  lines: { accountNumber: string; debit: Amount; credit: Amount }[];
}
interface Budget {
  lines: { month: string; line: string; actual: Amount }[];
  correctionsOfEarlier: { line: string; amount: Amount }[];
}
const TOLD_BY_CLOSEOUTS = ['closeoutFeed', 'closeoutYardage', 'closeoutOtherCosts', 'closeoutCattle'] as const;
interface TieOut {
  months: (Record<(typeof TOLD_BY_CLOSEOUTS)[number], Amount> & { differences: string[] })[];
}
type Days = { from: string; until: string };

const NOVEMBER = { from: '2026-11-01', until: '2026-11-30' };
const DECEMBER = { from: '2026-12-01', until: '2026-12-31' };
const BOTH = { from: NOVEMBER.from, until: DECEMBER.until };
const REASON = 'The bill says so';

let world: World;
beforeAll(async () => {
  world = await openWorld();
});
afterAll(() => world.close());

const perHead = (amount: string): object => ({ basis: 'per-head', amount });
const BOUGHT = { kind: 'in', head: 40, happenedOn: '2026-11-05', meanWeight: { value: '500', unit: 'lb' } };
const SOLD = { kind: 'sale', head: 10, happenedOn: '2026-11-20', meanWeight: { value: '540', unit: 'lb' } };
const FREIGHT = { kind: 'trucking', payee: 'A hauler', happenedOn: '2026-11-06' };

/** What was typed on each record. */
interface Typed {
  bought: object;
  sold: object;
  freight: object;
}
const RIGHT: Typed = {
  bought: { ...BOUGHT, price: perHead('1500') },
  sold: { ...SOLD, price: perHead('1700') },
  freight: { ...FREIGHT, amount: '300' },
};

/** Forty head that came and ten that went in November, on hay at half a dollar a day; November is closed. */
class Yard {
  private constructor(
    readonly operation: Operation,
    readonly herdId: string,
    readonly ids: Record<keyof Typed, string>,
  ) {}

  static async open(typed: Typed): Promise<Yard> {
    const operation = await operationWith(world);
    const place = await ranch(operation);
    const herdId = await herd(operation, place, { head: 0, since: '2026-11-01' });
    const post = async (path: string, body: object): Promise<string> =>
      (await operation.as.manager.post<WithId>(operation.at(path), body, { expect: 201 })).body.id;
    await post('/yardage-rates', { fromOn: '2026-11-01', perHeadDay: '0.50' });
    const bought = await post(`/herds/${herdId}/head-changes`, typed.bought);
    const freight = await post('/herd-costs', { herdId, ...typed.freight });
    for (const [weighedOn, head, value] of [
      ['2026-11-06', 40, '500'],
      ['2026-12-28', 30, '590'],
    ] as const)
      await post('/weigh-ins', {
        ...{ scope: 'group', herdId, weighedOn, fill: 'full', head, measure: 'mean' },
        weight: { value, unit: 'lb' },
      });
    const { lotId } = await lot(operation, place, { tons: '40', purchasedOn: '2026-11-02' });
    for (const fedOn of ['2026-11-10', '2026-12-10']) await feeding(operation, herdId, [[lotId, '2000']], { fedOn });
    const sold = await post(`/herds/${herdId}/head-changes`, typed.sold);
    await operation.as.accountant.post(operation.at('/closings'), { until: '2026-11-30' }, { expect: 201 });
    return new Yard(operation, herdId, { bought, sold, freight });
  }

  async correct(which: keyof Typed, entry: object): Promise<void> {
    const path = which === 'freight' ? '/herd-costs' : `/herds/${this.herdId}/head-changes`;
    const answer = await this.operation.as.manager.post<{ entry: WithId }>(
      this.operation.at(`${path}/${this.ids[which]}/correction`),
      {
        reason: REASON,
        entry: { ...(which === 'freight' ? { herdId: this.herdId } : {}), ...entry, postTo: 'open-period' },
      },
      { expect: 201 },
    );
    this.ids[which] = answer.body.entry.id;
  }

  async read<Body>(path: string, query: Record<string, string>): Promise<Body> {
    return (await this.operation.as.accountant.get<Body>(this.operation.at(path), { query, expect: 200 })).body;
  }

  closeout = (days: Days): Promise<Closeout> => this.read(`/herds/${this.herdId}/closeout`, { ...days });
  season = (days: Days): Promise<Season> => this.read('/reports/season-cost', { ...days, by: 'month' });
  budget = (from: string, until: string): Promise<Budget> =>
    this.read('/reports/budget-against-actual', { from, until });

  /** Debits less credits by account, in cents. */
  async posted(days: Days): Promise<Record<string, number>> {
    const { lines } = await this.read<Ledger>('/general-ledger', days);
    const sums: Record<string, number> = {};
    for (const { accountNumber, debit, credit } of lines)
      sums[accountNumber] = Math.round(
        (sums[accountNumber] ?? 0) + (Number(debit.amount) - Number(credit.amount)) * 100,
      );
    return Object.fromEntries(Object.entries(sums).filter(([, cents]) => cents !== 0));
  }

  /** Every account of all days, without ids and names of the books. */
  async told(): Promise<object> {
    const reports = {
      closeout: await this.closeout(BOTH),
      lot: await this.read(`/herds/${this.herdId}/closeout`, {}),
      closeouts: await this.read('/reports/herd-closeouts', BOTH),
      season: await this.season(BOTH),
      gain: await this.read('/reports/cost-of-gain', BOTH),
      conversion: await this.read('/reports/feed-conversion', BOTH),
      budget: await this.budget('2026-11', '2026-12'),
    };
    const ids = new Map<string, string>();
    const text = JSON.stringify(reports).replaceAll(
      /[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}/g,
      (id) => ids.get(id) ?? (ids.set(id, `id ${ids.size}`), `id ${ids.size - 1}`),
    );
    return JSON.parse(text.replaceAll(/"operation":"[^"]*"/g, '"operation":"These books"')) as object;
  }
}

const cases: [string, keyof Typed, object, string, string][] = [
  // 40 head at 16.50 more.
  ['a price of cattle bought', 'bought', { ...BOUGHT, price: perHead('1483.50') }, 'cattle-bought', '660.00'],
  [
    'a weight of cattle bought',
    'bought',
    { ...BOUGHT, meanWeight: { value: '480', unit: 'lb' }, price: perHead('1500') },
    '',
    '0.00',
  ],
  // 10 head at 50.00 more is so much less laid out.
  ['a price of cattle sold', 'sold', { ...SOLD, price: perHead('1650') }, 'cattle-sold', '-500.00'],
  ['a cost of a herd', 'freight', { ...FREIGHT, amount: '210' }, 'herd-costs', '90.00'],
];

describe.each(cases)('%s of a closed period that is put right late', (_, which, wrong, line, difference) => {
  let [mistaken, never]: Yard[] = [];
  const yards = (): { mistaken: Yard; never: Yard } => {
    if (mistaken === undefined || never === undefined) throw new Error('No books');
    return { mistaken, never };
  };
  beforeAll(async () => {
    mistaken = await Yard.open({ ...RIGHT, [which]: wrong });
    never = await Yard.open(RIGHT);
    await mistaken.correct(which, RIGHT[which]);
  });

  it('leaves no trace in accounts of all days', async () => {
    expect(await yards().mistaken.told()).toEqual(await yards().never.told());
    expect(await yards().mistaken.posted(BOTH)).toEqual(await yards().never.posted(BOTH));
  });

  it('is told by the period in which it was posted with its amount, and nothing of the head', async () => {
    const closeout = await yards().mistaken.closeout(DECEMBER);
    expect(closeout.head).toMatchObject({ opening: 30, cameIn: 0, wentOut: 0, headDays: 30 * 31 });
    expect(closeout.correctionsOfEarlier).toEqual([]);
    const { otherCosts, cattle } = closeout.correctedOfEarlier;
    expect(which === 'freight' ? [otherCosts.amount, cattle.amount] : [cattle.amount, otherCosts.amount]).toEqual([
      difference,
      '0.00',
    ]);
    const { total, correctionsOfEarlier } = await yards().mistaken.season(DECEMBER);
    // 30 head × 31 days × 0.50.
    expect([total.headDays, total.yardageCost.amount, total.corrections.amount]).toEqual([930, '465.00', '0.00']);
    expect(correctionsOfEarlier).toEqual([]);
    const budget = await yards().mistaken.budget('2026-12', '2026-12');
    const sum = budget.correctionsOfEarlier.reduce((all, { amount }) => all + Number(amount.amount), 0);
    expect(budget.correctionsOfEarlier.every((one) => one.line === line)).toBe(true);
    expect(Math.abs(sum).toFixed(2)).toBe(Math.abs(Number(difference)).toFixed(2));
  });

  it('ties month by month, and the months with their corrections add up to what they would have been', async () => {
    const months = async (yard: Yard): Promise<TieOut['months']> => {
      const tie = await yard.read<TieOut>('/reports/tie-out', BOTH);
      expect(tie.months.flatMap(({ differences }) => differences)).toEqual([]);
      expect(tie.months).toHaveLength(2);
      return tie.months;
    };
    const sums = (all: TieOut['months']): number[] =>
      TOLD_BY_CLOSEOUTS.map((name) =>
        all.reduce((sum, month) => sum + Math.round(Number(month[name].amount) * 100), 0),
      );
    expect(sums(await months(yards().mistaken))).toEqual(sums(await months(yards().never)));
  });

  it('is put right once more without a trace', async () => {
    await yards().mistaken.correct(which, wrong);
    await yards().mistaken.correct(which, RIGHT[which]);
    expect(await yards().mistaken.told()).toEqual(await yards().never.told());
    const { correctedOfEarlier } = await yards().mistaken.closeout(DECEMBER);
    expect([correctedOfEarlier.otherCosts.amount, correctedOfEarlier.cattle.amount]).toContain(difference);
  });
});
