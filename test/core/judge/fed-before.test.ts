/* What cattle are used to is the mean of a week: a new ration counts by sevenths. */
import { type FedBefore, fedBeforeLater, fedBeforeOf, type PartOfDay } from '../../../src/core/judge/fed-before.js';
import fc from '../../support/properties.js';

const part = (lotId: string, asFedKg: number, isStarchyGrain = false): PartOfDay => ({
  lotId,
  asFedKg,
  dryMatterShare: 0.9,
  isStarchyGrain,
});
const HAY: FedBefore = { shares: [{ lotId: 'hay', shareOfDryMatter: 1 }], starchyGrainKgPerDay: 0 };
const RATION = [part('hay', 6), part('corn', 2, true)];

test('after three days three sevenths of it are used to, after a week all of it', () => {
  const later = fedBeforeLater(HAY, RATION, 3);
  expect(later?.starchyGrainKgPerDay).toBeCloseTo(6 / 7, 9);
  const share = (lotId: string) => later?.shares.find((one) => one.lotId === lotId)?.shareOfDryMatter;
  expect(share('hay')).toBeCloseTo(4 / 7 + (3 / 7) * 0.75, 9);
  expect(share('corn')).toBeCloseTo((3 / 7) * 0.25, 9);
  expect(fedBeforeLater(HAY, RATION, 0)).toBe(HAY);
  expect(fedBeforeLater(HAY, RATION, 7)).toEqual(fedBeforeOf([RATION]));
  expect(fedBeforeLater(null, RATION, 2)).toEqual(fedBeforeOf([RATION]));
  expect(fedBeforeLater(HAY, [], 2)).toBe(HAY);
});

test('with days of one weight it is what those days themselves give', () => {
  const kilograms = fc.integer({ min: 1, max: 9 });
  fc.assert(
    fc.property(kilograms, kilograms, fc.integer({ min: 1, max: 6 }), (before, ration, days) => {
      const [old, fresh] = [
        [part('hay', 10 - before), part('corn', before, true)],
        [part('hay', 10 - ration), part('corn', ration, true)],
      ];
      const week = [...Array.from({ length: days }, () => fresh), ...Array.from({ length: 7 - days }, () => old)];
      const expected = fedBeforeOf(week);
      const later = fedBeforeLater(fedBeforeOf([old]), fresh, days);
      expect(later?.starchyGrainKgPerDay).toBeCloseTo(expected?.starchyGrainKgPerDay ?? Number.NaN, 9);
      for (const { lotId, shareOfDryMatter } of expected?.shares ?? [])
        expect(later?.shares.find((one) => one.lotId === lotId)?.shareOfDryMatter).toBeCloseTo(shareOfDryMatter, 9);
    }),
  );
});
