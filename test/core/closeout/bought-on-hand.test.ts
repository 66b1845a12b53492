import { boughtOnHand, type HeadPaid } from '../../../src/core/closeout/bought-on-hand.js';
import { Money } from '../../../src/core/units/money.js';

const usd = (amount: string): Money => Money.of(amount, 'USD');
let ids = 0;
const change = (on: string, kind: string, head: number, more: Partial<HeadPaid> = {}): HeadPaid => ({
  id: `c${(ids += 1)}`,
  on,
  kind,
  head,
  herdId: 'feeders',
  reversesId: null,
  moveId: null,
  paid: null,
  ...more,
});
const onHand = (entries: HeadPaid[], until = '2026-12-31'): [number, string] => {
  const { head, cost } = boughtOnHand(entries, until, 'USD');
  return [head, cost.toString()];
};

// By hand. Mean cost of what was bought, head by head: common practice, no source.
describe('bought cattle on hand', () => {
  const came = change('2026-10-01', 'in', 50, { paid: usd('60000') });

  it('are those that were not sold and did not die, at their mean cost', () => {
    const gone = [change('2026-11-01', 'death', -1), change('2026-12-01', 'sale', -20)];
    expect(onHand([came, ...gone])).toEqual([29, '34800 USD']);
    expect(onHand([came, ...gone], '2026-11-30')).toEqual([49, '58800 USD']);
    expect(onHand([came, ...gone], '2026-09-30')).toEqual([0, '0 USD']);
  });

  it('are no raised cattle, though they stand among them', () => {
    const raised = change('2026-09-01', 'in', 50);
    expect(onHand([raised, came, change('2026-12-01', 'sale', -20)])).toEqual([40, '48000 USD']);
    expect(onHand([raised])).toEqual([0, '0 USD']);
  });

  it('keep their cost where they move, and are none where their purchase was reversed', () => {
    const moved = [
      change('2026-11-01', 'move-out', -10, { moveId: 'm' }),
      change('2026-11-01', 'move-in', 10, { moveId: 'm', herdId: 'heavies' }),
      change('2026-12-01', 'sale', -4, { herdId: 'heavies' }),
    ];
    expect(onHand([came, ...moved])).toEqual([46, '55200 USD']);
    const slip = change('2026-10-02', 'in', 5, { paid: usd('7000') });
    const back = change('2026-10-05', 'reversal', -5, { reversesId: slip.id });
    expect(onHand([came, slip, back])).toEqual([50, '60000 USD']);
  });

  it('are nothing once all have left, to the cent', () => {
    const odd = change('2026-10-01', 'in', 3, { paid: usd('1000') });
    const gone = [1, 1, 1].map(() => change('2026-11-01', 'sale', -1));
    expect(onHand([odd, ...gone.slice(1)])).toEqual([1, '333.33 USD']);
    expect(onHand([odd, ...gone])).toEqual([0, '0 USD']);
  });
});
