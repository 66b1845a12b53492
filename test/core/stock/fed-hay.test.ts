/* What was fed, by what stands of it; the amounts are chosen, not computed. */
import { type FedSum, fedThatStands, type ReversedFeed } from '../../../src/core/stock/fed-hay.js';
import { addDays } from '../../../src/core/time/calendar-day.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money } from '../../../src/core/units/money.js';
import fc from '../../support/properties.js';

const FIRST = '2026-11-01';
interface Fed {
  day: number;
  pounds: number;
  undone: number | null;
}
const sums = (some: readonly (readonly [on: string, pounds: number])[]): FedSum[] => {
  const byDay = new Map<string, number>();
  for (const [on, pounds] of some) byDay.set(on, (byDay.get(on) ?? 0) + pounds);
  return [...byDay].map(([on, pounds]) => ({ herdId: 'cows', hayKind: 'grass', on, ...worth(pounds) }));
};
const worth = (pounds: number): { mass: Mass; cost: Money } => ({
  mass: Mass.of(pounds, 'lb'),
  cost: Money.of(pounds, 'USD').times('0.1'),
});
/** What the books tell of [from, until], as they are kept: each entry on its own day. */
function books(fed: readonly Fed[], from: string, until: string): { fed: FedSum[]; reversed: ReversedFeed[] } {
  const entries = fed.flatMap(({ day, pounds, undone }) => [
    [addDays(FIRST, day), pounds] as const,
    ...(undone === null ? [] : [[addDays(FIRST, day + undone), -pounds] as const]),
  ]);
  return {
    fed: sums(entries.filter(([on]) => on >= from && on <= until)),
    reversed: fed.flatMap(({ day, pounds, undone }) => {
      const reversalOn = addDays(FIRST, day + (undone ?? 0));
      return undone === null || reversalOn < from || reversalOn > until
        ? []
        : [{ herdId: 'cows', hayKind: 'grass', reversedOn: addDays(FIRST, day), reversalOn, ...worth(pounds) }];
    }),
  };
}

describe('what was fed', () => {
  const fed = fc.array(
    fc.record<Fed>({
      day: fc.nat({ max: 60 }),
      pounds: fc.integer({ min: 1, max: 900 }),
      undone: fc.option(fc.nat({ max: 30 })),
    }),
    { maxLength: 10 },
  );
  const byDay = { summedFrom: FIRST, sumOf: (on: string) => on };
  const total = (some: readonly { cost: Money }[]): string =>
    Money.sum(
      some.map(({ cost }) => cost),
      'USD',
    ).amount.toFixed(2);

  it('is, over days that have each reversal, what would have been fed without the mistakes, day by day', () => {
    fc.assert(
      fc.property(fed, (some) => {
        const until = addDays(FIRST, 90);
        const { fed: standing, corrections } = fedThatStands(books(some, FIRST, until), {
          from: FIRST,
          until,
          ...byDay,
        });
        const right = books(
          some.filter(({ undone }) => undone === null),
          FIRST,
          until,
        ).fed;
        const text = (one: FedSum): string => `${one.on} ${one.mass.toString()} ${one.cost.amount.toFixed(2)}`;
        expect(standing.map(text).sort()).toEqual(right.map(text).sort());
        expect(corrections).toEqual([]);
      }),
    );
  });

  it('of two periods, less what the second corrects of the first, is that of both', () => {
    fc.assert(
      fc.property(fed, fc.integer({ min: 1, max: 80 }), (some, cut) => {
        const [middle, end] = [addDays(FIRST, cut), addDays(FIRST, 90)];
        const account = (from: string, until: string): ReturnType<typeof fedThatStands> =>
          fedThatStands(books(some, from, until), { from, until, summedFrom: from, sumOf: (on) => on });
        const [before, after, whole] = [account(FIRST, addDays(middle, -1)), account(middle, end), account(FIRST, end)];
        expect(total([...before.fed, ...after.fed])).toBe(total([...whole.fed, ...after.corrections]));
      }),
    );
  });
});
