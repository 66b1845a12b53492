import { ownWeighingSpread, type OwnWeight } from '../../../src/core/trial/own-spread.js';
import sleep from '../../reference/statistics/paired-days.json';

const pairs = (differences: readonly number[], more: Partial<OwnWeight> = {}): OwnWeight[] =>
  differences.flatMap((difference, animal): OwnWeight[] => {
    const own = { animalId: `${more.herdId ?? 'h'}-${animal}`, herdId: 'h', fill: 'full' as const, ...more };
    return [
      { ...own, day: 10, weightKg: 200 + 5 * animal },
      { ...own, day: 11, weightKg: 200 + 5 * animal + difference },
    ];
  });

describe('day-to-day spread of one weight, from own weights on two days in a row', () => {
  // Student 1908: the ten differences and their t of 4.0621 (nine degrees of freedom); the sd follows from t, and one
  // of two days has its variance halved. What the whole group gained or lost in a day is no spread.
  it('is the spread of paired differences over the square root of two', () => {
    const sd = (sleep.mean * Math.sqrt(10)) / sleep.t;
    const found = ownWeighingSpread(pairs(sleep.differences));
    expect(found).toMatchObject({ ok: true, degreesOfFreedom: 9, animals: 10, groups: 1 });
    expect(found.ok && found.sdKg).toBeCloseTo(sd / Math.SQRT2, 8);
    const two = [
      ...pairs(sleep.differences),
      ...pairs(
        sleep.differences.map((one) => one + 30),
        { herdId: 'other' },
      ),
    ];
    expect(ownWeighingSpread(two)).toMatchObject({ ok: true, degreesOfFreedom: 18, groups: 2 });
    const pooled = ownWeighingSpread(two);
    expect(pooled.ok && pooled.sdKg).toBeCloseTo(sd / Math.SQRT2, 8);
  });

  it('takes only days in a row at one fill, and enough of them', () => {
    expect(ownWeighingSpread(pairs(sleep.differences.slice(1)))).toMatchObject({ ok: false, animals: 9 });
    const apart = pairs(sleep.differences).map((one) => (one.day === 11 ? { ...one, day: 12 } : one));
    expect(ownWeighingSpread(apart)).toMatchObject({ ok: false, animals: 0 });
    const fills = pairs(sleep.differences).map((one) => (one.day === 11 ? { ...one, fill: 'shrunk' as const } : one));
    expect(ownWeighingSpread(fills)).toMatchObject({ ok: false, animals: 0 });
    const same = ownWeighingSpread(pairs(new Array<number>(12).fill(3)));
    expect(same.ok ? '' : same.because).toContain('never are');
  });
});
