/*
 * A yardage rate that was a mistake is taken back: as of its own day or a later one. Season cost, cost of gain,
 * closeout and general ledger are then as if it had never been; what it had made of earlier days stands apart, with its
 * amount, so that months and their corrections add up to both months. Everything here is invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import fc, { examples } from '../support/properties.js';
import { herd, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Amount {
  amount: string;
}
interface Season {
  rows: { key: string; yardageCost: Amount; corrections: Amount }[];
  total: { yardageCost: Amount; corrections: Amount };
  correctionsOfEarlier: { what: string; herdId: string; on: string; of: string; amount: Amount }[];
  flags: { code: string }[];
}
interface Closeout {
  lines: { line: string; amount: Amount }[];
  totals: { costs: Amount };
  correctionsOfEarlier: Season['correctionsOfEarlier'];
}
interface Ledger {
  lines: { on: string; kind: string; accountNumber: string; herdId: string; debit: Amount; credit: Amount }[];
}
interface Gained {
  herds: { figures: { yardageCost: Amount } | null; correctionsOfEarlier: Season['correctionsOfEarlier'] }[];
}
type Days = { from: string; until: string };

const NOVEMBER = { from: '2026-11-01', until: '2026-11-30' };
const DECEMBER = { from: '2026-12-01', until: '2026-12-31' };
const BOTH = { from: NOVEMBER.from, until: DECEMBER.until };

let world: World;
beforeAll(async () => {
  world = await openWorld();
});
afterAll(() => world.close());

const cents = ({ amount }: Amount): number => Math.round(Number(amount) * 100);

/** Twenty steers and ten heifers, weighed at both ends; half a dollar a day. */
class Yard {
  private constructor(
    readonly operation: Operation,
    readonly steers: string,
    readonly heifers: string,
  ) {}

  static async open(): Promise<Yard> {
    const operation = await operationWith(world, { roles: ['owner', 'manager', 'accountant', 'hand'] });
    const place = await ranch(operation);
    const steers = await herd(operation, place, { head: 20 });
    const yard = new Yard(
      operation,
      steers,
      await herd(operation, place, { name: 'Heifers', head: 10, sex: 'heifer' }),
    );
    await yard.rate('2026-11-01', '0.50');
    for (const [weighedOn, value] of [
      ['2026-12-01', '500'],
      ['2026-12-31', '545'],
    ])
      await yard.post('/weigh-ins', {
        ...{ scope: 'group', herdId: steers, weighedOn, fill: 'full', head: 20, measure: 'mean' },
        weight: { value, unit: 'lb' },
      });
    return yard;
  }

  async post(path: string, body: object): Promise<WithId> {
    const { manager } = this.operation.as;
    return (await manager.post<WithId>(this.operation.at(path), body, { expect: 201 })).body;
  }

  async rate(fromOn: string, perHeadDay: string, herdId?: string): Promise<string> {
    return (await this.post('/yardage-rates', { fromOn, perHeadDay, ...(herdId === undefined ? {} : { herdId }) })).id;
  }

  async reverse(id: string, effectiveOn?: string): Promise<void> {
    await this.post(`/yardage-rates/${id}/reversal`, {
      reason: 'A rate of last year',
      ...(effectiveOn === undefined ? {} : { effectiveOn }),
    });
  }

  async read<Body>(path: string, query: Record<string, string>): Promise<Body> {
    const { accountant } = this.operation.as;
    return (await accountant.get<Body>(this.operation.at(path), { query, expect: 200 })).body;
  }

  season(days: Days): Promise<Season> {
    return this.read('/reports/season-cost', { ...days, by: 'herd' });
  }

  async posted(days: Days): Promise<{ kind: string; on: string; herdId: string; cents: number }[]> {
    const { lines } = await this.read<Ledger>('/general-ledger', days);
    return lines
      .filter(({ accountNumber }) => accountNumber === '5500')
      .map(({ kind, on, herdId, debit, credit }) => ({ kind, on, herdId, cents: cents(debit) - cents(credit) }));
  }

  /** What the reports say of yardage, without ids. */
  async told(days: Days): Promise<object> {
    const season = await this.season(days);
    const closeout = await this.read<Closeout>(`/herds/${this.steers}/closeout`, days);
    const gained = await this.read<Gained>('/reports/cost-of-gain', days);
    const bare = (some: Season['correctionsOfEarlier']) =>
      some.map(({ what, on, of, amount }) => [what, on, of, amount]);
    return {
      season: [season.total, bare(season.correctionsOfEarlier), season.flags],
      closeout: [closeout.lines.map(({ line, amount }) => [line, amount]), closeout.totals],
      // Its days begin with a weighing, so what it corrects of earlier ones is not that of the days asked about.
      gained: gained.herds.map(({ figures }) => figures),
      ledger: (await this.posted(days)).map(({ kind, on, cents: amount }) => [kind, on, amount]).sort(),
    };
  }
}

describe('a yardage rate', () => {
  it('taken back as of its own day leaves no trace in any report', async () => {
    const [mistaken, never] = [await Yard.open(), await Yard.open()];
    const all = await mistaken.rate('2026-11-10', '5.00');
    const own = await mistaken.rate('2026-12-05', '0.95', mistaken.steers);
    await mistaken.reverse(all);
    await mistaken.reverse(own);
    for (const one of [mistaken, never]) await one.rate('2026-11-10', '0.60');
    for (const days of [NOVEMBER, DECEMBER, BOTH]) expect(await mistaken.told(days)).toEqual(await never.told(days));
  });

  it('taken back later stands in the days before, and what it had made of them is told apart', async () => {
    const yard = await Yard.open();
    const wrong = await yard.rate('2026-11-21', '0.70');
    const then = await yard.season(NOVEMBER);
    await yard.reverse(wrong, '2026-12-10');
    // Thirty head for 20 days at 0.50 and 10 at 0.70, as November was told; December at 0.50, and 30 x 10 x 0.20 back.
    expect(await yard.season(NOVEMBER)).toEqual(then);
    expect(then.total.yardageCost.amount).toBe('510.00');
    const december = await yard.season(DECEMBER);
    expect([december.total.yardageCost.amount, december.total.corrections.amount]).toEqual(['465.00', '-60.00']);
    expect(december.correctionsOfEarlier).toEqual([
      expect.objectContaining({ what: 'yardage-rate', on: '2026-12-10', of: '2026-11-21', amount: usd('-20.00') }),
      expect.objectContaining({ what: 'yardage-rate', on: '2026-12-10', of: '2026-11-21', amount: usd('-40.00') }),
    ]);
    expect(december.flags).toContainEqual(expect.objectContaining({ code: 'corrections-of-earlier-days' }));
    expect(await yard.posted(DECEMBER)).toEqual(
      expect.arrayContaining([
        { kind: 'yardage-correction', on: '2026-12-10', herdId: yard.steers, cents: -4000 },
        { kind: 'yardage-correction', on: '2026-12-10', herdId: yard.heifers, cents: -2000 },
      ]),
    );
    const closeout = await yard.read<Closeout>(`/herds/${yard.steers}/closeout`, DECEMBER);
    expect(closeout.lines.find(({ line }) => line === 'yardage')?.amount.amount).toBe('310.00');
    expect(closeout.correctionsOfEarlier.map(({ what, amount }) => [what, amount.amount])).toEqual([
      ['yardage-rate', '-40.00'],
    ]);
    const gained = await yard.read<Gained>('/reports/cost-of-gain', DECEMBER);
    const steers = gained.herds.find(({ figures }) => figures !== null);
    expect(steers?.figures?.yardageCost.amount).toBe('300.00');
    expect(steers?.correctionsOfEarlier.map(({ what, amount }) => [what, amount.amount])).toEqual([
      ['yardage-rate', '-40.00'],
    ]);
    const both = await yard.season(BOTH);
    expect([both.total.yardageCost.amount, both.correctionsOfEarlier]).toEqual(['915.00', []]);
  });

  it('in a closed period is taken back in the open one', async () => {
    const yard = await Yard.open();
    const wrong = await yard.rate('2026-11-21', '0.70');
    await yard.operation.as.accountant.post(yard.operation.at('/closings'), { until: '2026-11-30' }, { expect: 201 });
    const { manager } = yard.operation.as;
    const at = yard.operation.at(`/yardage-rates/${wrong}/reversal`);
    expect((await manager.post(at, { reason: 'Wrong' })).body).toMatchObject({ type: '/problems/period-closed' });
    const reversal = await manager.post(at, { reason: 'Wrong', postTo: 'open-period' }, { expect: 201 });
    expect(reversal.body).toMatchObject({ effectiveOn: '2026-12-01', reason: 'Wrong' });
    expect((await yard.season(NOVEMBER)).total.yardageCost.amount).toBe('510.00');
    expect((await yard.season(DECEMBER)).total.corrections.amount).toBe('-60.00');
  });

  it('is reversed once, with a reason, by who may enter it and sees it; and shows that it was', async () => {
    const yard = await Yard.open();
    const { manager, hand, accountant } = yard.operation.as;
    const wrong = await yard.rate('2026-11-21', '0.70');
    const at = yard.operation.at(`/yardage-rates/${wrong}/reversal`);
    await hand.post(at, { reason: 'Wrong' }, { expect: 403 });
    await accountant.post(at, { reason: 'Wrong' }, { expect: 403 });
    await manager.post(at, {}, { expect: 400 });
    expect((await manager.post(at, { reason: 'Wrong', effectiveOn: '2026-11-20' })).body).toMatchObject({
      errors: [{ pointer: '#/effectiveOn', code: 'before-what-it-reverses' }],
    });
    await manager.post(at, { reason: 'Wrong', effectiveOn: '2026-12-01' }, { expect: 201 });
    await manager.post(at, { reason: 'Wrong' }, { expect: 409 });
    const { body } = await manager.get(yard.operation.at(`/yardage-rates/${wrong}`), { expect: 200 });
    expect(body).toMatchObject({ reversal: { reason: 'Wrong', effectiveOn: '2026-12-01' } });
    const changes = await accountant.get<{ items: { what: string; kind: string; journalFrom: string }[] }>(
      yard.operation.at('/changes'),
      { query: { since: '0', limit: '200' }, expect: 200 },
    );
    expect(changes.body.items.at(-1)).toMatchObject({
      ...{ what: 'corrected', kind: 'yardage-rate', journalFrom: '2026-11-21' },
    });
  });
});

const usd = (amount: string): object => ({ amount, currency: 'USD' });

it('whatever rates come and are taken back, months with their corrections add up to both months', async () => {
  const day = fc.integer({ min: 0, max: 60 }).map((after) => new Date(Date.UTC(2026, 10, 1 + after)).toISOString());
  const rates = fc.array(
    fc.record({
      on: day.map((one) => one.slice(0, 10)),
      back: fc.option(day.map((one) => one.slice(0, 10))),
      cents: fc.integer({ min: 30, max: 95 }),
      ofSteers: fc.boolean(),
    }),
    { minLength: 1, maxLength: 5 },
  );
  await fc.assert(
    fc.asyncProperty(rates, async (some) => {
      const [mistaken, never] = [await Yard.open(), await Yard.open()];
      const back: [string, string][] = [];
      for (const { on, back: until, cents: rate, ofSteers } of some) {
        const perHeadDay = (rate / 100).toFixed(2);
        const id = await mistaken.rate(on, perHeadDay, ofSteers ? mistaken.steers : undefined);
        if (until !== null) back.push([id, until < on ? on : until]);
        else await never.rate(on, perHeadDay, ofSteers ? never.steers : undefined);
      }
      for (const [id, until] of back) await mistaken.reverse(id, until);
      const [november, december, both] = [
        await mistaken.season(NOVEMBER),
        await mistaken.season(DECEMBER),
        await mistaken.season(BOTH),
      ];
      const { yardageCost, corrections } = december.total;
      expect(cents(november.total.yardageCost) + cents(yardageCost) + cents(corrections)).toBe(
        cents(both.total.yardageCost),
      );
      expect(await mistaken.told(BOTH)).toEqual(await never.told(BOTH));
      const sum = (lines: { cents: number }[]): number => lines.reduce((all, one) => all + one.cents, 0);
      expect(sum(await mistaken.posted(NOVEMBER)) + sum(await mistaken.posted(DECEMBER))).toBe(
        sum(await mistaken.posted(BOTH)),
      );
    }),
    { numRuns: examples(6) },
  );
});
