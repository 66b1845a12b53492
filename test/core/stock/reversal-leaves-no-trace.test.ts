import fc, { examples } from '../../support/properties.js';
import { COSTING_METHODS, type CostingEntry, type CostingMethod } from '../../../src/core/stock/costing-entries.js';
import { type CostReplay, replayCosts } from '../../../src/core/stock/costing-replay.js';
import { journalOf, STARTING_ACCOUNTS, trialBalance } from '../../../src/core/stock/journal.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money } from '../../../src/core/units/money.js';
import { historyFrom, steps } from './histories.js';

const ton = (value: number): Mass => Mass.of(value, 'ton');
const usd = (text: string): Money => Money.of(text, 'USD');

function replayed(method: CostingMethod, entries: readonly CostingEntry[]): CostReplay {
  const replay = replayCosts({ method, currency: 'USD', entries });
  if (!replay.ok) throw new Error(JSON.stringify(replay.problems));
  return replay;
}

/** What stands at the end, lot by lot and layer by layer. */
const standing = (replay: CostReplay) => ({
  lots: replay.lots
    .filter((lot) => lot.mass.isPositive())
    .map((lot) => `${lot.lotId} ${lot.mass.toString()} ${lot.value.toString()}`)
    .sort(),
  layers: replay.kinds
    .filter((kind) => kind.mass.isPositive())
    .map((kind) => [
      kind.hayKind,
      kind.layers.map((one) => `${one.key} ${one.mass.toString()} ${one.value.toString()}`),
    ])
    .sort(),
});

/** Each account's balance, and what each entry cost. */
const balances = (replay: CostReplay): Map<string, string> =>
  new Map(
    trialBalance(journalOf(replay, STARTING_ACCOUNTS), 'USD').rows.map((row) => [
      row.accountNumber,
      row.debit.minus(row.credit).toString(),
    ]),
  );
const costsOf = (replay: CostReplay, ids: ReadonlySet<string>): string[] =>
  replay.entries
    .filter((entry) => ids.has(entry.entryId))
    .map((entry) => `${entry.entryId} ${entry.inventoryChange.toString()}`);

interface Mistake {
  at: number;
  until: number;
  size: number;
  cents: number;
  billed: boolean;
  harvested: boolean;
}
const mistake: fc.Arbitrary<Mistake> = fc.record({
  at: fc.nat({ max: 30 }),
  until: fc.nat({ max: 30 }),
  size: fc.integer({ min: 1, max: 1000 }),
  cents: fc.integer({ min: 0, max: 500_000 }),
  billed: fc.boolean(),
  harvested: fc.boolean(),
});

/** A history into which receipts were entered by mistake, each reversed some entries later. */
function withMistakes(entries: readonly CostingEntry[], mistakes: readonly Mistake[]): CostingEntry[] {
  const history: { place: number; entry: CostingEntry }[] = entries.map((entry, place) => ({ place, entry }));
  const receipts = entries.filter((entry) => entry.kind === 'purchase' || entry.kind === 'harvest');
  mistakes.forEach(({ at, until, size, cents, billed, harvested }, index) => {
    const like = receipts[(size + at) % receipts.length];
    const [first, last] = [at % entries.length, Math.min(entries.length - 1, (at % entries.length) + until)];
    const [on, later] = [entries[first]?.on, entries[last]?.on];
    if (like === undefined || on === undefined || later === undefined) return;
    const id = `mistake${index}`;
    const { lotId, hayKind, placeId } = like;
    const cost = Money.of(cents, 'USD').dividedBy(100);
    const head = { id, on, lotId, hayKind, placeId, mass: Mass.of(size * 1237, 'g'), cost };
    const undo = (reverses: string): CostingEntry => ({
      id: `undo-${reverses}`,
      on: later,
      kind: 'reversal',
      reverses,
      reason: 'typed by mistake',
    });
    // A step before the entry at whose place it was typed, and after the one at which it was noticed.
    history.push({ place: first - 0.5, entry: { ...head, kind: harvested ? 'harvest' : 'purchase' } });
    if (billed) {
      const owed = 'freight' as const;
      const bill: CostingEntry = {
        id: `bill${index}`,
        on,
        kind: 'late-cost',
        receiptId: id,
        amount: usd('77.01'),
        owed,
      };
      history.push({ place: first + 0.2, entry: bill }, { place: last + 0.3, entry: undo(bill.id) });
    }
    history.push({ place: last + 0.4 + index / 100, entry: undo(id) });
  });
  return history.sort((one, other) => one.place - other.place).map(({ entry }) => entry);
}

describe.each(COSTING_METHODS)('%s: a receipt entered by mistake and reversed', (method) => {
  it('leaves every lot, layer and later cost as if it had never come', () => {
    let held = 0;
    fc.assert(
      fc.property(steps, fc.array(mistake, { minLength: 1, maxLength: 3 }), (random, mistakes) => {
        const entries = historyFrom(random);
        fc.pre(entries.some((entry) => entry.kind === 'purchase' || entry.kind === 'harvest'));
        const mistaken = withMistakes(entries, mistakes);
        fc.pre(mistaken.length > entries.length);
        const [never, after] = [replayed(method, entries), replayed(method, mistaken)];
        expect(standing(after)).toEqual(standing(never));
        // What was bought, owed and sold is the same too; what hay cost meanwhile is made up by the variances.
        const [one, other] = [balances(never), balances(after)];
        for (const role of [
          'hay-inventory',
          'payables',
          'freight-payable',
          'hay-sales',
          'raised-feed-transfer',
        ] as const) {
          const { number } = STARTING_ACCOUNTS[role];
          expect(other.get(number) ?? '0 USD').toBe(one.get(number) ?? '0 USD');
        }
        const isMistake = (entry: CostingEntry): boolean => !entries.includes(entry);
        const last = mistaken.findLastIndex(isMistake);
        const since = new Set(mistaken.slice(last).map((entry) => entry.id));
        const later = new Set(entries.filter((entry) => since.has(entry.id)).map((entry) => entry.id));
        // A feeding that was charged while the mistake stood is reversed at that charge.
        const reversed = entries.filter((entry) => entry.kind === 'reversal' || entry.kind === 'late-cost');
        for (const entry of reversed) later.delete(entry.id);
        expect(costsOf(after, later)).toEqual(costsOf(never, later));
        held += later.size;
      }),
      { numRuns: examples(250) },
    );
    expect(held).toBeGreaterThan(examples(250) / 2);
  });

  it('though hay of it was fed, and other hay came since', () => {
    // Hand example. 10 tons at 100; 10 tons at 300 by mistake; 5 tons fed; 10 tons at 200 bought. Without the mistake 5
    // tons at 100 and 10 at 200 are left: 2,500.
    const where = { lotId: 'A', hayKind: 'grass', placeId: 'yard' };
    const history: CostingEntry[] = [
      { id: 'first', on: '2024-01-01', kind: 'purchase', ...where, mass: ton(10), cost: usd('1000') },
      { id: 'mistake', on: '2024-01-02', kind: 'purchase', ...where, mass: ton(10), cost: usd('3000') },
      { id: 'fed', on: '2024-01-03', kind: 'feed', ...where, herdId: 'cows', mass: ton(5) },
      { id: 'second', on: '2024-01-04', kind: 'purchase', ...where, mass: ton(10), cost: usd('2000') },
      { id: 'undo', on: '2024-01-05', kind: 'reversal', reverses: 'mistake', reason: 'typed twice' },
    ];
    const replay = replayed(method, history);
    expect(replay.closingValue.toString()).toBe('2500 USD');
    // Fed at 200 a ton where hay is blended, at 100 where the oldest goes first: 500 too much, or right.
    const tooMuch = method === 'fifo' ? '0 USD' : '500 USD';
    expect(
      Money.sum(
        replay.variances.map((one) => one.amount),
        'USD',
      )
        .negated()
        .toString(),
    ).toBe(tooMuch);
  });

  it('whose hay was fed before any other came leaves the feeding to the hay that came next', () => {
    const where = { lotId: 'A', hayKind: 'grass', placeId: 'yard' };
    const replay = replayed(method, [
      { id: 'mistake', on: '2024-01-02', kind: 'purchase', ...where, mass: ton(10), cost: usd('3000') },
      { id: 'fed', on: '2024-01-03', kind: 'feed', ...where, herdId: 'cows', mass: ton(4) },
      { id: 'wrong', on: '2024-01-03', kind: 'feed', ...where, herdId: 'cows', mass: ton(6) },
      { id: 'back', on: '2024-01-04', kind: 'reversal', reverses: 'wrong', reason: 'never fed' },
      { id: 'true', on: '2024-01-05', kind: 'purchase', ...where, mass: ton(5), cost: usd('500') },
      { id: 'undo', on: '2024-01-06', kind: 'reversal', reverses: 'mistake', reason: 'typed twice' },
    ]);
    expect(replay.closingMass.in('ton').toFixed()).toBe('1');
    expect(replay.closingValue.toString()).toBe('100 USD');
    // Four tons were charged 1,200 and cost 400.
    expect(replay.variances.map((one) => one.amount.toString())).toEqual(['-800 USD']);
  });

  it('that moved from lot to lot and back before any other hay came takes its own share out', () => {
    const move = (id: string, fromLotId: string, toLotId: string): CostingEntry => ({
      id,
      on: '2024-01-03',
      kind: 'transfer',
      fromLotId,
      fromPlaceId: 'yard',
      toLotId,
      toPlaceId: 'yard',
      mass: ton(10),
    });
    const replay = replayed(method, [
      {
        id: 'm',
        on: '2024-01-02',
        kind: 'purchase',
        lotId: 'A',
        hayKind: 'grass',
        placeId: 'yard',
        mass: ton(10),
        cost: usd('3000'),
      },
      move('there', 'A', 'B'),
      move('back', 'B', 'A'),
      {
        id: 't',
        on: '2024-01-05',
        kind: 'purchase',
        lotId: 'A',
        hayKind: 'grass',
        placeId: 'yard',
        mass: ton(5),
        cost: usd('500'),
      },
      { id: 'undo', on: '2024-01-06', kind: 'reversal', reverses: 'm', reason: 'typed twice' },
    ]);
    expect(replay.closingMass.in('ton').toFixed()).toBe('5');
    expect(replay.closingValue.toString()).toBe('500 USD');
  });
});
