/*
 * A herd's gain from its weighings. The arithmetic is the published one (Nebraska Extension G2095: gain over days); the
 * cases are made here and their sums stand beside them.
 */
import fc from '../../support/properties.js';
import { measuredGain } from '../../../src/core/gain/measured-gain.js';
import { addDays } from '../../../src/core/time/calendar-day.js';
import { Mass } from '../../../src/core/units/mass.js';

const on = '2027-01-15';
const weighed = (day: string, pounds: number, more: { head?: number; fill?: 'full' | 'shrunk' } = {}) => ({
  day,
  head: 100,
  mean: Mass.of(String(pounds), 'lb'),
  fill: 'full' as const,
  ...more,
});
const judged = (weighings: ReturnType<typeof weighed>[], headChanges: { day: string; head: number }[] = []) =>
  measuredGain({ weighings, headChanges, headNow: 100, on });
const pounds = (answer: ReturnType<typeof judged>): number => (answer.ok ? answer.dailyGain.in('lb').toNumber() : NaN);

describe('measured gain', () => {
  it('is the gain between two weighings over the days between them', () => {
    // Reiling 2023 (G2095): (end weight - start weight) / days; 550 to 655 lb over 70 days is 1.5 lb a day.
    const answer = judged([weighed('2026-11-05', 550), weighed('2027-01-14', 655)]);
    expect(answer).toMatchObject({ ok: true, fromDay: '2026-11-05', untilDay: '2027-01-14', days: 70, flags: [] });
    expect(pounds(answer)).toBeCloseTo(1.5, 9);
  });

  it('reaches back as far as the window and the herd allow', () => {
    expect(judged([weighed('2026-10-16', 500), weighed('2026-10-17', 510), weighed('2027-01-15', 600)])).toMatchObject({
      ok: true,
      fromDay: '2026-10-17',
      days: 90,
    });
    expect(
      judged(
        [weighed('2026-11-05', 550), weighed('2026-12-01', 590), weighed('2027-01-14', 655)],
        [{ day: '2026-11-20', head: 30 }],
      ),
    ).toMatchObject({ ok: true, fromDay: '2026-12-01', days: 44 });
    expect(judged([weighed('2026-12-01', 590), weighed('2027-01-14', 655), weighed('2027-02-01', 700)])).toMatchObject({
      ok: true,
      untilDay: '2027-01-14',
    });
  });

  it('is not told where it would mislead, and says why', () => {
    expect(judged([])).toEqual({ ok: false, because: 'No weighing in the last 90 days.' });
    expect(judged([weighed('2026-12-25', 550), weighed('2027-01-14', 600)])).toMatchObject({
      ok: false,
      because: expect.stringMatching(/at least 21 days apart/) as string,
    });
    expect(
      judged(
        [weighed('2026-12-01', 550), weighed('2027-01-14', 600)],
        [
          { day: '2026-12-20', head: -6 },
          { day: '2026-12-21', head: 6 },
        ],
      ),
    ).toMatchObject({ ok: false, because: expect.stringMatching(/other cattle/) as string });
    // Written down and reversed on one day: nobody moved.
    expect(
      judged(
        [weighed('2026-12-01', 550), weighed('2027-01-14', 600)],
        [
          { day: '2026-12-20', head: -30 },
          { day: '2026-12-20', head: 30 },
        ],
      ),
    ).toMatchObject({ ok: true, flags: [{ code: 'short-period' }] });
  });

  it('carries its doubts: a short stretch, fill, unlike weights, few on the scale, some that came or went', () => {
    const codes = (answer: ReturnType<typeof judged>): string[] =>
      answer.ok ? answer.flags.map((one) => one.code) : [];
    // 44 days are fewer than the 67 after which fasting no longer mattered (Aiken and Tabler 2004).
    expect(codes(judged([weighed('2026-12-01', 550), weighed('2027-01-14', 600)]))).toEqual(['short-period']);
    // 1.62 kg a day from full weights was judged to be fill (Watson et al. 2013): 3.6 lb a day is 1.63 kg.
    expect(codes(judged([weighed('2026-11-05', 550), weighed('2027-01-14', 550 + 70 * 3.6)]))).toEqual(['gut-fill']);
    expect(codes(judged([weighed('2026-11-05', 550), weighed('2027-01-14', 600, { head: 40 })]))).toEqual([
      'few-weighed',
    ]);
    expect(
      codes(judged([weighed('2026-11-05', 550), weighed('2027-01-14', 600)], [{ day: '2026-12-01', head: -3 }])),
    ).toEqual(['head-changed']);
  });

  it('puts full and shrunk on one footing: 0.96 of the full weight (NRC 2000)', () => {
    // 500 x 0.96 = 480 shrunk to 550 shrunk over 70 days is 1.0 lb a day.
    const answer = judged([weighed('2026-11-05', 500), weighed('2027-01-14', 550, { fill: 'shrunk' })]);
    expect(pounds(answer)).toBeCloseTo(1, 9);
    expect(answer).toMatchObject({ flags: [{ code: 'weights-not-alike' }] });
  });

  it('does not depend on the order of the weighings, nor on days before the window', () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ back: fc.integer({ min: 0, max: 200 }), pounds: fc.integer({ min: 400, max: 900 }) }), {
          maxLength: 8,
        }),
        (made) => {
          const weighings = made.map(({ back, pounds: weight }) => weighed(addDays(on, -back), weight));
          const answer = judged(weighings);
          expect(judged([...weighings].reverse())).toEqual(answer);
          expect(judged(weighings.filter((one) => one.day >= addDays(on, -90)))).toEqual(answer);
          if (answer.ok) expect(answer.days).toBeGreaterThanOrEqual(21);
        },
      ),
    );
  });
});
