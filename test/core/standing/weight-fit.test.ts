/*
 * Weights that are none of the cattle they are entered for. The spans stand with their sources in
 * weight-bounds.data.ts; the cases are mistakes of unit and of total and mean that a scale house makes.
 */
import { ANIMAL_CLASSES } from '../../../src/core/requirements/requirement-set.js';
import { WEIGHT_BOUNDS } from '../../../src/core/plausibility/entry-bounds.data.js';
import { type KnownWeight, weightDoubts } from '../../../src/core/standing/weight-fit.js';
import { addDays } from '../../../src/core/time/calendar-day.js';
import fc from '../../support/properties.js';

const LB = 0.45359237;
const weighed = (on: string, lb: number): KnownWeight => ({ on, kg: lb * LB, how: 'weighed' });
const stated = (on: string, lb: number): KnownWeight => ({ on, kg: lb * LB, how: 'stated' });
const impossible = (...given: Parameters<typeof weightDoubts>) =>
  weightDoubts(...given)
    .filter((one) => one.impossible)
    .map((one) => one.code);

describe('a weight', () => {
  it('of 1290 g, ounces, kilograms or tons is none of a cow, of 1290 lb it is', () => {
    for (const kg of [1.29, 1290 * 0.028349523125, 1290, 1_290_000])
      expect(impossible('dry-pregnant-cow', { on: '2026-11-29', kg, how: 'stated' }, [])).toEqual(['weight-of-class']);
    expect(weightDoubts('dry-pregnant-cow', stated('2026-11-29', 1290), [])).toEqual([]);
  });

  it('of 93 lb is none of heifers that weighed 890 lb', () => {
    const found = impossible('replacement-heifer', weighed('2026-11-29', 93), [stated('2026-10-20', 890)]);
    expect(found).toContain('weight-of-class');
    expect(impossible('replacement-heifer', weighed('2026-11-29', 340), [weighed('2026-10-20', 890)])).toEqual([
      'weight-change',
    ]);
  });

  it('of 1700 lb forty days after 1240 lb is impossible over two scales, unlikely after a guess', () => {
    const mean = weighed('2026-11-29', 51_000 / 30);
    expect(impossible('dry-pregnant-cow', mean, [weighed('2026-10-20', 1240)])).toEqual(['weight-change']);
    const doubts = weightDoubts('dry-pregnant-cow', mean, [stated('2026-10-20', 1240)]);
    expect(doubts.map((one) => one.impossible)).toEqual(doubts.map(() => false));
    expect(doubts.map((one) => one.code)).toContain('weight-change');
  });

  it('is held against the next weighing as against the last', () => {
    expect(impossible('growing-calf', weighed('2026-10-20', 250), [weighed('2026-11-29', 560)])).toEqual([
      'weight-change',
    ]);
  });

  it('of a cow that calved in between fits: calf and fluids are left behind', () => {
    expect(weightDoubts('lactating-cow', weighed('2027-03-21', 1240), [weighed('2027-03-01', 1380)])).toEqual([]);
  });

  it('has a usual span inside the possible one for each class, each with a source', () => {
    for (const { possible, usual, source } of ANIMAL_CLASSES.map((one) => WEIGHT_BOUNDS[one])) {
      expect(possible[0]).toBeLessThan(usual[0]);
      expect(usual[1]).toBeLessThan(possible[1]);
      expect(source).not.toBe('');
    }
  });

  it('carried on by any gain that cattle make is never doubted', () => {
    const class_ = fc.constantFrom('growing-calf' as const, 'yearling' as const);
    const gain = fc.double({ min: -0.5, max: 1.6, noNaN: true });
    fc.assert(
      fc.property(
        class_,
        fc.integer({ min: 200, max: 260 }),
        gain,
        fc.integer({ min: 1, max: 90 }),
        (one, kg, gained, days) => {
          const first: KnownWeight = { on: '2026-11-01', kg, how: 'weighed' };
          const next: KnownWeight = { on: addDays(first.on, days), kg: kg + gained * days, how: 'weighed' };
          expect(weightDoubts(one, next, [first])).toEqual([]);
        },
      ),
    );
  });
});
