import { replayCosts } from '../../../src/core/stock/costing-replay.js';
import { farmPriceValue } from '../../../src/core/stock/farm-price.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money, PricePerMass } from '../../../src/core/units/money.js';
import published from '../../reference/published-values.json';

const cases = published as unknown as { id: string; expected: string }[];
const expectedOf = (id: string): string => cases.find((each) => each.id === id)?.expected ?? '';

describe('inventory for the tax return', () => {
  // Source: 26 CFR 1.471-6(d).
  it('tax-farm-price: market price less direct cost of disposition', () => {
    expect(expectedOf('tax-farm-price')).toBe('market price less direct cost of disposition');
    const valued = farmPriceValue({
      onHand: Mass.of('40', 'ton'),
      marketPrice: PricePerMass.of('180', 'USD', 'ton'),
      costOfDisposition: PricePerMass.of('15', 'USD', 'ton'),
    });
    expect([valued.grossValue.toString(), valued.disposition.toString(), valued.value.toString()]).toEqual([
      '7200 USD',
      '600 USD',
      '6600 USD',
    ]);
  });

  // 26 CFR 1.471-6(d) values hay at price less disposition: 150 - 10 = 140 for 138.5625 t is 19,398.75, by hand. The
  // gross alone is 20,784.375 and the disposition 1,385.625; each rounded to even, they would leave 19,398.76.
  // Rounding half to even: common practice, no source.
  it('rounds the value once, and the lines still make it up', () => {
    const valued = farmPriceValue({
      onHand: Mass.of('138.5625', 'ton'),
      marketPrice: PricePerMass.of('150', 'USD', 'ton'),
      costOfDisposition: PricePerMass.of('10', 'USD', 'ton'),
    });
    expect([valued.grossValue.toString(), valued.disposition.toString(), valued.value.toString()]).toEqual([
      '20784.38 USD',
      '1385.63 USD',
      '19398.75 USD',
    ]);
  });

  // Source: summary of IRS Publication 225 rules, 2021.
  it('tax-year-end-feed: hay on hand at year end, raised or purchased, is in the inventory', () => {
    expect(expectedOf('tax-year-end-feed')).toContain('included in inventory');
    const replay = replayCosts({
      method: 'moving-average',
      currency: 'USD',
      entries: [
        {
          id: 'bought',
          on: '2024-07-01',
          kind: 'purchase',
          lotId: 'A',
          hayKind: 'grass',
          placeId: 'yard',
          mass: Mass.of('10', 'ton'),
          cost: Money.of('1500', 'USD'),
        },
        {
          id: 'raised',
          on: '2024-07-02',
          kind: 'harvest',
          lotId: 'B',
          hayKind: 'grass',
          placeId: 'yard',
          mass: Mass.of('30', 'ton'),
          cost: Money.of('2500', 'USD'),
        },
      ],
    });
    expect(replay.ok && [replay.closingMass.in('ton').toNumber(), replay.closingValue.toString()]).toEqual([
      40,
      '4000 USD',
    ]);
  });
});
