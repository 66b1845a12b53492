import type { AnimalResult } from '../../../src/core/trial/analysis-sets.js';
import { animalResults } from '../../../src/core/trial/analysis-sets.js';
import { feedOfPens } from '../../../src/core/trial/feed-of-pens.js';
import { meanWithInterval, ratioOfMeans } from '../../../src/core/trial/ratio-interval.js';
import { seededRandom } from '../../../src/core/trial/seeded-random.js';
import sleep from '../../reference/statistics/ratio-of-means.json';
import { animal, protocol } from './support.js';

const pairs = sleep.over.map((over, index) => ({ over, under: sleep.under[index] ?? NaN }));

describe('ratio of two means', () => {
  it("has Fieller's limits, as a library of another language finds them", () => {
    const found = ratioOfMeans(pairs, 0.95);
    expect(found?.low).toBeCloseTo(sleep.low, 9);
    expect(found?.high).toBeCloseTo(sleep.high, 9);
    // Means of 0.75 and 2.33 hours, as published.
    expect(found?.estimate).toBeCloseTo(0.75 / 2.33, 12);
  });

  it('has none where the lower mean is not told from nothing', () => {
    expect(
      ratioOfMeans(
        pairs.map(({ over, under }) => ({ over: under, under: over })),
        0.95,
      ),
    ).toBeNull();
    expect(ratioOfMeans(pairs.slice(0, 1), 0.95)).toBeNull();
  });

  // Drawn values with a true ratio of 8, held in 95 % of draws within four standard errors of the count.
  it('holds the true ratio at its stated rate', () => {
    const random = seededRandom({ seed: '1954' });
    let held = 0;
    const draws = 3000;
    for (let draw = 0; draw < draws; draw += 1) {
      const found = ratioOfMeans(
        Array.from({ length: 5 }, () => {
          const shared = random.nextNormal();
          return { over: 8 + 0.4 * shared + 0.3 * random.nextNormal(), under: 1 + 0.08 * shared };
        }),
        0.95,
      );
      if (found && found.low <= 8 && 8 <= found.high) held += 1;
    }
    expect(Math.abs(held / draws - 0.95)).toBeLessThan(4 * Math.sqrt((0.95 * 0.05) / draws));
  });
});

describe('feed pen by pen', () => {
  const gains: Record<string, number> = { north: 0.4, south: 0.5, east: 0.6 };
  const animals = Object.entries(gains).flatMap(([penId, gain]) =>
    [1, 2].map((one) => animal(`${penId}-${one}`, 'usual', gain, { penId })),
  );
  const results: AnimalResult[] = animalResults({ protocol, animals });
  // Two head over 60 days: 120 head-days, 10, 11 and 12 kg eaten a head and day.
  const feeds = [1200, 1320, 1440].map((eaten, index) => ({
    armId: 'usual',
    penId: Object.keys(gains)[index] ?? '',
    fedKg: eaten + 240,
    refusedKg: 120,
    wastedKg: 120,
    dryMatterShare: 0.9,
  }));

  it('gives intake and waste per head and day with the interval of three pens', () => {
    const found = feedOfPens({ armId: 'usual', results, feeds, confidence: 0.95 });
    expect(found?.pens.map((pen) => [pen.penId, pen.headDays, pen.eatenKg, pen.gainKgPerDay])).toEqual([
      ['north', 120, 1200, expect.closeTo(0.4, 10)],
      ['south', 120, 1320, expect.closeTo(0.5, 10)],
      ['east', 120, 1440, expect.closeTo(0.6, 10)],
    ]);
    // 10, 11 and 12: mean 11, sd 1, and Student's 4.303 on two degrees of freedom.
    expect(found?.eatenKgPerHeadDay?.estimate).toBeCloseTo(11, 10);
    expect(found?.eatenKgPerHeadDay?.high).toBeCloseTo(11 + 4.303 / Math.sqrt(3), 3);
    expect(found?.wastedKgPerHeadDay).toEqual({ low: 1, estimate: 1, high: 1 });
    expect(found?.conversion?.estimate).toBeCloseTo((11 * 0.9) / 0.5, 10);
  });

  it('has no interval with one pen, and no pens where none was fed apart', () => {
    const one = feedOfPens({ armId: 'usual', results, feeds: feeds.slice(0, 1), confidence: 0.95 });
    expect(one?.pens).toHaveLength(1);
    expect(one).toMatchObject({ eatenKgPerHeadDay: null, wastedKgPerHeadDay: null, conversion: null });
    expect(feedOfPens({ armId: 'usual', results, feeds: [], confidence: 0.95 })).toBeNull();
    expect(feedOfPens({ armId: 'other', results, feeds, confidence: 0.95 })).toBeNull();
    expect(meanWithInterval([3], 0.95)).toBeNull();
  });
});
