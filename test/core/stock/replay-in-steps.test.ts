import fc, { examples } from '../../support/properties.js';
import { COSTING_METHODS, type CostingEntry } from '../../../src/core/stock/costing-entries.js';
import { replayCosts, replayInSteps } from '../../../src/core/stock/costing-replay.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money } from '../../../src/core/units/money.js';
import { inTurns } from '../../../src/platform/turns.js';
import { historyFrom, steps } from './histories.js';

/** Work that somebody else's request may come between: it rests after each entry, whatever that entry needs. */

const FED = 3000;

function restsOf(entries: readonly CostingEntry[], method: (typeof COSTING_METHODS)[number]): number {
  const replay = replayInSteps({ method, currency: 'USD', entries });
  let rests = 0;
  while (replay.next().done !== true) rests += 1;
  return rests;
}

const on = '2026-11-01';
const mass = Mass.kilograms('1');
const lot = { lotId: 'stack', placeId: 'yard' };
const bought = (id: string): CostingEntry => ({
  ...{ kind: 'purchase', id, on, ...lot, hayKind: 'meadow' },
  ...{ mass: Mass.kilograms('9000'), cost: Money.of('900', 'USD') },
});
const fed = (at: number): CostingEntry => ({ kind: 'feed', id: `fed ${at}`, on, ...lot, herdId: 'cows', mass });
const allFed = Array.from({ length: FED }, (_, at) => fed(at));

describe.each(COSTING_METHODS)('a replay by %s', (method) => {
  it('rests after each of its entries, and says in steps what it says at once', () => {
    fc.assert(
      fc.property(steps, (random) => {
        const entries = historyFrom(random);
        const at = replayInSteps({ method, currency: 'USD', entries });
        let [rests, step] = [0, at.next()];
        for (; step.done !== true; step = at.next()) rests += 1;
        expect(rests).toBeGreaterThanOrEqual(entries.length);
        expect(step.value).toEqual(replayCosts({ method, currency: 'USD', entries }));
      }),
      { numRuns: Math.ceil(examples(500) / 10) },
    );
  });

  it('rests on the way that it takes once more where a receipt of long ago is taken back', () => {
    const entries: CostingEntry[] = [
      bought('right'),
      bought('mistake'),
      ...allFed,
      { kind: 'reversal', id: 'back', on, reverses: 'mistake', reason: 'Entered twice.' },
    ];
    expect(restsOf(entries, method)).toBeGreaterThan(2 * FED);
  });

  it('lets others in as often as it is told to', async () => {
    let [others, done] = [0, false];
    const other = (): void => {
      others += 1;
      if (!done) setImmediate(other);
    };
    setImmediate(other);
    await inTurns(replayInSteps({ method, currency: 'USD', entries: [bought('right'), ...allFed] }), 100);
    done = true;
    expect(others).toBeGreaterThanOrEqual(FED / 100);
  });
});
