/* What stands of a herd's books for some days, worked out by hand: its money, its corrections, its lots. */
import { closeout } from '../../../src/core/closeout/closeout.js';
import {
  type CattlePaid,
  closeoutMoney,
  type HeadEntry,
  herdAccount,
  type HerdBooks,
  type HerdCostOn,
} from '../../../src/core/closeout/herd-account.js';
import { closeoutDays, type LotBills, lotsOf } from '../../../src/core/closeout/lot-days.js';
import { standingWeights } from '../../../src/core/closeout/standing-weights.js';
import { actualMoney } from '../../../src/core/season/actual-money.js';
import { byLine } from '../../../src/core/season/money-budget.js';
import type { FedSum } from '../../../src/core/stock/fed-hay.js';
import { decimal } from '../../../src/core/units/decimal.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money } from '../../../src/core/units/money.js';

const usd = (amount: string): Money => Money.of(amount, 'USD');
const lb = (value: string): Mass => Mass.of(value, 'lb');
const HERD = 'steers';
const head = (id: string, on: string, count: number, kind: string, more: Partial<HeadEntry> = {}): HeadEntry => ({
  id,
  on,
  head: count,
  kind,
  herdId: HERD,
  reversesId: null,
  meanWeight: lb('500'),
  ...more,
});
const paid = (amount: string, how: CattlePaid['how'] = 'paid'): CattlePaid => ({
  amount: usd(amount),
  how,
  payWeight: null,
  party: 'An auction',
});
const fed = (on: string, hayKind: string, cost: string): FedSum => ({
  herdId: HERD,
  hayKind,
  on,
  mass: lb('100'),
  cost: usd(cost),
});

/**
 * Ten steers on the 1st of November for 15,000; one dead on the 10th; a sale of two for 3,200 on the 20th of November
 * that was none, taken back on the 5th of December; a bill of 80 of November, taken back on the 6th.
 */
const BOOKS: HerdBooks<HeadEntry, HerdCostOn & { herdId: string }> = {
  herdId: HERD,
  head: [
    head('came', '2026-11-01', 10, 'in'),
    head('died', '2026-11-10', -1, 'death', { meanWeight: null }),
    head('sold', '2026-11-20', -2, 'sale'),
    head('not sold', '2026-12-05', 2, 'reversal', { reversesId: 'sold' }),
  ],
  paid: new Map([
    ['came', paid('15000')],
    ['sold', paid('3200')],
  ]),
  costs: [
    { id: 'vet', herdId: HERD, on: '2026-11-12', kind: 'veterinary', amount: usd('80'), reversesId: null },
    { id: 'haul', herdId: HERD, on: '2026-12-02', kind: 'trucking', amount: usd('45.50'), reversesId: null },
    { id: 'no vet', herdId: HERD, on: '2026-12-06', kind: 'veterinary', amount: usd('-80'), reversesId: 'vet' },
  ],
  fed: [
    fed('2026-11-15', 'meadow', '12.50'),
    fed('2026-11-16', 'mineral', '4'),
    { ...fed('2026-11-16', 'meadow', '99'), herdId: 'cows' },
  ],
  reversedFeed: [],
  fedInPlace: [],
  late: [
    {
      entryId: 'bill',
      on: '2026-12-20',
      amount: usd('30'),
      lotId: 'stack',
      hayKind: 'meadow',
      receivedOn: '2026-10-20',
      putsRight: null,
      shares: [
        { herdId: HERD, amount: usd('20') },
        { herdId: null, amount: usd('10') },
      ],
      gone: [
        { herdId: HERD, on: '2026-11-15', kilograms: decimal(3) },
        { herdId: HERD, on: '2026-12-15', kilograms: decimal(1) },
        { herdId: null, on: '2026-11-01', kilograms: decimal(2) },
      ],
    },
  ],
  rates: [{ id: 'rate', herdId: null, on: '2026-10-01', reversesId: null, perHeadDay: usd('0.50') }],
};
/** What was fed is summed of the days asked about. */
const of = (days: { from: string; until: string }) => ({ ...BOOKS, fed: days.from > '2026-11-30' ? [] : BOOKS.fed });
const NOVEMBER = { from: '2026-11-01', until: '2026-11-30' };
const DECEMBER = { from: '2026-12-01', until: '2026-12-31' };

describe('the account of a herd', () => {
  const told = (days: { from: string; until: string }) => {
    const account = herdAccount(of(days), days, 'USD');
    return {
      changes: account.changes.map(({ id, worth }) => `${id} ${worth?.toString() ?? 'unpriced'}`),
      hay: account.hay.map(({ cost }) => cost.toString()),
      otherFeed: account.otherFeed.map(({ cost }) => cost.toString()),
      yardage: account.yardage.cost.toString(),
      costs: account.costs.map(({ id, amount }) => `${id} ${amount.toString()}`),
      late: account.late.map(({ amount }) => amount.toString()),
      corrected: [account.corrections.costs.toString(), account.corrections.cattle.toString()],
    };
  };

  it('has what stood at the end of its days, and its part of a bill whenever that came', () => {
    expect(told(NOVEMBER)).toEqual({
      changes: ['came 15000 USD', 'died unpriced', 'sold 3200 USD'],
      hay: ['12.5 USD'],
      otherFeed: ['4 USD'],
      // 10 head for 9 days, 9 for 10, 7 for 11: 257 head-days.
      yardage: '128.5 USD',
      costs: ['vet 80 USD'],
      // Three quarters of the herd's 20, by what it had eaten.
      late: ['15 USD'],
      corrected: ['0 USD', '0 USD'],
    });
  });

  it('tells what it takes back of earlier days apart: a cost, and money that cattle had not brought', () => {
    expect(told(DECEMBER)).toEqual({
      changes: [],
      hay: [],
      otherFeed: [],
      // Nine head: those that were not sold stood all the time.
      yardage: '139.5 USD',
      costs: ['haul 45.5 USD'],
      late: ['5 USD'],
      corrected: ['-80 USD', '3200 USD'],
    });
  });

  it('over both months has neither the sale nor the bill, and what the two months with corrections add up to', () => {
    const both = told({ from: NOVEMBER.from, until: DECEMBER.until });
    expect(both.changes).toEqual(['came 15000 USD', 'died unpriced']);
    expect(both.costs).toEqual(['haul 45.5 USD']);
    expect(both.corrected).toEqual(['0 USD', '0 USD']);
    const net = (days: { from: string; until: string }): Money => {
      const account = herdAccount(of(days), days, 'USD');
      const nobody = { totalWeight: null, value: null };
      const { cattle, costs } = closeout({
        ...days,
        ...closeoutMoney(account, 'USD'),
        ...{ currency: 'USD', opening: nobody, closing: nobody, hayAtMarket: null, interest: null, sameFill: null },
      });
      const other = Money.sum(
        costs.herdCosts.map(({ amount }) => amount),
        'USD',
      );
      return cattle.netLaidOut.plus(other).plus(account.corrections.cattle).plus(account.corrections.costs);
    };
    expect(net(NOVEMBER).plus(net(DECEMBER)).toString()).toBe(
      net({ from: NOVEMBER.from, until: DECEMBER.until }).toString(),
    );
    // 15,000 laid out and 45.50 of hauling.
    expect(net({ from: NOVEMBER.from, until: DECEMBER.until }).toString()).toBe('15045.5 USD');
  });
});

describe('the lots of a herd', () => {
  const steps = [
    { from: '2026-01-10', head: 20 },
    { from: '2026-03-01', head: 5 },
    { from: '2026-04-01', head: 0 },
    { from: '2026-09-01', head: 30 },
  ];

  const billed = (...standing: string[]): LotBills => ({ standing, takenBack: [] });
  const none = billed();

  it('are the days without a break in its head', () => {
    expect(lotsOf({ steps, bills: none })).toEqual([
      { from: '2026-01-10', until: '2026-04-01', account: { from: '2026-01-10', until: '2026-04-01' } },
      { from: '2026-09-01', until: null, account: { from: '2026-09-01', until: null } },
    ]);
    expect(lotsOf({ steps: [], bills: none })).toEqual([]);
  });

  it('have the bills that came after the last head left, up to the next lot, and the first one those before it', () => {
    const bills = billed('2026-01-09', '2026-02-01', '2026-04-06', '2026-08-31', '2026-09-01', '2026-12-01');
    expect(lotsOf({ steps, bills }).map(({ account }) => account)).toEqual([
      { from: '2026-01-09', until: '2026-08-31' },
      { from: '2026-09-01', until: null },
    ]);
  });

  it('go on to where a bill of theirs was taken back, and to no day of what came and went after them', () => {
    const accountWith = (...takenBack: LotBills['takenBack']): string | null | undefined =>
      lotsOf({ steps, bills: { standing: ['2026-04-06'], takenBack } })[0]?.account.until;
    expect(accountWith()).toBe('2026-04-06');
    expect(accountWith({ reversedOn: '2026-02-01', reversalOn: '2026-03-01' })).toBe('2026-04-06');
    expect(accountWith({ reversedOn: '2026-02-01', reversalOn: '2026-05-01' })).toBe('2026-05-01');
    expect(accountWith({ reversedOn: '2026-04-06', reversalOn: '2026-05-01' })).toBe('2026-05-01');
    // It was never in the account of the lot.
    expect(accountWith({ reversedOn: '2026-04-20', reversalOn: '2026-05-01' })).toBe('2026-04-06');
    // But once the account goes on to its day, it is.
    expect(
      accountWith(
        { reversedOn: '2026-04-20', reversalOn: '2026-06-01' },
        { reversedOn: '2026-03-05', reversalOn: '2026-05-01' },
      ),
    ).toBe('2026-06-01');
    // The days of the next lot are its own.
    expect(accountWith({ reversedOn: '2026-02-01', reversalOn: '2026-09-01' })).toBe('2026-04-06');
  });

  it.each([
    [{}, '2026-12-31', '2026-09-01', '2026-12-31'],
    [{}, '2026-06-30', '2026-01-10', '2026-04-01'],
    [{}, '2026-02-01', '2026-01-10', '2026-02-01'],
    [{ until: '2026-04-30' }, '2026-12-31', '2026-01-10', '2026-04-30'],
    [{ from: '2026-02-01' }, '2026-06-30', '2026-02-01', '2026-04-01'],
    [{ from: '2026-05-01' }, '2026-06-30', '2026-05-01', '2026-06-30'],
    [{}, '2025-12-31', '2025-12-31', '2025-12-31'],
  ])('%j asked on %s is %s to %s', (asked, today, from, until) => {
    expect(closeoutDays({ steps, bills: none }, asked, today)).toMatchObject({ from, until });
  });

  it.each([
    // On the day after the last head left, no bill has come yet; two days later one has.
    [{}, '2026-04-02', '2026-01-09', '2026-04-01', '2026-04-01'],
    [{}, '2026-04-06', '2026-01-09', '2026-04-06', '2026-04-01'],
    [{}, '2026-12-31', '2026-09-01', '2026-12-31', null],
    [{ from: '2026-01-10' }, '2026-06-30', '2026-01-10', '2026-04-06', '2026-04-01'],
    [{ until: '2026-04-01' }, '2026-06-30', '2026-01-09', '2026-04-01', null],
  ])('with bills, %j asked on %s is %s to %s', (asked, today, from, until, lastLeft) => {
    const bills = billed('2026-01-09', '2026-04-06');
    expect(closeoutDays({ steps, bills }, asked, today)).toEqual({ from, until, lastLeft });
  });
});

it('cattle that stand weigh the mean of the nearest weighing, if there is one within the days allowed', () => {
  const weighings = [
    { day: '2026-11-03', head: 8, mean: lb('500'), fill: 'full' as const },
    { day: '2026-12-30', head: 8, mean: lb('576'), fill: 'shrunk' as const },
  ];
  const at = (opening: number, windowDays: number) =>
    standingWeights(weighings, {
      opening: { on: '2026-11-01', head: opening },
      closing: { on: '2026-12-31', head: 9 },
      windowDays,
    });
  // One was full and one shrunk: the full one is shrunk by 4 % where both are of cattle that stand (10 x 480).
  expect(at(10, 7).opening?.in('lb').toFixed(2)).toBe('4800.00');
  expect(at(10, 1).opening).toBeNull();
  expect(at(0, 7).closing?.in('lb').toFixed(2)).toBe('5184.00');
});

describe('actual money', () => {
  const books = {
    fed: [],
    herdMonths: [],
    apart: [
      {
        ...{ what: 'correction' as const, herdId: HERD, ranchId: 'home', month: '2026-12' },
        ...{ hayKind: 'meadow', amount: usd('-7') },
      },
    ],
    costs: BOOKS.costs,
    head: BOOKS.head,
    paid: BOOKS.paid,
  };
  const lines = (days: { from: string; until: string }) => {
    const { amounts, corrections } = actualMoney(books, days);
    const told = (some: typeof amounts): string[] =>
      byLine(some, 'USD').map(({ line, amount }) => `${line} ${amount.toString()}`);
    return [told(amounts), told(corrections)];
  };

  it('has cattle and costs of its own days, and what was taken back of earlier ones apart', () => {
    expect(lines(DECEMBER)).toEqual([
      ['herd-costs 45.5 USD'],
      ['hay -7 USD', 'herd-costs -80 USD', 'cattle-sold -3200 USD'],
    ]);
    expect(lines(NOVEMBER)[0]).toEqual(['herd-costs 80 USD', 'cattle-bought 15000 USD', 'cattle-sold 3200 USD']);
  });
});
