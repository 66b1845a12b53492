/*
 * What a ration that is laid alike on all days does on some of them. The days and cautions are invented; that each is
 * told with its day is a rule of our own.
 */
import { raiseCaution, type RaisedCaution } from '../../../src/core/cautions/caution';
import { CAUTIONS } from '../../../src/core/cautions/cautions.data';
import { cautionsOfSpan, type JudgedDay, linesOnDays } from '../../../src/core/judge/span-days';
import type { NutrientLine } from '../../../src/core/judge/nutrient-line';
import { addDays } from '../../../src/core/time/calendar-day';
import { wordsIn } from '../../../src/core/units/wording';
import fc, { examples } from '../../support/properties.js';

const FIRST = '2027-01-10';
const heat = (index: number, severity: RaisedCaution['severity'] = 'watch'): RaisedCaution =>
  raiseCaution({
    code: 'heat-stress',
    severity,
    given: index,
    threshold: CAUTIONS['heat-stress'].thresholds.alert,
    message: `index ${index}`,
  });
const line = (verdict: NutrientLine['verdict'], surplusPercent: number): NutrientLine => ({
  nutrient: 'netEnergyGain',
  unit: 'Mcal/d',
  supply: 1,
  supplyIsAtLeast: false,
  need: 1,
  unknownBecause: null,
  missingIn: [],
  supplyAtLeast: 1,
  surplus: 0,
  surplusPercent,
  verdict,
  harmfulAbove: null,
  shareOfKg: 10,
  restsOnBookValues: false,
  bookValueLots: [],
});
const dayAfter = (after: number, cautions: RaisedCaution[], lines: NutrientLine[] = []): JudgedDay => ({
  on: addDays(FIRST, after),
  cautions,
  lines,
});
const messages = (cautions: readonly RaisedCaution[]): string[] =>
  cautions.map(({ message }) => wordsIn('metric', message));

describe('cautions of a span', () => {
  it('name the day, the days in a row with the worst of them, or how many there are of them', () => {
    expect(messages(cautionsOfSpan([], [dayAfter(0, []), dayAfter(1, [heat(76)])]))).toEqual([
      'On 2027-01-11: index 76',
    ]);
    expect(
      messages(
        cautionsOfSpan(
          [],
          [0, 1, 2].map((after) => dayAfter(after, [heat(76 + (after % 2))])),
        ),
      ),
    ).toEqual(['From 2027-01-10 to 2027-01-12, most on 2027-01-11: index 77']);
    expect(
      messages(
        cautionsOfSpan(
          [],
          [0, 5].map((after) => dayAfter(after, [heat(76)])),
        ),
      ),
    ).toEqual(['On 2 days of 2027-01-10 to 2027-01-15, most on 2027-01-10: index 76']);
  });

  it('of any days: all that any day raises is told, and what is told with days is the worst of them', () => {
    const severity = fc.constantFrom<RaisedCaution['severity']>('notice', 'watch', 'danger');
    const cautions = fc.array(
      fc.tuple(fc.integer({ min: 76, max: 99 }), severity).map(([index, how]) => heat(index, how)),
      { maxLength: 2 },
    );
    fc.assert(
      fc.property(fc.array(cautions, { minLength: 1, maxLength: 30 }), cautions, (days, ofMean) => {
        const told = cautionsOfSpan(
          ofMean,
          days.map((raised, after) => dayAfter(after, raised)),
        );
        expect(told).toEqual(expect.arrayContaining(ofMean));
        for (const raised of days.flat()) {
          const same = told.filter((one) => one.severity === raised.severity);
          expect(same).not.toEqual([]);
          if (ofMean.every((one) => one.severity !== raised.severity)) {
            expect(same).toHaveLength(1);
            expect(same[0]?.given).toBeGreaterThanOrEqual(raised.given);
            expect(messages(same)[0]).toMatch(/^(On|From) .*2027-.*: index/);
          }
        }
      }),
      { numRuns: examples(200) },
    );
  });
});

describe('needs of single days', () => {
  it('that the mean meets are told with their days and by how much at most, and no others', () => {
    const days = [-2, -8, -12].map((percent, after) =>
      dayAfter(after, [], [line(percent < -5 ? 'short' : 'near', percent)]),
    );
    expect(linesOnDays([line('meets', 0)], days).map(({ message }) => message)).toEqual([
      'From 2027-01-11 to 2027-01-12, most on 2027-01-12: NEg is short, by 12 %; in the mean it is not.',
    ]);
    expect(linesOnDays([line('short', -9)], days)).toEqual([]);
  });
});
