/*
 * The days that a feeding was laid for. Cows of 590 kg eat some 12 kg a day (2 % of their weight, common practice, no
 * source); everything here is invented and counted by hand.
 */
import { daysFedFor, daysWithin, isFedOn } from '../../../src/core/judge/days-fed-for';
import { addDays } from '../../../src/core/time/calendar-day.js';
import fc from '../../support/properties.js';

const fed = (day: string, kilogramsPerHead: number, method = 'ring-feeder') => ({ day, method, kilogramsPerHead });
const days = (feedings: readonly ReturnType<typeof fed>[], on: string, bodyWeightKg: number | null = 590) => [
  ...daysFedFor(feedings, { on, bodyWeightKg }).values(),
];

describe('the days that a feeding was laid for', () => {
  it('are those until the next in the same way', () => {
    expect(days([fed('2027-01-01', 65), fed('2027-01-03', 4, 'bunk'), fed('2027-01-11', 65)], '2027-01-11')).toEqual([
      { day: '2027-01-01', days: 10, isRunning: false },
      { day: '2027-01-03', days: 1, isRunning: false },
      { day: '2027-01-11', days: 10, isRunning: true },
    ]);
  });

  it('are one for feed of a day before a gap that is longer than anybody lays hay for', () => {
    expect(days([fed('2027-01-01', 12), fed('2027-01-11', 12)], '2027-01-11')[0]?.days).toBe(1);
    expect(days([fed('2027-01-01', 12, 'bunk'), fed('2027-01-05', 12, 'bunk')], '2027-01-05')[0]?.days).toBe(1);
    expect(days([fed('2027-01-01', 36, 'bunk'), fed('2027-01-04', 12, 'bunk')], '2027-01-04')[0]?.days).toBe(3);
  });

  it('are by its amount for the first, and all days since once that time is over', () => {
    expect(days([fed('2027-01-01', 60)], '2027-01-01')).toEqual([{ day: '2027-01-01', days: 5, isRunning: true }]);
    expect(days([fed('2027-01-01', 60)], '2027-01-12')).toEqual([{ day: '2027-01-01', days: 12, isRunning: true }]);
    expect(days([fed('2027-01-01', 12)], '2027-01-12')).toEqual([{ day: '2027-01-01', days: 1, isRunning: false }]);
  });

  it('go by amount and gap wherever it lies: more than cattle eat in a day lasts until the next', () => {
    for (const method of ['bunk', 'ring-feeder', 'windrow-on-ground', 'other']) {
      const plan = ['2026-11-10', '2026-11-14', '2026-11-18', '2026-11-23', '2026-11-27'];
      const laid = plan.map((day) => fed(day, 54, method));
      expect(days(laid, '2026-11-27').map((one) => one.days)).toEqual([4, 4, 5, 4, 4]);
      const weekly = [fed('2027-01-01', 54, method), fed('2027-01-08', 54, method)];
      expect(days(weekly, '2027-01-14').map((one) => one.days)).toEqual([7, 7]);
      // The first of all, before a second shows the gap: 37 kg are three days' feed, 25 kg two.
      expect(days([fed('2027-01-01', 37, method)], '2027-01-01')[0]?.days).toBe(3);
      expect(days([fed('2027-01-01', 25, method)], '2027-01-01')[0]?.days).toBe(2);
    }
  });

  it('are at the pace of the ration for a first laying, where the ration goes out in whole bales', () => {
    const known = { on: '2027-01-01', bodyWeightKg: 590, planKgPerHead: 9 };
    const [first] = daysFedFor([fed('2027-01-01', 54)], known).values();
    expect(first).toEqual({ day: '2027-01-01', days: 6, isRunning: true });
    // The second shows the pace by itself.
    const [, second] = daysFedFor([fed('2027-01-01', 54), fed('2027-01-04', 54)], {
      ...known,
      on: '2027-01-04',
    }).values();
    expect(second?.days).toBe(3);
  });

  it('are one for feed that was given daily, however wet it is and whatever was not written down after it', () => {
    for (const method of ['bunk', 'windrow-on-ground'])
      for (const kilograms of [12, 30])
        for (const gap of [4, 6, 10]) {
          const daily = ['2027-01-01', '2027-01-02', '2027-01-03', addDays('2027-01-03', gap)];
          const found = days(
            daily.map((day) => fed(day, kilograms, method)),
            '2027-01-20',
          );
          expect(found.map((one) => one.days)).toEqual([1, 1, 1, 1]);
        }
  });

  it('do not end with a supplement that is given the same way on the days between', () => {
    for (const method of ['bunk', 'windrow-on-ground']) {
      const bales = ['2027-01-01', '2027-01-05', '2027-01-09'];
      const laid = Array.from({ length: 10 }, (_, index) => addDays('2027-01-01', index)).map((day) =>
        fed(day, bales.includes(day) ? 54 : 1.4, method),
      );
      expect(days(laid, '2027-01-10').map((one) => one.days)).toEqual([4, 1, 1, 1, 4, 1, 1, 1, 4, 1]);
    }
  });

  it('end where the cattle were fed another way since', () => {
    const [bales] = days([fed('2027-01-01', 60), fed('2027-01-08', 12, 'bunk')], '2027-01-12');
    expect(bales).toEqual({ day: '2027-01-01', days: 5, isRunning: false });
    expect(bales !== undefined && isFedOn(bales, '2027-01-05')).toBe(true);
    expect(bales !== undefined && isFedOn(bales, '2027-01-06')).toBe(false);
  });
});

describe('the days of a feeding that are in a span', () => {
  it('are those that both have', () => {
    const week = { day: '2027-01-10', days: 7 };
    expect(daysWithin(week, { from: '2027-01-01', until: '2027-02-01' })).toBe(7);
    expect(daysWithin(week, { from: '2027-01-14', until: '2027-02-01' })).toBe(3);
    expect(daysWithin(week, { from: '2027-01-01', until: '2027-01-14' })).toBe(4);
    expect(daysWithin(week, { from: '2027-01-17', until: '2027-02-01' })).toBe(0);
    expect(daysWithin(week, { from: '2027-01-01', until: '2027-01-10' })).toBe(0);
  });

  it('add up to all of them, wherever the spans are cut', () => {
    const day = fc.integer({ min: 0, max: 40 });
    fc.assert(
      fc.property(day, fc.integer({ min: 1, max: 28 }), fc.uniqueArray(day), (first, count, cuts) => {
        const fedFor = { day: addDays('2027-01-01', first), days: count };
        const edges = [-1, ...cuts.sort((a, b) => a - b), 90].map((at) => addDays('2027-01-01', at));
        const within = edges.slice(1).map((until, at) => daysWithin(fedFor, { from: edges[at] ?? '', until }));
        expect(within.reduce((sum, one) => sum + one, 0)).toBe(count);
      }),
    );
  });
});
