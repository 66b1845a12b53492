import fc from '../../support/properties.js';
import { type ReceivedHay, weighedBalanceInterval } from '../../../src/core/budget/balance-interval.js';
import { loadWeight } from '../../../src/core/stock/bale-weighing.js';
import { Mass } from '../../../src/core/units/mass.js';

const lb = (value: number | string): Mass => Mass.of(String(value), 'lb');
const load = (bales: number, weighed: number, mean: number | string, sd: number | string | null): ReceivedHay => ({
  weight: lb(mean).times(bales),
  weighing: { bales, weighed, standardDeviation: sd === null ? null : lb(sd) },
});

describe('a balance that rests on weighed bales', () => {
  // Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2, ZARR13.DAT: n = 195, mean 9.261460, standard
  // deviation 0.022789,
  // 95 % limits 9.258242 and 9.264679, worked there from unrounded figures: the last printed place may differ by one.
  // So many bales that the finite correction is nothing; a balance of one mean bale.
  it('gives the limits of the handbook for a large yard', () => {
    const { low, high } = weighedBalanceInterval({
      balance: lb('9.261460'),
      received: [load(1_000_000_000, 195, '9.261460', '0.022789')],
    });
    expect(Math.abs(low.in('lb').toNumber() - 9.258242)).toBeLessThanOrEqual(1e-6);
    expect(Math.abs(high.in('lb').toNumber() - 9.264679)).toBeLessThanOrEqual(1e-6);
  });

  // By hand; t(0.975; 9) = 2.262 from the table of the same handbook, 1.3.6.7.2. 100 bales, 10 weighed, mean 1,000 lb,
  // sd 50 lb:
  // standard error of the mean 50/√10 × √(1 − 10/100) = 15 lb; times 2.262 = 33.93 lb a bale, 3,393 lb of
  // 100,000 lb: 3.393 %.
  it('half the load left is off by half as much', () => {
    const received = [load(100, 10, 1000, 50)];
    const whole = weighedBalanceInterval({ balance: lb(100_000), received });
    const left = weighedBalanceInterval({ balance: lb(50_000), received });
    expect(Math.abs(whole.half.in('lb').toNumber() - 3393)).toBeLessThan(1);
    expect(Math.abs(left.half.in('lb').toNumber() - 1696.5)).toBeLessThan(0.5);
    expect(Math.abs(left.low.in('lb').toNumber() - 48_303.5)).toBeLessThan(0.5);
    expect(Math.abs(left.high.in('lb').toNumber() - 51_696.5)).toBeLessThan(0.5);
    expect([left.basis, left.balesWeighed, left.bales, left.loadsNotKnown]).toEqual(['weighed-bales', 10, 100, 0]);
  });

  // By hand: beside as much again from a scale ticket the 3,393 lb stand against 200,000 lb.
  it('a scale ticket in the same lot adds nothing', () => {
    const { half } = weighedBalanceInterval({
      balance: lb(200_000),
      received: [load(100, 10, 1000, 50), { weight: lb(100_000) }],
    });
    expect(Math.abs(half.in('lb').toNumber() - 3393)).toBeLessThan(1);
  });

  // By hand: two such loads have variance 2 × (100 × 15)² = 4,500,000, root 2,121.32 lb; degrees of freedom (2v)²
  // ÷ (2v² ÷ 9) = 18, t(0.975; 18) = 2.101 in the same table: 4,456.9 lb.
  it('adds the variances of two loads, at the degrees of freedom of both', () => {
    const two = weighedBalanceInterval({
      balance: lb(200_000),
      received: [load(100, 10, 1000, 50), load(100, 10, 1000, 50)],
    });
    expect(Math.abs(two.half.in('lb').toNumber() - 4456.9)).toBeLessThan(1.1);
    expect([two.balesWeighed, two.bales]).toEqual([20, 200]);
  });

  it('without a spread, or with one bale weighed, it is not known and nothing is widened', () => {
    for (const one of [load(100, 10, 1000, null), load(100, 1, 1000, 50)]) {
      const found = weighedBalanceInterval({ balance: lb(40_000), received: [one] });
      expect([found.basis, found.low.in('lb').toString(), found.high.in('lb').toString(), found.loadsNotKnown]).toEqual(
        ['not-known', '40000', '40000', 1],
      );
    }
    expect(weighedBalanceInterval({ balance: lb(40_000), received: [{ weight: lb(50_000) }] })).toMatchObject({
      basis: 'not-weighed-bales',
      loadsNotKnown: 0,
    });
    const mixed = weighedBalanceInterval({
      balance: lb(200_000),
      received: [load(100, 10, 1000, 50), load(100, 1, 1000, null)],
    });
    expect([
      mixed.basis,
      mixed.balesWeighed,
      mixed.loadsNotKnown,
      Math.abs(mixed.half.in('lb').toNumber() - 3393) < 1,
    ]).toEqual(['weighed-bales', 10, 1, true]);
  });

  it('closes when every bale was weighed', () => {
    const found = weighedBalanceInterval({ balance: lb(3000), received: [load(5, 5, 1000, null)] });
    expect([found.basis, found.half.in('lb').toString()]).toEqual(['weighed-bales', '0']);
  });

  it('refuses counts that cannot be', () => {
    expect(() => weighedBalanceInterval({ balance: lb(1), received: [load(3, 4, 1000, 50)] })).toThrow(RangeError);
  });

  it('for one whole load is the interval of its ticket, and never falls below nothing', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 2, max: 40 }),
        fc.integer({ min: 0, max: 400 }),
        fc.integer({ min: 0, max: 900 }),
        (weighed, more, sd) => {
          const bales = weighed + more;
          const ticket = loadWeight({ bales, weighed, mean: lb(1000), standardDeviation: lb(sd) });
          const found = weighedBalanceInterval({
            balance: lb(1000).times(bales),
            received: [load(bales, weighed, 1000, sd)],
          });
          expect(ticket.ok).toBe(true);
          if (!ticket.ok) return;
          expect(found.low.in('lb').toNumber()).toBeCloseTo(ticket.low.in('lb').toNumber(), 3);
          expect(found.high.in('lb').toNumber()).toBeCloseTo(ticket.high.in('lb').toNumber(), 3);
          expect(found.low.isNegative()).toBe(false);
        },
      ),
    );
  });
});
