import fc from '../../support/properties.js';
import { limitsInWords, verdictInWords, verdictOf } from '../../../src/core/trial/verdict.js';
import { confidenceText, roundedOutward, roundedUp } from '../../../src/core/trial/words.js';

const KG_PER_LB = 0.45359237; // exact, international pound of 1959
const names = { changeName: 'layered feeding', usualName: 'usual feeding' };
const bound = fc.double({ min: -2, max: 2, noNaN: true, noDefaultInfinity: true });

describe('verdict from an interval', () => {
  it.each([
    [0.05, 0.3, 0.1, 'favours', 'change', false],
    [0.12, 0.3, 0.1, 'favours', 'change', true],
    [-0.3, -0.12, 0.1, 'favours', 'usual', true],
    [-0.3, -0.01, null, 'favours', 'usual', null],
    [-0.05, 0.08, 0.1, 'no-clear-difference', null, false],
    [-0.05, 0.1, 0.1, 'too-small-to-tell', null, false],
    [-0.3, 0.02, 0.1, 'too-small-to-tell', null, false],
    [0, 0.3, 0.1, 'too-small-to-tell', null, false],
    [-0.3, 0.3, null, 'no-clear-difference', null, null],
  ] as const)(
    '%p to %p with %p worthwhile: %s',
    (lowKgPerDay, highKgPerDay, worthwhileKgPerDay, verdict, favours, worthwhileForSure) => {
      expect(verdictOf({ lowKgPerDay, highKgPerDay, worthwhileKgPerDay })).toEqual({
        verdict,
        favours,
        worthwhileForSure,
      });
    },
  );

  it('favors an arm exactly when zero is outside the interval', () => {
    fc.assert(
      fc.property(
        bound,
        bound,
        fc.option(fc.double({ min: 0.01, max: 1, noNaN: true })),
        (one, other, worthwhileKgPerDay) => {
          const [lowKgPerDay, highKgPerDay] = [Math.min(one, other), Math.max(one, other)];
          const got = verdictOf({ lowKgPerDay, highKgPerDay, worthwhileKgPerDay });
          expect(got.verdict === 'favours').toBe(lowKgPerDay > 0 || highKgPerDay < 0);
          if (got.verdict === 'no-clear-difference' && worthwhileKgPerDay !== null)
            expect(Math.max(-lowKgPerDay, highKgPerDay)).toBeLessThan(worthwhileKgPerDay);
        },
      ),
    );
  });

  it('refuses an interval turned round and a worthwhile difference of nothing', () => {
    expect(() => verdictOf({ lowKgPerDay: 1, highKgPerDay: 0, worthwhileKgPerDay: null })).toThrow(RangeError);
    expect(() => verdictOf({ lowKgPerDay: 0, highKgPerDay: 1, worthwhileKgPerDay: 0 })).toThrow(RangeError);
  });
});

describe('words never claim more than the interval', () => {
  it('the bounds told hold the true interval and keep the sign of a bound', () => {
    fc.assert(
      fc.property(bound, bound, (one, other) => {
        const [low, high] = [Math.min(one, other), Math.max(one, other)];
        const got = roundedOutward({ low, high, places: 2 });
        expect(Number(got.low)).toBeLessThanOrEqual(low + 1e-12);
        expect(Number(got.high)).toBeGreaterThanOrEqual(high - 1e-12);
      }),
    );
    expect(roundedOutward({ low: 0.0004, high: 0.5, places: 2 })).toEqual({ low: '0.0004', high: '0.50' });
    expect(roundedOutward({ low: -0.5, high: -0.003, places: 2 })).toEqual({ low: '-0.50', high: '-0.003' });
  });

  it.each([
    [1.26e-10, 0.5, '1.2e-10', '0.50'],
    [-0.5, -1.26e-10, '-0.50', '-1.2e-10'],
    [1.2e-10, 0.5, '1.2e-10', '0.50'],
  ])('a bound too small for eight decimals is rounded outward too: %p and %p', (low, high, toldLow, toldHigh) => {
    expect(roundedOutward({ low, high, places: 2 })).toEqual({ low: toldLow, high: toldHigh });
  });

  it('a sentence that favors states a least gain that is no more than the true one', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.001, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.boolean(),
        (near, width, change) => {
          const [low, high] = change ? [near, near + width] : [-near - width, -near];
          const got = verdictInWords({
            interval: { differenceKgPerDay: (low + high) / 2, lowKgPerDay: low, highKgPerDay: high, confidence: 0.95 },
            worthwhileKgPerDay: null,
            ...names,
            wordsIn: 'lb',
          });
          const told = /between (\S+) and (\S+) lb a day/.exec(got.sentences[0] ?? '');
          expect(Number(told?.[1])).toBeLessThanOrEqual(near / KG_PER_LB + 1e-9);
          expect(Number(told?.[2])).toBeGreaterThanOrEqual((near + width) / KG_PER_LB - 1e-9);
          expect(got.sentences[0]).toContain(`favors ${change ? 'layered' : 'usual'} feeding`);
        },
      ),
    );
  });

  it('tells each verdict in its own words', () => {
    const say = (low: number, high: number, worthwhileKgPerDay: number | null) =>
      verdictInWords({
        interval: { differenceKgPerDay: (low + high) / 2, lowKgPerDay: low, highKgPerDay: high, confidence: 0.95 },
        worthwhileKgPerDay,
        ...names,
        wordsIn: 'kg',
      }).sentences;
    expect(say(0.05, 0.25, 0.1)).toEqual([
      'The trial favors layered feeding: its cattle gained between 0.05 and 0.25 kg a day more than those on ' +
        'usual feeding (95 % confidence; best single figure 0.15).',
      'Part of the interval lies below the 0.10 kg a day named as worthwhile: the gain is there, but it may be ' +
        'too small to matter.',
    ]);
    expect(say(0.1, 0.25, 0.1)[1]).toBe('The whole interval is at or above the 0.10 kg a day named as worthwhile.');
    expect(say(-0.05, 0.08, 0.1)).toEqual([
      'No clear difference: cattle on layered feeding gained from 0.05 kg a day less to 0.08 kg a day more than ' +
        'those on usual feeding (95 % confidence).',
      'Every difference in that interval is smaller than the 0.10 kg a day named as worthwhile.',
    ]);
    expect(say(-0.05, 0.08, null)[1]).toContain('does not show that the two feedings are alike');
    expect(say(-0.2, 0.3, 0.1)[0]).toContain('too small to tell');
    expect(say(-0.2, 0.3, 0.1).join(' ')).not.toMatch(/favors|proves|no effect/);
  });

  it('rounds a confidence down and a needed difference up', () => {
    expect([0.95, 0.975, 0.9999994, 0.9833333].map(confidenceText)).toEqual(['95 %', '97.5 %', '99.9 %', '98.3 %']);
    expect(roundedUp(0.301, 2)).toBe('0.31');
    expect(roundedUp(0.3, 2)).toBe('0.30');
  });

  it('always names what the trial was about', () => {
    expect(limitsInWords({ classOfAnimals: 'weaned heifers', season: 'winter', hay: 'meadow hay' })[0]).toMatch(
      /weaned heifers, in winter, on meadow hay, as tested\. It says nothing about other classes/,
    );
  });
});
