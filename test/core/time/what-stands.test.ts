/* Which entries count for an account of some days; expected values are counts done by hand. */
import { headDays, headHistory } from '../../../src/core/standing/head-days.js';
import { headCorrection, headInPlace } from '../../../src/core/season/head-correction.js';
import { addDays } from '../../../src/core/time/calendar-day.js';
import { fateOf, whatStands } from '../../../src/core/time/what-stands.js';
import { Money } from '../../../src/core/units/money.js';
import fc from '../../support/properties.js';

interface Change {
  id: string;
  on: string;
  reversesId: string | null;
  herdId: string;
  head: number;
  toldOn?: string | null;
}
const change = (id: string, on: string, head: number, reversesId: string | null = null): Change => ({
  id,
  on,
  head,
  reversesId,
  herdId: 'calves',
});

describe('an entry and its reversal', () => {
  const pair = { reversedOn: '2026-12-10', reversalOn: '2027-01-05' };
  it.each([
    ['2026-12-01', '2026-12-31', 'stands'],
    ['2026-12-01', '2027-01-05', 'gone'],
    ['2026-12-11', '2027-01-04', 'stands'],
    ['2026-12-11', '2027-01-05', 'correction'],
    ['2026-12-10', '2027-01-31', 'gone'],
    ['2027-01-05', '2027-01-31', 'correction'],
    ['2027-01-06', '2027-01-31', 'gone'],
  ] as const)('for the days from %s to %s: %s', (from, until, fate) => {
    expect(fateOf(pair, { from, until })).toBe(fate);
  });

  it('are gone from an account of all days, and stand together where the reversal is of a later day', () => {
    const entries = [change('a', '2026-12-10', -1), change('b', '2027-01-05', 1, 'a'), change('c', '2026-12-01', 9)];
    expect(whatStands(entries).standing.map(({ id }) => id)).toEqual(['c']);
    expect(whatStands(entries, { until: '2027-01-04' }).standing.map(({ id }) => id)).toEqual(['a', 'b', 'c']);
    expect(whatStands([change('b', '2027-01-05', 1, 'elsewhere')]).standing).toHaveLength(1);
  });
});

describe('an entry that was posted late in place of one that was taken back', () => {
  const entries = [
    change('a', '2026-11-05', 40),
    change('b', '2027-01-01', -40, 'a'),
    { ...change('c', '2027-01-01', 38), toldOn: '2026-11-07' },
  ];
  it.each([
    ['no first day', undefined, '2027-01-31', ['c 2026-11-07'], 0, []],
    ['a first day before both', '2026-11-01', '2027-01-31', ['c 2026-11-07'], 0, []],
    ['a first day between the two told', '2026-11-06', '2027-01-31', ['c 2026-11-07'], 1, []],
    ['a first day after the day told', '2026-12-01', '2027-01-31', ['c 2026-11-07'], 1, ['2026-11-07 2027-01-01']],
    ['the day of its posting', '2027-01-01', '2027-01-31', ['c 2026-11-07'], 1, ['2026-11-07 2027-01-01']],
    ['a first day after its posting', '2027-01-02', '2027-01-31', ['c 2026-11-07'], 0, []],
    [
      'a last day before its posting',
      '2026-11-01',
      '2026-12-31',
      ['a 2026-11-05', 'b 2027-01-01', 'c 2027-01-01'],
      0,
      [],
    ],
  ] as const)('in an account with %s', (_, from, until, standing, corrections, inPlace) => {
    const found = whatStands(entries, { from, until });
    expect(found.standing.map(({ id, on }) => `${id} ${on}`)).toEqual(standing);
    expect(found.corrections).toHaveLength(corrections);
    expect(found.inPlace.map(({ entry, postedOn }) => `${entry.on} ${postedOn}`)).toEqual(inPlace);
  });

  it('and was taken back itself in the days in which it was posted, is in nothing', () => {
    const again = [
      ...entries,
      change('d', '2027-01-01', -38, 'c'),
      { ...change('e', '2027-01-01', 40), toldOn: '2026-11-05' },
    ];
    const { standing, corrections, inPlace } = whatStands(again, { from: '2027-01-01', until: '2027-01-31' });
    expect(standing.map(({ id }) => id)).toEqual(['e']);
    expect([corrections.map(({ reversed }) => reversed.id), inPlace.map(({ entry }) => entry.id)]).toEqual([
      ['a'],
      ['e'],
    ]);
  });

  it('and was taken back later is corrected from the day told for it', () => {
    const later = [...entries, change('d', '2027-02-10', -38, 'c')];
    const { corrections } = whatStands(later, { from: '2027-02-01', until: '2027-02-28' });
    expect(corrections.map(({ reversed }) => [reversed.id, reversed.on])).toEqual([['c', '2026-11-07']]);
  });
});

describe('accounts of days that follow each other', () => {
  const FIRST = '2026-11-01';
  const day = fc.integer({ min: 0, max: 90 });
  const history = fc
    .array(
      fc.record({
        day,
        head: fc.integer({ min: -3, max: 3 }),
        undone: fc.option(fc.nat({ max: 40 })),
        right: fc.option(fc.nat({ max: 30 })),
      }),
      {
        maxLength: 8,
      },
    )
    .map((some) =>
      some.flatMap(({ day: on, head, undone, right }, index) =>
        head === 0
          ? []
          : [
              change(`${index}`, addDays(FIRST, on), head),
              ...(undone === null ? [] : [change(`${index} undone`, addDays(FIRST, on + undone), -head, `${index}`)]),
              ...(undone === null || right === null
                ? []
                : [
                    {
                      ...change(`${index} right`, addDays(FIRST, on + undone), head + 1),
                      toldOn: addDays(FIRST, Math.max(0, on + undone - right)),
                    },
                  ]),
            ],
      ),
    );
  const rates = [{ herdId: null, from: '2020-01-01', perHeadDay: Money.of('0.50', 'USD') }];

  it('add up, with their corrections, to the account of all of them', () => {
    fc.assert(
      fc.property(history, fc.integer({ min: 1, max: 100 }), (changes, cut) => {
        const all = [change('taken in', addDays(FIRST, -9), 50), ...changes];
        const [middle, end] = [addDays(FIRST, cut), addDays(FIRST, 140)];
        const account = (from: string, until: string): { days: number; corrected: number } => {
          const { standing, corrections, inPlace } = whatStands(all, { from, until: addDays(until, -1) });
          const steps = headHistory(
            standing
              .filter(({ head }) => head !== 0)
              .map((one) => ({ day: one.on, head: Math.abs(one.head), kind: one.head > 0 ? 'in' : 'out' })),
          );
          const before = { from, rates, currency: 'USD' } as const;
          const found = [
            ...corrections.map((one) => headCorrection(one, before)),
            ...inPlace.map((one) => headInPlace(one, before)),
          ];
          for (const { headDays: wrong, yardage } of found)
            expect(yardage.amount.toNumber()).toBeCloseTo(wrong * 0.5, 9);
          return {
            days: headDays(steps.ok ? steps.steps : [], from, until),
            corrected: found.reduce((sum, one) => sum + one.headDays, 0),
          };
        };
        const [before, after, whole] = [account(FIRST, middle), account(middle, end), account(FIRST, end)];
        // Nothing was entered before the first of these days that is undone in them.
        expect(whole.corrected + before.corrected).toBe(0);
        expect(before.days + after.days + after.corrected).toBe(whole.days);
      }),
    );
  });
});
