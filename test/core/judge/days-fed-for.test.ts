/*
 * The days that a feeding was laid for. Cows of 590 kg eat some 12 kg a day (2 % of their weight, common practice, no
 * source); everything here is invented and counted by hand.
 */
import { daysFedFor, isFedOn } from '../../../src/core/judge/days-fed-for';

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

  it('end where the cattle were fed another way since', () => {
    const [bales] = days([fed('2027-01-01', 60), fed('2027-01-08', 12, 'bunk')], '2027-01-12');
    expect(bales).toEqual({ day: '2027-01-01', days: 5, isRunning: false });
    expect(bales !== undefined && isFedOn(bales, '2027-01-05')).toBe(true);
    expect(bales !== undefined && isFedOn(bales, '2027-01-06')).toBe(false);
  });
});
