/*
 * A ration that is laid alike on all days of a span must be eaten on every one of them. What cattle eat rises with
 * their weight until they are fat (NRC 2000, growing cattle and the factor for body fat), and falls in heat: so of
 * cattle that grow steadily the first, last, lightest and hottest day tell of all; of others the one that binds is
 * found.
 */
import { addDays } from '../../../src/core/time/calendar-day';
import type { DietContext } from '../../../src/core/requirements/requirement-set';
import type { HerdOnDay } from '../../../src/desk/facts/herd-facts';
import type { HerdSpan, SpanPart } from '../../../src/desk/rations/herd-span.read';
import { needOf, USUAL_JUDGING } from '../../../src/desk/judge/ration-judge';
import { bindingDays, firstHeldDays, needOverSpan } from '../../../src/desk/rations/span-need';
import fc, { examples } from '../../support/properties.js';

const FIRST = '2027-01-10';

/** A steer of this weight in this weather; what else a herd has is not asked for here. */
function dayOf(after: number, kg: number, celsius: number | null): HerdOnDay {
  const on = addDays(FIRST, after);
  const animal = { class: 'yearling', sex: 'steer', fullBodyWeightKg: kg, targetShrunkGainKgPerDay: 0.8 } as const;
  return {
    on,
    animal,
    standing: { parts: [{ share: 1, animal }], state: { placeId: 'a pen' } },
    weatherAsked: celsius === null ? 'none' : 'stated',
    weather:
      celsius === null
        ? null
        : {
            id: null,
            from: 'stated',
            onDay: on,
            temperatureC: celsius,
            windKmPerHour: null,
            mudDepthCm: null,
            coat: 'clean-and-dry',
            previousMonthTemperatureC: celsius,
          },
  } as unknown as HerdOnDay;
}

function spanOf(everyDay: readonly HerdOnDay[]): Pick<HerdSpan, 'everyDay' | 'weeks'> {
  const weeks: SpanPart[] = [];
  for (let from = 0; from < everyDay.length; from += 7) {
    const days = everyDay.slice(from, from + 7);
    const [herd, first, last] = [days[Math.floor(days.length / 2)], days[0], days.at(-1)];
    if (herd === undefined || first === undefined || last === undefined) throw new RangeError('A week has days');
    weeks.push({ from: first.on, until: last.on, days: days.length, herd });
  }
  return { everyDay, weeks };
}

const diets = fc
  .record({ nem: fc.double({ min: 1.05, max: 2, noNaN: true }), fiber: fc.option(fc.integer({ min: 20, max: 65 })) })
  .map(({ nem, fiber }): DietContext => ({
    netEnergyMaintenanceMcalPerKg: nem,
    ...(fiber === null ? {} : { neutralDetergentFiberPercent: fiber }),
  }));

/** Least eaten and most drunk of a diet on any of these days. */
function extremes(days: readonly HerdOnDay[], diet: DietContext): { eaten: number; drunk: number } {
  const sets = days.flatMap((day) => {
    const need = needOf(day, USUAL_JUDGING, { diet });
    return need.ok ? [need.value] : [];
  });
  expect(sets).toHaveLength(days.length);
  return {
    eaten: Math.min(...sets.map((set) => set.dryMatterIntakeKgPerDay)),
    drunk: Math.max(...sets.map((set) => set.waterLPerDay)),
  };
}

/** What the search holds the ration against. */
function heldAgainst(span: Pick<HerdSpan, 'everyDay' | 'weeks'>, held: readonly HerdOnDay[], diet: DietContext) {
  const need = needOverSpan(span, held, USUAL_JUDGING)(diet);
  if (!need.ok) throw new RangeError('A steer has a need');
  const { dryMatterIntakeKgPerDay: mean, leastIntakeShare = 1, mostWaterLPerDay = NaN } = need.value;
  return { eaten: mean * leastIntakeShare, drunk: mostWaterLPerDay };
}

describe('the days that a ration over a span is held against', () => {
  it('are first, last, lightest and hottest of cattle that grow in one weather: these tell of all', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 150, max: 560 }),
        fc.double({ min: 0, max: 1.6, noNaN: true }),
        fc.integer({ min: 2, max: 120 }),
        fc.option(fc.integer({ min: -30, max: 30 })),
        diets,
        (kg, gain, length, celsius, diet) => {
          const span = spanOf(Array.from({ length }, (_none, after) => dayOf(after, kg + gain * after, celsius)));
          const held = firstHeldDays(span);
          const all = extremes(span.everyDay, diet);
          const known = heldAgainst(span, held, diet);
          expect(known.eaten).toBeLessThanOrEqual(all.eaten + 1e-6);
          expect(known.drunk).toBeGreaterThanOrEqual(all.drunk - 1e-6);
          expect(bindingDays(span, held, USUAL_JUDGING, diet)).toEqual([]);
        },
      ),
      { numRuns: examples(60) },
    );
  });

  it('are found wherever they lie, of cattle that come and go in any weather', () => {
    const days = fc.array(fc.tuple(fc.integer({ min: 150, max: 600 }), fc.option(fc.integer({ min: -30, max: 35 }))), {
      minLength: 2,
      maxLength: 40,
    });
    let more = 0;
    fc.assert(
      fc.property(days, diets, (told, diet) => {
        const span = spanOf(told.map(([kg, celsius], after) => dayOf(after, kg, celsius)));
        const first = firstHeldDays(span);
        const binding = bindingDays(span, first, USUAL_JUDGING, diet);
        more += binding.length;
        const held = [...first, ...binding];
        const [all, known] = [extremes(span.everyDay, diet), heldAgainst(span, held, diet)];
        expect(known.eaten).toBeCloseTo(all.eaten, 5);
        expect(known.drunk).toBeGreaterThanOrEqual(all.drunk - 1e-6);
        expect(bindingDays(span, held, USUAL_JUDGING, diet)).toEqual([]);
      }),
      { numRuns: examples(60) },
    );
    // Some of these spans do bind elsewhere, or the search for it would prove nothing.
    expect(more).toBeGreaterThan(0);
  });
});
