/*
 * From one inventory to the next. The identity is that of every inventory worksheet (opening + in - out = closing; 26
 * CFR 1.471-1: inventories at the beginning and end of each year). The worked example is arithmetic by hand. Random
 * histories tie to the ledger, the journal and the position under each method.
 */
import fc, { examples } from '../../support/properties.js';
import { COSTING_METHODS, type CostingEntry, type CostingMethod } from '../../../src/core/stock/costing-entries.js';
import { replayCosts, type CostReplay } from '../../../src/core/stock/costing-replay.js';
import { journalOf, STARTING_ACCOUNTS } from '../../../src/core/stock/journal.js';
import { ROLL_FLOWS, type RollFlow, rollForward, type RollRow } from '../../../src/core/stock/roll-forward.js';
import { addDays } from '../../../src/core/time/calendar-day.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money } from '../../../src/core/units/money.js';
import { historyFrom, steps } from './histories.js';

const usd = (amount: string): Money => Money.of(amount, 'USD');
const sum = (amounts: Iterable<Money>): Money => Money.sum(amounts, 'USD');

function replayed(method: CostingMethod, entries: readonly CostingEntry[]): CostReplay {
  const replay = replayCosts({ method, currency: 'USD', entries });
  if (!replay.ok) throw new Error(JSON.stringify(replay.problems));
  return replay;
}

function rolled(
  method: CostingMethod,
  entries: readonly CostingEntry[],
  { from, until }: { from: string; until: string },
  keyOf: (lotId: string) => string,
): ReturnType<typeof rollForward> & { opening: CostReplay; closing: CostReplay } {
  const opening = replayed(
    method,
    entries.filter(({ on }) => on < from),
  );
  const closing = replayed(
    method,
    entries.filter(({ on }) => on <= until),
  );
  return {
    opening,
    closing,
    ...rollForward({
      opening: opening.lots,
      entries: closing.entries,
      from,
      closing: closing.lots,
      keyOf,
      currency: 'USD',
    }),
  };
}

const told = (row: RollRow): Record<string, [string, string]> =>
  Object.fromEntries(
    ROLL_FLOWS.filter((flow) => !row.flows[flow].mass.isZero() || !row.flows[flow].value.isZero()).map((flow) => [
      flow,
      [row.flows[flow].mass.in('ton').toFixed(), row.flows[flow].value.amount.toFixed(2)],
    ]),
  );

const at = (lotId: string): { lotId: string; placeId: string } => ({ lotId, placeId: lotId });
const tons = (value: string): Mass => Mass.of(value, 'ton');

describe('a winter by hand', () => {
  // 20 tons at 150.00 and 480.00 of freight are 174.00 a ton; 5 fed, 2 sold and 1 lost before December.
  const history: CostingEntry[] = [
    {
      id: 'ticket',
      on: '2026-11-01',
      kind: 'purchase',
      ...at('A'),
      hayKind: 'meadow',
      mass: tons('20'),
      cost: usd('3000'),
      freight: usd('480'),
    },
    { id: 'fed', on: '2026-11-20', kind: 'feed', ...at('A'), herdId: 'h', mass: tons('5') },
    { id: 'wrong', on: '2026-11-25', kind: 'feed', ...at('A'), herdId: 'h', mass: tons('1') },
    {
      id: 'raised',
      on: '2026-12-01',
      kind: 'harvest',
      ...at('B'),
      hayKind: 'meadow',
      mass: tons('10'),
      cost: usd('800'),
    },
    { id: 'sold', on: '2026-12-05', kind: 'sale', ...at('A'), mass: tons('2'), proceeds: usd('400') },
    {
      id: 'moved',
      on: '2026-12-06',
      kind: 'transfer',
      fromLotId: 'A',
      fromPlaceId: 'A',
      toLotId: 'C',
      toPlaceId: 'C',
      mass: tons('4'),
    },
    { id: 'spoiled', on: '2026-12-10', kind: 'shrink', ...at('B'), mass: tons('1'), treatment: 'expense' },
    { id: 'back', on: '2026-12-12', kind: 'reversal', reverses: 'wrong', reason: 'another herd' },
    { id: 'slip', on: '2026-12-15', kind: 'feed', ...at('A'), herdId: 'h', mass: tons('3') },
    { id: 'undone', on: '2026-12-16', kind: 'reversal', reverses: 'slip', reason: 'entered twice' },
    { id: 'bill', on: '2026-12-20', kind: 'late-cost', receiptId: 'ticket', amount: usd('200'), owed: 'freight' },
  ];
  const DECEMBER = { from: '2026-12-01', until: '2026-12-31' };

  it('is told flow by flow, in tons and money', () => {
    const { total } = rolled('specific-lot', history, DECEMBER, () => 'all');
    // 14 tons at 174.00; the ton fed to the wrong herd comes back; the slip of December is nowhere.
    expect([total.opening.mass.in('ton').toFixed(), total.opening.value.amount.toFixed(2)]).toEqual(['14', '2436.00']);
    expect(told(total)).toEqual({
      raised: ['10', '800.00'],
      sold: ['-2', '-348.00'],
      shrink: ['-1', '-80.00'],
      // 13 of the 20 tons are still here: 65 % of 200.00.
      'late-cost': ['0', '130.00'],
      correction: ['1', '174.00'],
    });
    expect(total.betweenLots.isZero()).toBe(true);
    expect([total.closing.mass.in('ton').toFixed(), total.closing.value.amount.toFixed(2)]).toEqual(['22', '3112.00']);
  });

  it('has transfers between lots, and none within a kind', () => {
    const byLot = rolled('specific-lot', history, DECEMBER, (lotId) => lotId);
    expect(byLot.rows.map(({ key }) => key)).toEqual(['A', 'B', 'C']);
    expect(told(byLot.rows[0] as RollRow)['transferred-out']).toEqual(['-4', '-696.00']);
    expect(told(byLot.rows[2] as RollRow)['transferred-in']).toEqual(['4', '696.00']);
    const { rows } = rolled('specific-lot', history, DECEMBER, () => 'meadow');
    expect(Object.keys(told(rows[0] as RollRow))).not.toContain('transferred-in');
  });

  it('with a mistake undone in the same days reads as if it had never been', () => {
    const without = history.filter(({ id }) => id !== 'slip' && id !== 'undone');
    for (const method of COSTING_METHODS)
      expect(told(rolled(method, history, DECEMBER, () => 'all').total)).toEqual(
        told(rolled(method, without, DECEMBER, () => 'all').total),
      );
  });
});

describe.each(COSTING_METHODS)('%s', (method) => {
  it('ties random histories over any days to ledger, journal and position', () => {
    fc.assert(
      fc.property(steps, fc.nat({ max: 200 }), fc.nat({ max: 200 }), (random, one, other) => {
        const history = historyFrom(random);
        const days = [...new Set(history.map(({ on }) => on))];
        const [first = '2024-01-01', last = first] = [days[0], days.at(-1)];
        const from = addDays(first, Math.min(one, other) % 120);
        const until = [addDays(from, Math.abs(one - other)), last].sort()[0] ?? last;
        if (from > until) return;
        const kindOf = new Map(
          replayed(method, history).lots.map(({ lotId, hayKind }): [string, string] => [lotId, hayKind]),
        );
        const span = { from, until };
        for (const keyOf of [(lotId: string) => lotId, (lotId: string) => kindOf.get(lotId) ?? '', () => 'all']) {
          const { rows, total, opening, closing } = rolled(method, history, span, keyOf);
          // Each row adds up; the rows are the total; what is between lots is nothing over all of them.
          for (const row of [...rows, total]) expect(adds(row)).toEqual([true, true]);
          expect(sum(rows.map((row) => row.closing.value)).compare(total.closing.value)).toBe(0);
          expect(sum(rows.map((row) => row.betweenLots)).isZero()).toBe(true);
          expect(total.betweenLots.isZero()).toBe(true);
          // The position at both ends.
          expect(total.opening.value.compare(opening.closingValue)).toBe(0);
          expect(total.closing.value.compare(closing.closingValue)).toBe(0);
          expect(total.closing.mass.compare(closing.closingMass)).toBe(0);
          // The ledger: what moved within these days.
          const moved = closing.entries.filter(({ on }) => on >= from);
          const flows = Mass.sum(ROLL_FLOWS.map((flow) => total.flows[flow].mass));
          expect(Mass.sum(moved.map((entry) => entry.massChange)).compare(flows)).toBe(0);
        }
        byKind(history, span, kindOf);
        toJournal(history, span);
      }),
      { numRuns: Math.ceil(examples(300) / 3) },
    );
  });

  function adds({ opening, flows, betweenLots, closing }: RollRow): [boolean, boolean] {
    const of = ROLL_FLOWS.map((flow) => flows[flow]);
    return [
      Mass.sum([opening.mass, ...of.map(({ mass }) => mass)]).compare(closing.mass) === 0,
      sum([opening.value, betweenLots, ...of.map(({ value }) => value)]).compare(closing.value) === 0,
    ];
  }

  /** Nothing is between the lots of two kinds. */
  function byKind(
    history: readonly CostingEntry[],
    span: { from: string; until: string },
    kindOf: ReadonlyMap<string, string>,
  ): void {
    const { rows } = rolled(method, history, span, (lotId) => kindOf.get(lotId) ?? '');
    for (const row of rows) {
      expect(row.betweenLots.isZero()).toBe(true);
      expect([row.flows['transferred-in'].mass.isZero(), row.flows['transferred-out'].mass.isZero()]).toEqual([
        true,
        true,
      ]);
    }
  }

  /** Each flow is what the inventory account was debited and credited with by that sort of entry. */
  function toJournal(history: readonly CostingEntry[], { from, until }: { from: string; until: string }): void {
    const { total, closing } = rolled(method, history, { from, until }, () => 'all');
    const posted = journalOf(closing, STARTING_ACCOUNTS, { from });
    const kindOfEntry = new Map(closing.entries.map((entry) => [entry.entryId, entry]));
    const flowOf: Partial<Record<CostingEntry['kind'], RollFlow>> = {
      purchase: 'bought',
      harvest: 'raised',
      feed: 'fed',
      sale: 'sold',
      'late-cost': 'late-cost',
    };
    const undone = new Set(posted.flatMap((one) => one.reverses ?? []));
    const inventory = (some: typeof posted): Money =>
      sum(
        some
          .flatMap((one) => one.lines)
          .filter(({ account }) => account === 'hay-inventory')
          .map(({ debit, credit }) => debit.minus(credit)),
      );
    expect(inventory(posted).compare(total.closing.value.minus(total.opening.value))).toBe(0);
    for (const [kind, flow] of Object.entries(flowOf)) {
      const standing = posted.filter((one) => kindOfEntry.get(one.entryId)?.kind === kind && !undone.has(one.entryId));
      expect([flow, inventory(standing).toString()]).toEqual([flow, total.flows[flow].value.toString()]);
    }
  }
});
