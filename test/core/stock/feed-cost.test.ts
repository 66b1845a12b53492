import fc, { examples } from '../../support/properties.js';
import { COSTING_METHODS, type CostingEntry } from '../../../src/core/stock/costing-entries.js';
import { replayCosts } from '../../../src/core/stock/costing-replay.js';
import { feedCostBy, feedCostRows, unitFeedCost } from '../../../src/core/stock/feed-cost.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money } from '../../../src/core/units/money.js';
import { historyFrom, steps } from './histories.js';

const usd = (text: string): Money => Money.of(text, 'USD');
const ton = (value: number | string): Mass => Mass.of(String(value), 'ton');
const season = { from: '2024-01-01', until: '2025-01-01' };

describe('feed cost', () => {
  const entries: CostingEntry[] = [
    {
      id: 'in',
      on: '2024-01-01',
      kind: 'purchase',
      lotId: 'A',
      hayKind: 'grass',
      placeId: 'yard',
      mass: ton(10),
      cost: usd('1000'),
    },
    { id: 'f1', on: '2024-01-20', kind: 'feed', lotId: 'A', placeId: 'yard', herdId: 'cows', mass: ton(2) },
    { id: 'f2', on: '2024-02-01', kind: 'feed', lotId: 'A', placeId: 'yard', herdId: 'calves', mass: ton(1) },
    { id: 'undo', on: '2024-02-03', kind: 'reversal', reverses: 'f1', reason: 'twice' },
  ];
  const replay = replayCosts({ method: 'fifo', currency: 'USD', entries });

  it('by herd and month; a reversal stands in its own month', () => {
    if (!replay.ok) throw new Error('refused');
    const rows = feedCostRows(replay, season);
    expect(rows.map((row) => [row.herdId, row.month, row.fed.in('ton').toNumber(), row.cost.toString()])).toEqual([
      ['cows', '2024-01', 2, '200 USD'],
      ['calves', '2024-02', 1, '100 USD'],
      ['cows', '2024-02', -2, '-200 USD'],
    ]);
    expect(
      feedCostBy(rows, 'herdId', 'USD').map((each) => [each.name, each.fed.in('ton').toNumber(), each.cost.toString()]),
    ).toEqual([
      ['cows', 0, '0 USD'],
      ['calves', 1, '100 USD'],
    ]);
    expect(feedCostRows(replay, { from: '2024-01-01', until: '2024-02-01' }).map((row) => row.cost.toString())).toEqual(
      ['200 USD'],
    );
  });

  it('per head, head-day, ton fed and ton eaten', () => {
    const unit = unitFeedCost({
      cost: usd('9000'),
      headDays: 9000,
      days: 90,
      fed: ton(100),
      refused: ton(4),
      wasted: ton(6),
    });
    expect([
      unit.perHead?.toString(),
      unit.perHeadDay?.toString(),
      unit.perMassFed?.in('ton').toDecimalPlaces(10).toNumber(),
      unit.perMassEaten?.in('ton').toDecimalPlaces(10).toNumber(),
    ]).toEqual(['90 USD', '1 USD', 90, 100]);
    expect(
      unitFeedCost({ cost: usd('1'), headDays: 0, days: 1, fed: Mass.zero, refused: Mass.zero, wasted: Mass.zero }),
    ).toEqual({ perHead: null, perHeadDay: null, perMassFed: null, perMassEaten: null });
  });

  it.each(COSTING_METHODS)('%s: every cut adds up to the feed of the books', (method) => {
    fc.assert(
      fc.property(steps, (random) => {
        const books = replayCosts({ method, currency: 'USD', entries: historyFrom(random) });
        if (!books.ok) throw new Error('refused');
        const rows = feedCostRows(books, { from: '2000-01-01', until: '2100-01-01' });
        const cost = Money.sum(
          books.feedByHerd.map((herd) => herd.cost),
          'USD',
        );
        for (const name of ['herdId', 'hayKind', 'lotId', 'placeId', 'month'] as const) {
          const cut = feedCostBy(rows, name, 'USD');
          expect(
            Money.sum(
              cut.map((each) => each.cost),
              'USD',
            ).compare(cost),
          ).toBe(0);
          expect(
            Mass.sum(cut.map((each) => each.fed)).compare(Mass.sum(books.feedByHerd.map((herd) => herd.mass))),
          ).toBe(0);
        }
      }),
      { numRuns: examples(100) },
    );
  });
});
