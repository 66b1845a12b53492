/* Floating-point sums as IEEE 754 gives them: 0.1 + 0.2 is 0.30000000000000004. */
import { withoutDust } from '../../../src/core/units/without-dust.js';

test('an answer carries no dust of sums, and keeps whole numbers, text and what is not there', () => {
  const typed = '0.300000000000000004';
  const day = new Date(0);
  const answer = { sum: 0.1 + 0.2, list: [{ share: 1.1 * 3, none: null }], big: 2 ** 53 - 1, typed, day, sure: true };
  expect(withoutDust(answer)).toEqual({
    sum: 0.3,
    list: [{ share: 3.3, none: null }],
    big: 9007199254740991,
    typed,
    day,
    sure: true,
  });
  expect(withoutDust({ fine: 4200.004511, small: 1.25e-9 })).toEqual({ fine: 4200.004511, small: 1.25e-9 });
});
