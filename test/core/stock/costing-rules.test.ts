import {
  COSTING_METHODS,
  type CostingEntry,
  type CostingMethod,
  type ReversalEntry,
} from '../../../src/core/stock/costing-entries.js';
import { replayCosts, type CostReplay, type EntryCost } from '../../../src/core/stock/costing-replay.js';
import { journalOf, STARTING_ACCOUNTS, trialBalance } from '../../../src/core/stock/journal.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money } from '../../../src/core/units/money.js';

const usd = (text: string): Money => Money.of(text, 'USD');
const ton = (value: number | string): Mass => Mass.of(value, 'ton');
const buy = (id: string, on: string, lotId: string, mass: Mass, cost: string, freight = '0'): CostingEntry => ({
  id,
  on,
  kind: 'purchase',
  lotId,
  hayKind: 'grass',
  placeId: 'yard',
  mass,
  cost: usd(cost),
  freight: usd(freight),
});
const feed = (id: string, on: string, lotId: string, mass: Mass, herdId = 'cows'): CostingEntry => ({
  id,
  on,
  kind: 'feed',
  lotId,
  placeId: 'yard',
  herdId,
  mass,
});
const undo = (id: string, on: string, reverses: string): ReversalEntry => ({
  id,
  on,
  kind: 'reversal',
  reverses,
  reason: 'wrong lot',
});

function replayed(method: CostingMethod, entries: readonly CostingEntry[]): CostReplay {
  const replay = replayCosts({ method, currency: 'USD', entries });
  if (!replay.ok) throw new Error(JSON.stringify(replay.problems));
  return replay;
}
function entryOf(replay: CostReplay, id: string): EntryCost {
  const entry = replay.entries.find((each) => each.entryId === id);
  if (!entry) throw new Error(`no entry ${id}`);
  return entry;
}
const postings = (entry: EntryCost): string[] =>
  entry.lines.map((line) => `${line.account} ${line.amount.amount.toFixed(2)}`);
const refusedWith = (method: CostingMethod, entries: readonly CostingEntry[]): unknown => {
  const replay = replayCosts({ method, currency: 'USD', entries });
  return replay.ok ? 'accepted' : replay.problems.map((found) => `${found.field}: ${found.code}`);
};

describe('normal loss raises the unit cost of what is left', () => {
  // Source: consignment accounts, normal loss, worked answer (Indian school accountancy): 10,000 kg at 30 a kg, freight
  // 60,000, 10 % normal loss: 360,000 / 9,000 kg = 40 a kg; 500 kg unsold are worth 20,000.
  it.each(COSTING_METHODS)('%s: 40 a kilogram after a tenth is lost', (method) => {
    const replay = replayed(method, [
      buy('in', '2024-01-01', 'A', Mass.kilograms(10_000), '300000', '60000'),
      {
        id: 'lost',
        on: '2024-01-02',
        kind: 'shrink',
        lotId: 'A',
        placeId: 'yard',
        mass: Mass.kilograms(1000),
        treatment: 'into-unit-cost',
      },
      { id: 'sold', on: '2024-01-03', kind: 'sale', lotId: 'A', placeId: 'yard', mass: Mass.kilograms(8500) },
    ]);
    expect(entryOf(replay, 'sold').unitCost?.in('kg').toNumber()).toBe(40);
    expect(replay.closingValue.toString()).toBe('20000 USD');
    expect(entryOf(replay, 'lost').lines).toEqual([]);
  });

  // Source: study text for ACCA F2 (management accounting), chapter 9, normal loss: 20,700 over 900 kg of 1,000 is 23 a
  // kg.
  it('ACCA F2: 23 a kilogram', () => {
    const replay = replayed('moving-average', [
      buy('in', '2024-01-01', 'A', Mass.kilograms(1000), '20700'),
      {
        id: 'lost',
        on: '2024-01-02',
        kind: 'shrink',
        lotId: 'A',
        placeId: 'yard',
        mass: Mass.kilograms(100),
        treatment: 'into-unit-cost',
      },
      feed('out', '2024-01-03', 'A', Mass.kilograms(1)),
    ]);
    expect(entryOf(replay, 'out').inventoryChange.toString()).toBe('-23 USD');
  });
});

describe('losses and counts', () => {
  const start = buy('in', '2024-01-01', 'A', ton(10), '1000');
  it.each(COSTING_METHODS)('%s: abnormal loss is expensed at the present cost', (method) => {
    const replay = replayed(method, [
      start,
      { id: 'fire', on: '2024-01-02', kind: 'shrink', lotId: 'A', placeId: 'yard', mass: ton(4), treatment: 'expense' },
    ]);
    expect(postings(entryOf(replay, 'fire'))).toEqual(['hay-inventory -400.00', 'hay-loss 400.00']);
    expect(replay.closingValue.toString()).toBe('600 USD');
  });

  it.each(COSTING_METHODS)('%s: a normal loss of the last hay has nothing to carry its cost and says so', (method) => {
    const replay = replayed(method, [
      start,
      {
        id: 'gone',
        on: '2024-01-02',
        kind: 'shrink',
        lotId: 'A',
        placeId: 'yard',
        mass: ton(10),
        treatment: 'into-unit-cost',
      },
    ]);
    expect(postings(entryOf(replay, 'gone'))).toEqual(['hay-inventory -1000.00', 'hay-loss 1000.00']);
    expect(entryOf(replay, 'gone').notes).toEqual(['no-hay-left-to-carry-cost']);
  });

  it('fifo: a layer that rounding shrinks to nothing hands its money to the next', () => {
    const replay = replayed('fifo', [
      buy('crumb', '2024-01-01', 'A', Mass.kilograms('0.000000000001'), '5'),
      buy('load', '2024-01-01', 'A', Mass.kilograms(10), '10'),
      {
        id: 'dry',
        on: '2024-01-02',
        kind: 'shrink',
        lotId: 'A',
        placeId: 'yard',
        mass: Mass.kilograms(6),
        treatment: 'into-unit-cost',
      },
    ]);
    expect(replay.kinds[0]?.layers.map((layer) => [layer.key, layer.value.toString()])).toEqual([['load', '15 USD']]);
    const billed = replayed('fifo', [
      buy('crumb', '2024-01-01', 'A', Mass.kilograms('0.000000000001'), '5'),
      buy('load', '2024-01-01', 'A', Mass.kilograms(10), '10'),
      {
        id: 'dry',
        on: '2024-01-02',
        kind: 'shrink',
        lotId: 'A',
        placeId: 'yard',
        mass: Mass.kilograms(6),
        treatment: 'into-unit-cost',
      },
      { id: 'bill', on: '2024-01-03', kind: 'late-cost', receiptId: 'crumb', amount: usd('1'), owed: 'freight' },
    ]);
    expect(postings(entryOf(billed, 'bill'))).toEqual(['hay-inventory 1.00', 'freight-payable -1.00']);
  });

  it.each(COSTING_METHODS)('%s: a count finds more or less, priced or spread', (method) => {
    const count = (change: Mass, treatment: 'expense' | 'into-unit-cost'): CostReplay =>
      replayed(method, [
        start,
        { id: 'count', on: '2024-01-02', kind: 'count-adjustment', lotId: 'A', placeId: 'yard', change, treatment },
      ]);
    expect(postings(entryOf(count(ton(2), 'expense'), 'count'))).toEqual([
      'hay-inventory 200.00',
      'count-difference -200.00',
    ]);
    expect(postings(entryOf(count(ton(-2), 'expense'), 'count'))).toEqual([
      'hay-inventory -200.00',
      'count-difference 200.00',
    ]);
    expect(count(ton(2), 'into-unit-cost').closingValue.per(ton(12)).in('ton').toDecimalPlaces(6).toFixed()).toBe(
      '83.333333',
    );
    expect(count(ton(-2), 'into-unit-cost').closingValue.per(ton(8)).in('ton').toNumber()).toBe(125);
  });

  it.each(COSTING_METHODS)(
    '%s: hay found in a lot without a receipt comes in at no cost, is drawn at none, and needs its kind',
    (method) => {
      const found: CostingEntry = {
        id: 'found',
        on: '2024-01-01',
        kind: 'count-adjustment',
        lotId: 'A',
        placeId: 'yard',
        hayKind: 'grass',
        change: ton(2),
        treatment: 'expense',
      };
      const replay = replayed(method, [found, feed('fed', '2024-01-02', 'A', ton(1))]);
      expect(entryOf(replay, 'found').notes).toEqual(['no-unit-cost-known']);
      expect([
        replay.closingMass.in('ton').toNumber(),
        replay.closingValue.toString(),
        entryOf(replay, 'fed').inventoryChange.isZero(),
      ]).toEqual([1, '0 USD', true]);
      const { hayKind: _hayKind, ...kindless } = found;
      expect(refusedWith(method, [kindless])).toEqual(['entries[0].lotId: lot-unknown']);
    },
  );

  it.each(COSTING_METHODS)('%s: hay found in an empty lot comes in at no cost and says so', (method) => {
    const replay = replayed(method, [
      start,
      feed('all', '2024-01-02', 'A', ton(10)),
      {
        id: 'found',
        on: '2024-01-03',
        kind: 'count-adjustment',
        lotId: 'A',
        placeId: 'yard',
        change: ton(1),
        treatment: 'expense',
      },
    ]);
    expect(entryOf(replay, 'found').notes).toEqual(['no-unit-cost-known']);
    expect(replay.closingValue.toString()).toBe('0 USD');
  });
});

describe('half cents', () => {
  // Source of the rule: half to even, IEEE 754-2019, 4.3.1.
  it.each(COSTING_METHODS)('%s: a draw of exactly half a cent goes to the even one', (method) => {
    for (const [cost, exact, drawn] of [
      ['117.95', 5.055, '5.06'],
      ['119.35', 5.115, '5.12'],
      ['117.25', 5.025, '5.02'],
    ] as const) {
      expect((Number(cost) * 3) / 70).toBeCloseTo(exact, 10);
      const replay = replayed(method, [
        buy('a', '2024-01-01', 'A', ton(70), cost),
        feed('fed', '2024-01-02', 'A', ton(3)),
      ]);
      expect(entryOf(replay, 'fed').inventoryChange.amount.negated().toFixed(2)).toBe(drawn);
    }
  });

  it.each(COSTING_METHODS)('%s: the odd cent of a late bill stays with the hay', (method) => {
    // Tons received, fed, and the bill: half a cent is left over for the hay and for the variance.
    for (const [tons, draws, bill, kept, variance] of [
      [30, [5, 8, 2], '0.15', '0.08', '0.07'],
      [42, [5, 3, 10, 2, 5, 4, 3, 3], '0.15', '0.03', '0.12'],
      [60, [16, 10, 1], '0.10', '0.06', '0.04'],
    ] as const) {
      const replay = replayed(method, [
        buy('a', '2024-01-01', 'A', ton(tons), '700'),
        ...draws.map((drawn, index) => feed(`fed${index}`, '2024-01-02', 'A', ton(drawn))),
        { id: 'bill', on: '2024-01-31', kind: 'late-cost', receiptId: 'a', amount: usd(bill), owed: 'freight' },
      ]);
      expect(postings(entryOf(replay, 'bill'))).toEqual([
        `hay-inventory ${kept}`,
        `purchase-price-variance ${variance}`,
        `freight-payable -${bill}`,
      ]);
    }
  });
});

describe('a freight bill that comes late', () => {
  // Hand example. 20 tons at 100 and 10 tons at 130 of one kind; 12 tons of lot A are fed; then 300 of freight for lot
  // A.
  const history = [
    buy('a', '2024-01-01', 'A', ton(20), '2000'),
    buy('b', '2024-01-02', 'B', ton(10), '1300'),
    feed('fed', '2024-01-03', 'A', ton(12)),
    { id: 'bill', on: '2024-01-31', kind: 'late-cost', receiptId: 'a', amount: usd('300'), owed: 'freight' } as const,
  ];
  // Lot and FIFO: 8 of the 20 tons are left, 40 %: 120 to inventory, 180 variance. Average: 18 of 30 tons are left, 60
  // %.
  it.each([
    ['specific-lot', '1200.00', '120.00', '180.00', '2220'],
    ['moving-average', '1320.00', '180.00', '120.00', '2160'],
    ['fifo', '1200.00', '120.00', '180.00', '2220'],
  ] as const)('%s', (method, fed, kept, variance, closing) => {
    const replay = replayed(method, history);
    expect(entryOf(replay, 'fed').inventoryChange.amount.negated().toFixed(2)).toBe(fed);
    expect(postings(entryOf(replay, 'bill'))).toEqual([
      `hay-inventory ${kept}`,
      `purchase-price-variance ${variance}`,
      'freight-payable -300.00',
    ]);
    expect(replay.variances).toMatchObject([{ entryId: 'bill', cause: 'late-cost' }]);
    expect(replay.closingValue.toString()).toBe(`${closing} USD`);
  });

  it.each(COSTING_METHODS)('%s: all of it is variance when the hay is gone, none when nothing was fed', (method) => {
    const gone = replayed(method, [
      buy('a', '2024-01-01', 'A', ton(20), '2000'),
      feed('fed', '2024-01-03', 'A', ton(20)),
      { id: 'bill', on: '2024-01-31', kind: 'late-cost', receiptId: 'a', amount: usd('300'), owed: 'charges' },
    ]);
    expect(postings(entryOf(gone, 'bill'))).toEqual(['purchase-price-variance 300.00', 'payables -300.00']);
    const whole = replayed(method, [
      buy('a', '2024-01-01', 'A', ton(20), '2000'),
      { id: 'bill', on: '2024-01-31', kind: 'late-cost', receiptId: 'a', amount: usd('300'), owed: 'freight' },
    ]);
    expect(postings(entryOf(whole, 'bill'))).toEqual(['hay-inventory 300.00', 'freight-payable -300.00']);
  });

  it.each(COSTING_METHODS)('%s: a credit reverses its share, but never more than the hay cost', (method) => {
    const credit = (amount: string): readonly CostingEntry[] => [
      buy('a', '2024-01-01', 'A', ton(20), '2000'),
      feed('fed', '2024-01-03', 'A', ton(10)),
      { id: 'credit', on: '2024-01-31', kind: 'late-cost', receiptId: 'a', amount: usd(amount), owed: 'charges' },
    ];
    expect(postings(entryOf(replayed(method, credit('-100')), 'credit'))).toEqual([
      'hay-inventory -50.00',
      'purchase-price-variance -50.00',
      'payables 100.00',
    ]);
    expect(refusedWith(method, credit('-2000.01'))).toEqual(['entries[2].amount: credit-above-cost']);
  });
});

describe('reversal', () => {
  it.each(COSTING_METHODS)('%s: a feeding reversed later comes back at the cost it left with', (method) => {
    const replay = replayed(method, [
      buy('a', '2024-01-01', 'A', ton(10), '1000'),
      feed('fed', '2024-01-02', 'A', ton(4)),
      buy('b', '2024-01-03', 'A', ton(10), '2000'),
      undo('back', '2024-01-04', 'fed'),
    ]);
    expect(entryOf(replay, 'back')).toMatchObject({ reverses: 'fed', kind: 'reversal' });
    expect(postings(entryOf(replay, 'back'))).toEqual(['hay-inventory 400.00', 'feed-expense -400.00']);
    expect(replay.closingValue.toString()).toBe('3000 USD');
    expect(replay.feedByHerd.map((herd) => herd.cost.toString())).toEqual(['0 USD']);
  });

  it('moving average: what a reversed receipt had already charged out is a variance', () => {
    // 20 tons for 20 and 10 tons for 1000: 15 tons fed at 34 a ton. Without the dear receipt 5 tons at 1 a ton would be
    // left.
    const replay = replayed('moving-average', [
      buy('cheap', '2024-01-01', 'A', ton(10), '10'),
      buy('dear', '2024-01-02', 'B', ton(10), '1000'),
      buy('more', '2024-01-02', 'A', ton(10), '10'),
      feed('fed', '2024-01-03', 'A', ton(15)),
      undo('back', '2024-01-04', 'dear'),
    ]);
    expect(entryOf(replay, 'fed').inventoryChange.toString()).toBe('-510 USD');
    expect(replay.closingValue.toString()).toBe('5 USD');
    expect(postings(entryOf(replay, 'back'))).toEqual([
      'hay-inventory -505.00',
      'payables 1000.00',
      'purchase-price-variance -495.00',
    ]);
  });

  it.each(COSTING_METHODS)('%s: refuses what cannot be undone', (method) => {
    const a = buy('a', '2024-01-01', 'A', ton(10), '1000');
    const bill: CostingEntry = {
      id: 'bill',
      on: '2024-01-02',
      kind: 'late-cost',
      receiptId: 'a',
      amount: usd('10'),
      owed: 'freight',
    };
    expect(refusedWith(method, [a, undo('u', '2024-01-02', 'nobody')])).toEqual([
      'entries[1].reverses: reversed-unknown',
    ]);
    expect(refusedWith(method, [a, undo('u', '2024-01-02', 'a'), undo('v', '2024-01-03', 'a')])).toEqual([
      'entries[2].reverses: reversed-already',
    ]);
    expect(refusedWith(method, [a, undo('u', '2024-01-02', 'a'), undo('v', '2024-01-03', 'u')])).toEqual([
      'entries[2].reverses: reversal-of-reversal',
    ]);
    expect(refusedWith(method, [a, { ...undo('u', '2024-01-02', 'a'), reason: ' ' }])).toEqual([
      'entries[1].reason: reason-missing',
    ]);
    expect(refusedWith(method, [a, feed('f', '2024-01-02', 'A', ton(1)), undo('u', '2024-01-03', 'a')])).toEqual([
      'entries[2].reverses: lot-drawn-below-zero',
    ]);
    expect(refusedWith(method, [a, bill, undo('u', '2024-01-03', 'a')])).toEqual([
      'entries[2].reverses: late-costs-stand',
    ]);
    expect(refusedWith(method, [a, bill, undo('u', '2024-01-03', 'bill'), undo('v', '2024-01-03', 'a')])).toBe(
      'accepted',
    );
    expect(refusedWith(method, [a, undo('u', '2024-01-02', 'a'), { ...bill, on: '2024-01-04' }])).toEqual([
      'entries[2].receiptId: receipt-reversed',
    ]);
    expect(refusedWith(method, [a, undo('u', '2023-12-31', 'a')])).toEqual(['entries[1].on: history-out-of-order']);
  });
});

describe('transfers', () => {
  const bought = [buy('a', '2024-01-01', 'A', ton(10), '1000'), buy('b', '2024-01-01', 'B', ton(10), '2000')];
  const haul: CostingEntry = {
    id: 'haul',
    on: '2024-01-02',
    kind: 'transfer',
    fromLotId: 'A',
    fromPlaceId: 'yard',
    toLotId: 'B',
    toPlaceId: 'north',
    mass: ton(5),
  };

  it('specific lot: the cost travels with the hay', () => {
    const replay = replayed('specific-lot', [...bought, haul]);
    expect(replay.lots.map((lot) => [lot.lotId, lot.mass.in('ton').toNumber(), lot.value.toString()])).toEqual([
      ['A', 5, '500 USD'],
      ['B', 15, '2500 USD'],
    ]);
    expect(
      entryOf(replay, 'haul').rows.map((row) => [row.lotId, row.placeId, row.change.in('ton').toNumber()]),
    ).toEqual([
      ['A', 'yard', -5],
      ['B', 'north', 5],
    ]);
    expect(entryOf(replay, 'haul').lines).toEqual([]);
    expect(replay.lots[1]?.places.map((place) => [place.placeId, place.value.toString()])).toEqual([
      ['yard', '1666.67 USD'],
      ['north', '833.33 USD'],
    ]);
  });

  it('specific lot: a late bill follows the hay into the other lot', () => {
    const replay = replayed('specific-lot', [
      ...bought,
      haul,
      { id: 'bill', on: '2024-01-03', kind: 'late-cost', receiptId: 'a', amount: usd('100'), owed: 'freight' },
    ]);
    expect(replay.lots.map((lot) => lot.value.toString())).toEqual(['550 USD', '2550 USD']);
  });

  it('specific lot: a transfer reversed takes its cost home, and later bills with it', () => {
    const replay = replayed('specific-lot', [
      ...bought,
      haul,
      undo('back', '2024-01-03', 'haul'),
      { id: 'bill', on: '2024-01-04', kind: 'late-cost', receiptId: 'a', amount: usd('100'), owed: 'freight' },
    ]);
    expect(replay.lots.map((lot) => lot.value.toString())).toEqual(['1100 USD', '2000 USD']);
    expect(replay.variances).toEqual([]);
  });

  it('pools of a kind do not feel a transfer; another kind is refused', () => {
    for (const method of ['moving-average', 'fifo'] as const) {
      const [before, after] = [replayed(method, bought), replayed(method, [...bought, haul])];
      expect(after.kinds.map((kind) => kind.layers.map((layer) => layer.value.toString()))).toEqual(
        before.kinds.map((kind) => kind.layers.map((layer) => layer.value.toString())),
      );
    }
    const other: CostingEntry = {
      id: 'c',
      on: '2024-01-01',
      kind: 'harvest',
      lotId: 'C',
      hayKind: 'alfalfa',
      placeId: 'yard',
      mass: ton(1),
      cost: usd('50'),
    };
    expect(refusedWith('fifo', [...bought, other, { ...haul, toLotId: 'C' }])).toEqual([
      'entries[3].toLotId: lot-of-another-kind',
    ]);
  });
});

describe('what is refused', () => {
  const a = buy('a', '2024-01-01', 'A', ton(10), '1000');
  it('says what is left', () => {
    const replay = replayCosts({
      method: 'fifo',
      currency: 'USD',
      entries: [
        buy('a', '2024-01-01', 'A', Mass.kilograms(100), '10'),
        feed('f', '2024-01-02', 'A', Mass.kilograms(101)),
      ],
    });
    expect(replay).toMatchObject({
      ok: false,
      problems: [
        {
          code: 'lot-drawn-below-zero',
          given: '101 kg',
          allowed: 'at most 100 kg',
          message: 'Lot A has 100 kg left at yard.',
        },
      ],
    });
  });
  it('a place does not lend to another, nor a lot of the same kind', () => {
    expect(
      refusedWith('fifo', [a, { ...feed('f', '2024-01-02', 'A', ton(1)), placeId: 'north' } as CostingEntry]),
    ).toEqual(['entries[1].mass: lot-drawn-below-zero']);
    expect(refusedWith('moving-average', [a, feed('f', '2024-01-02', 'B', ton(1))])).toEqual([
      'entries[1].mass: lot-drawn-below-zero',
    ]);
  });
  it('bad amounts, masses, days and ids', () => {
    expect(refusedWith('fifo', [buy('a', '2024-01-01', 'A', Mass.zero, '1')])).toEqual([
      'entries[0].mass: mass-not-positive',
    ]);
    expect(refusedWith('fifo', [buy('a', '2024-01-01', 'A', Mass.kilograms('1').dividedBy(3), '1')])).toEqual([
      'entries[0].mass: mass-too-fine',
    ]);
    expect(refusedWith('fifo', [buy('a', '2024-01-01', 'A', ton(1), '1.005')])).toEqual([
      'entries[0].cost: amount-not-in-cents',
    ]);
    expect(refusedWith('fifo', [buy('a', '2024-01-01', 'A', ton(1), '-1')])).toEqual([
      'entries[0].cost: amount-not-in-cents',
    ]);
    expect(refusedWith('fifo', [buy('a', '2024-02-30', 'A', ton(1), '1')])).toEqual(['entries[0].on: day-not-a-date']);
    expect(refusedWith('fifo', [a, { ...a, on: '2024-01-02' }])).toEqual(['entries[1].id: entry-id-repeated']);
    expect(
      refusedWith('fifo', [a, { ...buy('b', '2024-01-02', 'A', ton(1), '1'), hayKind: 'alfalfa' } as CostingEntry]),
    ).toEqual(['entries[1].lotId: lot-of-another-kind']);
    expect(
      refusedWith('fifo', [
        {
          id: 'c',
          on: '2024-01-02',
          kind: 'count-adjustment',
          lotId: 'Z',
          placeId: 'yard',
          change: ton(1),
          treatment: 'expense',
        },
      ]),
    ).toEqual(['entries[0].lotId: lot-unknown']);
    expect(
      refusedWith('fifo', [
        { id: 'c', on: '2024-01-02', kind: 'late-cost', receiptId: 'Z', amount: usd('1'), owed: 'freight' },
      ]),
    ).toEqual(['entries[0].receiptId: receipt-unknown']);
    expect(() => replayCosts({ method: 'fifo', currency: 'CAD', entries: [a] })).toThrow(RangeError);
  });
});

describe('journal', () => {
  const replay = replayed('specific-lot', [
    buy('a', '2024-01-01', 'A', ton(10), '1000', '200'),
    {
      id: 'own',
      on: '2024-01-05',
      kind: 'harvest',
      lotId: 'H',
      hayKind: 'grass',
      placeId: 'yard',
      mass: ton(5),
      cost: usd('300'),
    },
    feed('f', '2024-02-01', 'A', ton(2), 'calves'),
    { id: 's', on: '2024-02-02', kind: 'sale', lotId: 'H', placeId: 'yard', mass: ton(1), proceeds: usd('150') },
  ]);

  it('is a balanced double entry per movement, with the herd on its feed', () => {
    expect(
      journalOf(replay, STARTING_ACCOUNTS).map((entry) =>
        entry.lines.map((line) =>
          (
            `${line.accountNumber} ${line.debit.amount.toFixed(2)} ${line.credit.amount.toFixed(2)} ` +
            `${line.herdId ?? ''}`
          ).trim(),
        ),
      ),
    ).toEqual([
      ['1400 1200.00 0.00', '2000 0.00 1000.00', '2010 0.00 200.00'],
      ['1400 300.00 0.00', '4300 0.00 300.00'],
      ['1400 0.00 240.00', '5100 240.00 0.00 calves'],
      ['1400 0.00 60.00', '5200 60.00 0.00', '1200 150.00 0.00', '4100 0.00 150.00'],
    ]);
  });

  it('can be cut to a period and mapped to accounts of the operation', () => {
    const mapped = {
      ...STARTING_ACCOUNTS,
      'freight-payable': STARTING_ACCOUNTS.payables,
      'hay-inventory': { number: '131', name: 'Feed on hand' },
    };
    const journal = journalOf(replay, mapped, { from: '2024-01-01', until: '2024-02-01' });
    expect(journal.map((entry) => entry.entryId)).toEqual(['a', 'own']);
    const trial = trialBalance(journal, 'USD');
    expect(trial.rows.map((row) => `${row.accountNumber} ${row.debit.toString()} ${row.credit.toString()}`)).toEqual([
      '131 1500 USD 0 USD',
      '2000 0 USD 1200 USD',
      '4300 0 USD 300 USD',
    ]);
    expect(trial.totalDebit.toString()).toBe(trial.totalCredit.toString());
  });
});

describe('hay drawn at the instant at which it came', () => {
  const noon = { instant: '2025-11-03T12:00-07:00' };
  const history = (first: CostingEntry, second: CostingEntry): CostingEntry[] => [
    buy('p1', '2025-11-01', 'a', ton(10), '1000'),
    buy('p2', '2025-11-01', 'b', ton(1), '90'),
    { ...first, ...noon },
    { ...second, ...noon },
  ];
  const hauled: CostingEntry = {
    id: 't1',
    on: '2025-11-03',
    kind: 'transfer',
    fromLotId: 'a',
    fromPlaceId: 'yard',
    toLotId: 'b',
    toPlaceId: 'yard',
    mass: ton(4),
  };

  it.each(COSTING_METHODS)('is drawn from it, in whichever order the two were entered (%s)', (method) => {
    const fed = feed('f1', '2025-11-03', 'b', ton(5));
    const [one, other] = [replayed(method, history(hauled, fed)), replayed(method, history(fed, hauled))];
    expect(postings(entryOf(other, 'f1'))).toEqual(postings(entryOf(one, 'f1')));
    // Told as the ledger has them, whichever had to wait.
    expect(other.entries.map((entry) => entry.entryId)).toEqual(['p1', 'p2', 'f1', 't1']);
    // By hand: the one ton of b at 90 and four tons of a at 100 each.
    if (method === 'specific-lot')
      expect(postings(entryOf(other, 'f1'))).toEqual(['hay-inventory -490.00', 'feed-expense 490.00']);
  });

  it('is still refused where more is drawn than came, naming the draw', () => {
    expect(refusedWith('fifo', history(feed('f1', '2025-11-03', 'b', ton(6)), hauled))).toEqual([
      'entries[2].mass: lot-drawn-below-zero',
    ]);
  });

  it('is refused where the hay came at another instant of the day', () => {
    const [fed, came] = [feed('f1', '2025-11-03', 'b', ton(5)), { ...hauled, instant: 'evening' }];
    const entries = history(fed, hauled).slice(0, 3);
    expect(refusedWith('fifo', [...entries, came])).toEqual(['entries[2].mass: lot-drawn-below-zero']);
  });
});
