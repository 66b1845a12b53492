/* Who bears a cost that came late. Shares are fractions done by hand; sharing by mass: common practice, no source. */
import { type LotMovement, shareVariance, shareWithin } from '../../../src/core/stock/who-ate.js';
import { decimal } from '../../../src/core/units/decimal.js';
import { Money } from '../../../src/core/units/money.js';
import fc from '../../support/properties.js';

const usd = (amount: string | number): Money => Money.of(amount, 'USD');
let ids = 0;
const moved = (lotId: string, on: string, kilograms: number, more: Partial<LotMovement> = {}): LotMovement => ({
  id: `m${(ids += 1)}`,
  on,
  reversesId: null,
  lotId,
  kilograms: decimal(kilograms),
  herdId: null,
  toLotId: null,
  takesCost: false,
  ...more,
});
const ate = (
  herdId: string,
  lotId: string,
  on: string,
  kilograms: number,
  more: Partial<LotMovement> = {},
): LotMovement => moved(lotId, on, -kilograms, { herdId, takesCost: true, ...more });
const bill = {
  entryId: 'bill',
  on: '2026-12-20',
  lotId: 'stack',
  hayKind: 'grass',
  receivedOn: '2026-11-01',
  putsRight: null,
};
const shared = (amount: Money, movements: readonly LotMovement[], kind: readonly string[] = ['stack']): string[] =>
  shareVariance({ ...bill, amount }, movements, kind).shares.map(
    (one) => `${one.herdId} ${one.amount.amount.toFixed(2)}`,
  );

describe('a variance', () => {
  it('goes to who ate of the lot, and what was sold or lost at a cost, by mass', () => {
    expect(
      shared(usd(100), [
        moved('stack', '2026-11-01', 9000),
        ate('cows', 'stack', '2026-11-10', 2000),
        ate('calves', 'stack', '2026-11-12', 1000),
        ate('cows', 'stack', '2026-12-01', 1000),
        moved('stack', '2026-12-02', -500, { takesCost: true }),
        // A normal loss leaves its money to the rest; other lots, earlier and later days have nothing to do with it.
        moved('stack', '2026-12-03', -700),
        ate('bulls', 'other', '2026-12-04', 800),
        ate('bulls', 'stack', '2026-10-30', 800),
        ate('bulls', 'stack', '2026-12-21', 800),
      ]),
    ).toEqual(['calves 22.22', 'cows 66.67', 'null 11.11']);
  });

  it('takes no notice of what was reversed, whenever that was', () => {
    const wrong = ate('bulls', 'stack', '2026-11-10', 3000);
    expect(
      shared(usd(10), [
        wrong,
        moved('stack', '2027-02-01', 3000, { herdId: 'bulls', reversesId: wrong.id }),
        ate('cows', 'stack', '2026-11-10', 50),
      ]),
    ).toEqual(['cows 10.00']);
  });

  it('follows hay that was moved into another lot, as far as it was eaten there', () => {
    // 1,000 of the 4,000 kg in the barn are of the stack; half of the barn is eaten by the calves: 500 against 1,500.
    expect(
      shared(usd(80), [
        ate('cows', 'stack', '2026-11-10', 1500),
        moved('barn', '2026-11-05', 3000),
        moved('stack', '2026-11-11', -1000, { toLotId: 'barn' }),
        moved('barn', '2026-11-11', 1000),
        ate('calves', 'barn', '2026-11-20', 2000),
      ]),
    ).toEqual(['calves 20.00', 'cows 60.00']);
  });

  it('of a lot that nothing has left goes to who ate of its kind, and to nobody if nobody did', () => {
    expect(shared(usd(3), [ate('cows', 'other', '2026-11-10', 40)], ['stack', 'other'])).toEqual(['cows 3.00']);
    expect(shared(usd(3), [moved('stack', '2026-11-01', 40)])).toEqual(['null 3.00']);
  });

  it('is shared to the cent, and a part of a share by the days of its hay', () => {
    const eaten = fc.array(
      fc.record({
        herd: fc.constantFrom('a', 'b', 'c'),
        day: fc.integer({ min: 10, max: 29 }),
        mass: fc.integer({ min: 1, max: 999 }),
      }),
      { minLength: 1, maxLength: 12 },
    );
    fc.assert(
      fc.property(eaten, fc.integer({ min: -99_999, max: 99_999 }), (some, cents) => {
        const amount = usd(cents).times('0.01');
        const movements = some.map(({ herd, day, mass }) => ate(herd, 'stack', `2026-11-${day}`, mass));
        const variance = shareVariance({ ...bill, amount }, movements, []);
        const sum = Money.sum(
          variance.shares.map((one) => one.amount),
          'USD',
        );
        expect(sum.amount.toFixed(2)).toBe(amount.amount.toFixed(2));
        for (const { herdId, amount: own } of variance.shares) {
          if (herdId === null) throw new Error('all of it was eaten');
          const early = shareWithin(variance, herdId, (on) => decimal(on < '2026-11-20' ? 1 : 0));
          const late = shareWithin(variance, herdId, (on) => decimal(on < '2026-11-20' ? 0 : 1));
          expect(
            early
              ?.plus(late ?? usd(0))
              .rounded()
              .amount.toFixed(2),
          ).toBe(own.amount.toFixed(2));
        }
      }),
    );
  });
});
