import { chanceOfAtLeast, exactDeathsDifference } from '../../../src/core/trial/deaths-difference.js';
import library from '../../reference/statistics/deaths-difference.json';

/* Values and the commands that gave them are in the file: programs that share no line with ours. */
describe('difference in deaths, exact', () => {
  it.each(library.intervals)('$change.died of $change.started against $usual.died of $usual.started', (given) => {
    const { usual, change, confidence, low, high } = given;
    const got = exactDeathsDifference({ usual, change, confidence });
    expect(got.difference).toBeCloseTo(change.died / change.started - usual.died / usual.started, 12);
    expect([got.low, got.high]).toEqual([expect.closeTo(low, 5), expect.closeTo(high, 5)]);
  });
  it.each(library.oneSided)('one-sided: $first.died of $first.started, $second.died of $second.started', (given) => {
    expect(chanceOfAtLeast(given.first, given.second, 0)).toBeCloseTo(given.p, 5);
  });
  it('turns its sign with the arms, and no death at all still leaves a difference possible', () => {
    const usual = { died: 1, started: 12 };
    const change = { died: 4, started: 15 };
    const one = exactDeathsDifference({ usual, change, confidence: 0.95 });
    const other = exactDeathsDifference({ usual: change, change: usual, confidence: 0.95 });
    expect([other.low, other.high]).toEqual([expect.closeTo(-one.high, 6), expect.closeTo(-one.low, 6)]);
    const none = exactDeathsDifference({
      usual: { died: 0, started: 20 },
      change: { died: 0, started: 20 },
      confidence: 0.95,
    });
    expect(none.high).toBeGreaterThan(0.1);
    expect(none.low).toBeCloseTo(-none.high, 6);
    expect(() => exactDeathsDifference({ usual, change: { died: 3, started: 2 }, confidence: 0.95 })).toThrow(
      RangeError,
    );
  });
});
