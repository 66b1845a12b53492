/*
 * The figures are published: at least 20 cores of a lot and no more than 200 short tons to a sample (National Forage
 * Testing Association; University of Kentucky), one core to a bale. The lots are invented.
 */
import fc from '../../support/properties.js';
import { wordsIn } from '../../../src/core/units/wording.js';
import { SAMPLED_FORMS, SAMPLING_RULES, SAMPLING_TOPICS } from '../../../src/core/forage/sampling-plan.data.js';
import { samplingPlan } from '../../../src/core/forage/sampling-plan.js';

const SHORT_TON = 907.18474;
const lot = { form: 'round', bales: 120, lotKg: 60 * SHORT_TON, seed: '1' } as const;

describe('which bales of a lot to core', () => {
  it('a usual lot: one sample, twenty bales, one core of each', () => {
    const { samples, sampleCount } = samplingPlan(lot);
    expect(sampleCount).toBe(1);
    expect(samples[0]?.bales).toHaveLength(20);
    expect(samples[0]?.bales.every((one) => one.cores === 1)).toBe(true);
  });

  it('a lot of 410 tons is sampled in three parts, of 200 in one', () => {
    expect(samplingPlan({ ...lot, bales: 800, lotKg: 410 * SHORT_TON }).sampleCount).toBe(3);
    expect(samplingPlan({ ...lot, bales: 400, lotKg: 200 * SHORT_TON }).sampleCount).toBe(1);
    expect(samplingPlan({ ...lot, bales: 402, lotKg: 201 * SHORT_TON }).sampleCount).toBe(2);
  });

  it('twelve bales give twenty cores, eight of them two', () => {
    const bales = samplingPlan({ ...lot, bales: 12 }).samples[0]?.bales ?? [];
    expect(bales).toHaveLength(12);
    expect(bales.reduce((sum, one) => sum + one.cores, 0)).toBe(20);
    expect(bales.filter((one) => one.cores === 2)).toHaveLength(8);
  });

  it('loose hay, silage and a bag have no bales to draw', () => {
    for (const form of ['loose', 'silage', 'bagged'] as const)
      expect(samplingPlan({ ...lot, form }).samples).toEqual([]);
    expect(samplingPlan({ ...lot, form: 'silage' }).coresPerSample).toBe(15);
    expect(samplingPlan({ ...lot, form: 'bagged' }).sampleCount).toBe(0);
    const bulk = samplingPlan({ ...lot, form: 'bulk-feed' });
    expect(bulk.sampleCount).toBe(1);
    expect(bulk.rules.map(({ words }) => wordsIn('us', words)).join(' ')).toMatch(
      /several places and depths of the load or bin/,
    );
    expect(samplingPlan({ ...lot, bales: null })).toMatchObject({ samples: [], sampleCount: 1, coresPerSample: 20 });
  });

  it('says every topic of baled hay with a source on every row', () => {
    for (const form of ['small-square', 'large-square', 'round'] as const)
      expect(new Set(samplingPlan({ ...lot, form }).rules.map((rule) => rule.topic))).toEqual(new Set(SAMPLING_TOPICS));
    for (const form of SAMPLED_FORMS) expect(samplingPlan({ ...lot, form }).rules).not.toEqual([]);
    for (const { source, otherSources = [] } of SAMPLING_RULES)
      for (const one of [source, ...otherSources.map((other) => other.source)]) {
        expect(one.citation).not.toBe('');
        expect(one.status).toBeDefined();
      }
  });

  it('any lot: each bale once, in its own run, twenty cores to a sample, the same again by the same seed', () => {
    const lots = fc.record({
      form: fc.constantFrom('small-square', 'large-square', 'round'),
      bales: fc.integer({ min: 1, max: 3000 }),
      lotKg: fc.option(fc.double({ min: 1, max: 2e6, noNaN: true }), { nil: null }),
      seed: fc.bigInt({ min: 0n, max: 2n ** 64n - 1n }).map(String),
    });
    fc.assert(
      fc.property(lots, (one) => {
        const plan = samplingPlan(one);
        expect(samplingPlan(one)).toEqual(plan);
        expect(plan.samples.at(0)?.fromBale).toBe(1);
        expect(plan.samples.at(-1)?.untilBale).toBe(one.bales);
        const all = plan.samples.flatMap((sample) => sample.bales.map(({ bale }) => bale));
        expect(new Set(all).size).toBe(all.length);
        for (const { fromBale, untilBale, bales } of plan.samples) {
          expect(bales.reduce((sum, each) => sum + each.cores, 0)).toBe(20);
          expect(bales.every(({ bale }) => bale >= fromBale && bale <= untilBale)).toBe(true);
          const cores = bales.map((each) => each.cores);
          expect(Math.max(...cores) - Math.min(...cores)).toBeLessThanOrEqual(1);
        }
      }),
    );
  });

  it('draws every bale alike: over 2,000 seeds each of 40 bales about half the time', () => {
    const times = new Map<number, number>();
    for (let seed = 0; seed < 2000; seed += 1)
      for (const { bale } of samplingPlan({ ...lot, bales: 40, seed: String(seed) }).samples[0]?.bales ?? [])
        times.set(bale, (times.get(bale) ?? 0) + 1);
    // 20 of 40: 1,000 of 2,000, standard deviation 22; five of them to either side.
    for (let bale = 1; bale <= 40; bale += 1) expect(Math.abs((times.get(bale) ?? 0) - 1000)).toBeLessThan(112);
  });
});
