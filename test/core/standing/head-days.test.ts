import fc, { examples } from '../../support/properties.js';
import { addDays, dayFromNumber, daysBetween } from '../../../src/core/time/calendar-day.js';
import {
  HEAD_EVENT_SIGNS,
  headDays,
  headHistory,
  headOn,
  integrateHeadDays,
  type HeadEvent,
  type HeadEventKind,
} from '../../../src/core/standing/head-days.js';

describe('head-days', () => {
  // Hand count: 200 head from Dec 1; 3 die on Dec 10; 50 sold on Dec 21; 10 moved in on Dec 31.
  // Dec 1-9: 9 x 200 = 1800; Dec 10-20: 11 x 197 = 2167; Dec 21-30: 10 x 147 = 1470; Dec 31: 157. Together 5594.
  const events: HeadEvent[] = [
    { day: '2024-12-01', kind: 'in', head: 200 },
    { day: '2024-12-10', kind: 'death', head: 3 },
    { day: '2024-12-21', kind: 'sale', head: 50 },
    { day: '2024-12-31', kind: 'move-in', head: 10 },
  ];

  it('integrates the history, an event counting from its own day on', () => {
    const flow = integrateHeadDays({ events, from: '2024-12-01', until: '2025-01-01' });
    expect(flow).toMatchObject({
      ok: true,
      days: 31,
      openingHead: 200,
      closingHead: 157,
      headDays: 1800 + 2167 + 1470 + 157,
    });
  });

  it('splits by month', () => {
    const flow = integrateHeadDays({ events, from: '2024-12-30', until: '2025-01-03' });
    expect(flow.ok && flow.byMonth).toEqual([
      { month: '2024-12', days: 2, headDays: 147 + 157 },
      { month: '2025-01', days: 2, headDays: 314 },
    ]);
  });

  it('says on which day a history goes below zero', () => {
    const history = headHistory([
      { day: '2024-01-01', kind: 'in', head: 5 },
      { day: '2024-01-05', kind: 'out', head: 6 },
    ]);
    expect(history).toMatchObject({
      ok: false,
      problems: [{ code: 'head-below-zero', given: -1, message: expect.stringContaining('2024-01-05') as string }],
    });
  });

  it('nets what comes and goes on one day, in either order', () => {
    expect(
      headHistory([
        { day: '2024-01-01', kind: 'move-out', head: 5 },
        { day: '2024-01-01', kind: 'move-in', head: 9 },
      ]),
    ).toEqual({ ok: true, steps: [{ from: '2024-01-01', head: 4 }] });
  });

  it.each([0, -3, 2.5, Number.NaN])('refuses %p head', (head) => {
    expect(headHistory([{ day: '2024-01-01', kind: 'in', head }])).toMatchObject({
      ok: false,
      problems: [{ code: 'head-not-a-count' }],
    });
  });

  it('refuses a span that ends before it begins', () => {
    expect(integrateHeadDays({ events, from: '2024-12-02', until: '2024-12-02' })).toMatchObject({
      ok: false,
      problems: [{ code: 'span-reversed' }],
    });
  });

  const anyEvents = fc.array(
    fc.record({
      day: fc.integer({ min: 19_000, max: 19_200 }).map(dayFromNumber),
      kind: fc.constantFrom(...(Object.keys(HEAD_EVENT_SIGNS) as HeadEventKind[])),
      head: fc.integer({ min: 1, max: 50 }),
    }),
    { maxLength: 20 },
  );

  it('equals the day-by-day count for any history, and adds up over adjoining spans', () => {
    fc.assert(
      fc.property(
        anyEvents,
        fc.integer({ min: 18_990, max: 19_210 }),
        fc.nat({ max: 120 }),
        fc.nat({ max: 120 }),
        (some, start, first, second) => {
          const herd: HeadEvent[] = [{ day: '2022-01-01', kind: 'in', head: 2000 }, ...some];
          const history = headHistory(herd);
          if (!history.ok) throw new Error('2000 head at the start cannot run out');
          const [from, middle, until] = [
            dayFromNumber(start),
            dayFromNumber(start + first),
            dayFromNumber(start + first + second),
          ];
          let counted = 0;
          for (let day = from; day < until; day = addDays(day, 1)) {
            const head = herd
              .filter((event) => event.day <= day)
              .reduce((sum, event) => sum + HEAD_EVENT_SIGNS[event.kind] * event.head, 0);
            expect(headOn(history.steps, day)).toBe(head);
            counted += head;
          }
          expect(headDays(history.steps, from, until)).toBe(counted);
          expect(headDays(history.steps, from, middle) + headDays(history.steps, middle, until)).toBe(counted);
          expect(daysBetween(from, until)).toBe(first + second);
        },
      ),
      { numRuns: examples(200) },
    );
  });
});
