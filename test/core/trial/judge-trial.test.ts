import fc, { examples } from '../../support/properties.js';
import { analysisOfCovariance } from '../../../src/core/trial/analysis-of-covariance.js';
import { describe as summarize } from '../../../src/core/trial/descriptive.js';
import { judgeTrial } from '../../../src/core/trial/judge-trial.js';
import type { TrialToJudge } from '../../../src/core/trial/judgement/judgement.js';
import { normalQuantile } from '../../../src/core/trial/special-functions.js';
import { sharedErrorOf } from '../../../src/core/trial/judgement/shared-error.js';
import { seededRandom } from '../../../src/core/trial/seeded-random.js';
import type { TrialAnimal, TrialArm } from '../../../src/core/trial/trial-records.js';
import { welchDifference } from '../../../src/core/trial/two-sample.js';
import published from '../../reference/statistics/published-examples.json';
import library from '../../reference/statistics/reference-library.json';
import { animal, arms, herd, trial, weigh } from './support.js';

const judged = (animals: readonly TrialAnimal[], more: Partial<TrialToJudge> = {}) => {
  const got = judgeTrial(trial(animals, more));
  if (!got.ok) throw new Error(got.problems.map((problem) => problem.code).join());
  const [comparison] = got.comparisons;
  if (!comparison) throw new Error('no comparison');
  return {
    ...got,
    comparison,
    codes: got.cautions.map((one) => one.code),
    text: [...got.words, ...got.limits].join(' '),
  };
};
const frozen = <Value>(value: Value): Value => {
  if (value !== null && typeof value === 'object' && !Object.isFrozen(value)) {
    Object.freeze(value);
    Object.values(value).forEach(frozen);
  }
  return value;
};

describe('published examples through the whole judgement', () => {
  it('Welch on the sleep data (Student 1908): gains of ten and ten', () => {
    const { group1, group2 } = library.twoSample;
    const animals = [
      ...group2.map((gain, i) => animal(`u${i}`, 'usual', gain)),
      ...group1.map((gain, i) => animal(`l${i}`, 'layered', gain)),
    ];
    const { answer } = judged(animals, { method: 'welch' }).comparison;
    const { t, degreesOfFreedom, low, high } = published.welchSleep;
    expect([answer?.t, answer?.degreesOfFreedom, answer?.low, answer?.high]).toEqual([
      expect.closeTo(t, 4),
      expect.closeTo(degreesOfFreedom, 3),
      expect.closeTo(low, 6),
      expect.closeTo(high, 6),
    ]);
  });
  it('analysis of covariance on the cricket data (McDonald 2014): start weight for temperature, gain for pulse', () => {
    const { covariate, response, expected } = published.ancovaCricket;
    const animals = (['ex', 'niv'] as const).flatMap((name) =>
      covariate[name].map((startKg, i) =>
        animal(`${name}${i}`, name === 'ex' ? 'usual' : 'layered', response[name][i] ?? NaN, { startKg }),
      ),
    );
    const { comparison, codes } = judged(animals);
    expect(comparison.answer).toMatchObject({
      method: 'analysis-of-covariance',
      difference: expect.closeTo(expected.difference, 5) as number,
      standardError: expect.closeTo(expected.differenceStandardError, 5) as number,
      degreesOfFreedom: 28,
    });
    expect(comparison.verdict).toMatchObject({ verdict: 'favours', favours: 'usual' });
    expect(codes).toContain('trial.unbalanced-start');
    expect(codes).not.toContain('trial.unequal-slopes');
  });
});

describe('verdicts', () => {
  it('finds a real difference and tells it with its interval, feed, money and limits', () => {
    const got = judged(herd({ perArm: 25, difference: 0.3, sd: 0.16, seed: '4' }));
    expect(got.comparison.verdict).toMatchObject({ verdict: 'favours', favours: 'change' });
    expect(got.text).toContain('The trial favors layered feeding');
    expect(got.text).toContain('It says nothing about other classes of cattle');
    expect(got.comparison.partialBudget?.herd?.head).toBe(200);
    expect(got.arms.map((arm) => arm.hay?.wastedShareOfFed.toNumber())).toEqual([0.2, 0.08]);
    expect(got.growth).toContainEqual(expect.objectContaining({ armId: 'usual', day: 0, head: 25 }));
    expect(got.codes).toEqual(expect.arrayContaining(['trial.shorter-than-shown', 'trial.gut-fill']));
    const rows = (armId: string) =>
      got.animals
        .filter((one) => one.armId === armId)
        .map((one) => ({ covariate: one.startWeightKg ?? NaN, response: one.gainKgPerDay ?? NaN }));
    const again = analysisOfCovariance({ arms: [rows('usual'), rows('layered')], confidence: 0.95 });
    expect(again.ok && again.differences[0]).toEqual(got.comparison.answer);
  });
  it('cannot tell with few head, and says how many it would have taken', () => {
    const got = judged(herd({ perArm: 6, difference: 0.05, sd: 0.16, seed: '8' }));
    expect(got.comparison.verdict.verdict).toBe('too-small-to-tell');
    expect(got.codes).toContain('trial.few-head');
    expect(got.text).toMatch(/By the spread seen here, \d+ head per arm would have been needed/);
    expect(got.text).not.toMatch(/favors/);
  });
  it('sees no clear difference when all of the interval is too small to matter', () => {
    const got = judged(herd({ perArm: 120, difference: 0, sd: 0.16, seed: '15' }));
    expect(got.comparison.verdict.verdict).toBe('no-clear-difference');
  });
  it('follows the interval whatever the trial, lists every animal, changes nothing it was given', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 2, max: 14 }),
        fc.double({ min: -0.4, max: 0.4, noNaN: true }),
        fc.integer({ min: 1, max: 10_000 }),
        fc.constantFrom('welch' as const, 'analysis-of-covariance' as const),
        fc.integer({ min: 0, max: 6 }),
        (perArm, difference, seed, method, lost) => {
          const animals = herd({ perArm, difference, sd: 0.16, seed: String(seed) }).map((one, i) =>
            i < lost
              ? { ...one, weighings: one.weighings.slice(0, 2), events: [{ day: 9, kind: 'lost' as const }] }
              : one,
          );
          const got = judged(frozen(animals), { method });
          const { answer, verdict } = got.comparison;
          expect(got.animals.map((one) => one.animalId)).toEqual(animals.map((one) => one.id));
          expect(verdict.verdict === 'favours').toBe(answer !== null && (answer.low > 0 || answer.high < 0));
          if (answer === null) expect(got.text).toContain('cannot tell');
          if (lost > 0)
            expect(
              got.animals.filter((one) => one.departures.some((departure) => departure.code === 'lost')),
            ).toHaveLength(Math.min(lost, animals.length));
        },
      ),
      { numRuns: examples(40) },
    );
  });
});

describe('pens', () => {
  it('are the units: Welch on pen means, checked by hand-made means', () => {
    const animals = herd({ perArm: 24, difference: 0.2, sd: 0.16, seed: '21', pensPerArm: 4 });
    const got = judged(animals, { unit: 'pen', method: 'welch' });
    const means = (armId: string) =>
      [1, 2, 3, 4].map(
        (pen) =>
          summarize(
            got.animals.filter((one) => one.penId === `${armId}-pen-${pen}`).map((one) => one.gainKgPerDay ?? NaN),
          ).mean,
      );
    const byHand = welchDifference({
      first: summarize(means('usual')),
      second: summarize(means('layered')),
      confidence: 0.95,
    });
    expect(got.comparison.answer?.difference).toBeCloseTo(byHand.difference, 12);
    expect(got.comparison.answer?.high).toBeCloseTo(byHand.high, 12);
    expect(got.comparison.asDrawn.units.map((one) => [one.units, one.head])).toEqual([
      [4, 24],
      [4, 24],
    ]);
  });
  it('one pen per arm: no verdict, the animals are described and the words say it proves nothing', () => {
    const got = judged(herd({ perArm: 30, difference: 0.6, sd: 0.1, seed: '22', pensPerArm: 1 }), { unit: 'pen' });
    expect(got.comparison.answer).toBeNull();
    expect(got.comparison.animalsOnly?.low).toBeGreaterThan(0);
    expect(got.comparison.verdict).toMatchObject({ verdict: 'too-small-to-tell', favours: null });
    expect(got.comparison.partialBudget).toBeNull();
    expect(got.text).toContain('no test on the animals proves the feeding');
    expect(got.text).toContain('That describes these animals only');
    expect(got.text).not.toContain('favors');
    expect(got.codes).toContain('trial.one-pen');
  });
  it('one herd an arm, named animals in the plan: no verdict on animals, but what any two herds would do', () => {
    const herds = herd({ perArm: 30, difference: 0.6, sd: 0.1, seed: '22', pensPerArm: 1 });
    const got = judged(herds);
    expect(got.unit).toBe('pen');
    expect(got.comparison).toMatchObject({ answer: null, partialBudget: null, nextTrial: null });
    expect(got.comparison.verdict).toMatchObject({ verdict: 'too-small-to-tell', favours: null });
    // 0.021 kg a day is the published standard error of 10 pens; two such pens differ by
    // 1.96 · √2 · 0.021 · √10.
    expect(got.comparison.twoHerds?.fedAlikeKgPerDay).toBeCloseTo(1.96 * Math.SQRT2 * 0.021 * Math.sqrt(10), 2);
    expect(got.text).toContain('Any two herds fed alike differ by up to');
    expect(got.text).toContain('What could answer: several pens or herds in each arm');
    expect(got.text).not.toContain('favors');
    // By hand: a spread of 0.12 between herds, and 30 animals of about 0.1 in each.
    const own = judged(herds, { penToPenSdKgPerDay: 0.12 }).comparison.twoHerds;
    expect(own?.fedAlikeKgPerDay).toBeGreaterThan(1.96 * Math.SQRT2 * 0.12);
    expect(own?.fedAlikeKgPerDay).toBeLessThan(1.96 * Math.sqrt(2 * 0.12 ** 2 + (2 * 0.15 ** 2) / 30));
  });
  it('with no true effect, herds that differ by 0.06 or 0.12 kg a day raise no false alarm', () => {
    for (const herdSd of [0.06, 0.12]) {
      const random = seededRandom({ seed: '5', stream: String(100 * herdSd) });
      for (let trials = 0; trials < 20; trials += 1) {
        const shift = { usual: herdSd * random.nextNormal(), layered: herdSd * random.nextNormal() };
        const animals = (['usual', 'layered'] as const).flatMap((armId) =>
          Array.from({ length: 20 }, (_, i) =>
            animal(`${armId}${i}`, armId, 0.4 + shift[armId] + 0.16 * random.nextNormal(), {
              startKg: 250 + 15 * random.nextNormal(),
              penId: `herd of ${armId}`,
            }),
          ),
        );
        expect(judged(animals).comparison.verdict.favours).toBeNull();
      }
    }
  });
  it('warns of animals fed alone beside pens, and of animals taken as units though their pens hold one arm', () => {
    const penned = herd({ perArm: 12, difference: 0.1, sd: 0.16, seed: '23', pensPerArm: 3 });
    expect(
      judged(
        penned.map((one, i) => (i === 0 ? { ...one, penId: null } : one)),
        { unit: 'pen', method: 'welch' },
      ).codes,
    ).toContain('trial.mixed-units');
    const fed = judged(penned, { method: 'welch' });
    expect(fed.codes).toContain('trial.pens-hold-one-arm');
    expect(fed.unit).toBe('pen');
    expect(fed.comparison.answer).toEqual(judged(penned, { unit: 'pen', method: 'welch' }).comparison.answer);
    const shared = penned.map((one, i) => ({ ...one, penId: `pen-${i % 3}` }));
    expect(judged(shared).codes).not.toContain('trial.pens-hold-one-arm');
    expect(judged(shared).unit).toBe('animal');
  });
});

describe('missing, dead and moved', () => {
  const base = herd({ perArm: 15, difference: 0.2, sd: 0.16, seed: '31' });
  it('are listed with their treatment, and both sets are told', () => {
    const animals = base.map((one) =>
      one.id === 'layered-1'
        ? { ...one, weighings: one.weighings.slice(0, 2), events: [{ day: 12, kind: 'died' as const }] }
        : one.id === 'usual-2'
          ? { ...one, events: [{ day: 20, kind: 'moved' as const }] }
          : one,
    );
    const got = judged(animals);
    expect(
      got.animals.find((one) => one.animalId === 'layered-1')?.departures.map((departure) => departure.code),
    ).toEqual(['no-end-weight', 'died']);
    expect(got.comparison.asDrawn.units.map((one) => one.units)).toEqual([15, 14]);
    expect(got.comparison.perProtocol.units.map((one) => one.units)).toEqual([14, 14]);
    expect(got.comparison.missing?.head).toBe(1);
    expect(got.comparison.missing?.againstChange.difference).toBeLessThan(
      got.comparison.missing?.againstUsual.difference ?? NaN,
    );
    expect(got.codes).toEqual(expect.arrayContaining(['trial.missing-animals', 'trial.deaths']));
    expect(got.cautions.find((one) => one.code === 'trial.deaths')?.words).toContain('veterinarian');
  });
  it('says when they could turn the verdict', () => {
    const animals = base.map((one, i) => (i % 5 === 0 ? { ...one, weighings: one.weighings.slice(0, 2) } : one));
    expect(judged(animals).codes).toContain('trial.missing-could-decide');
    expect(judged(base).comparison.missing).toBeNull();
  });
});

describe('checks', () => {
  it('names the animal that decides the answer', () => {
    const quiet = [0.38, 0.4, 0.41, 0.39, 0.42, 0.4].map((gain, i) => animal(`u${i}`, 'usual', gain));
    const loud = [0.41, 0.4, 0.43, 0.42, 0.39, 3].map((gain, i) => animal(`l${i}`, 'layered', gain));
    const got = judged([...quiet, ...loud], { method: 'welch' });
    expect(got.codes).toEqual(
      expect.arrayContaining(['trial.influential-unit', 'trial.not-normal', 'trial.one-unit-decides']),
    );
    expect(got.cautions.find((one) => one.code === 'trial.influential-unit')?.words).toContain('l5');
    expect(got.comparison.leftOut.find((one) => one.unitId === 'l5')?.differenceKgPerDay).toBeLessThan(0.05);
    expect(got.comparison.leftOut).toHaveLength(12);
  });
  it.each(['welch', 'analysis-of-covariance'] as const)(
    'leaving an animal out is the same as judging without it (%s)',
    (method) => {
      const animals = herd({ perArm: 8, difference: 0.1, sd: 0.16, seed: '77' });
      const { leftOut } = judged(animals, { method }).comparison;
      for (const out of ['usual-3', 'layered-8']) {
        const { answer } = judged(
          animals.filter((one) => one.id !== out),
          { method },
        ).comparison;
        const left = leftOut.find((one) => one.unitId === out);
        expect([left?.differenceKgPerDay, left?.lowKgPerDay, left?.highKgPerDay]).toEqual(
          [answer?.difference, answer?.low, answer?.high].map((value) => expect.closeTo(value ?? NaN, 12) as number),
        );
      }
    },
  );
  it('Cook’s distances of two means, worked by hand', () => {
    // Residuals ±0.1 and ±0.2, residual variance 0.1 / 4, leverage 1/3: 0.01/3 ÷ (2 · 0.025 · 4/9) = 0.15, and
    // four times that.
    const animals = [
      ...[0.3, 0.4, 0.5].map((gain, i) => animal(`u${i}`, 'usual', gain)),
      ...[0.5, 0.7, 0.9].map((gain, i) => animal(`l${i}`, 'layered', gain)),
    ];
    const influence = judged(animals, { method: 'welch' }).comparison.checks?.influence.map((one) => one.cooksDistance);
    expect(influence).toEqual([0.15, 0, 0.15, 0.6, 0, 0.6].map((value) => expect.closeTo(value, 10) as number));
  });
  it('warns of slopes that differ and of unequal spread', () => {
    const slopes = [1, -1].flatMap((sign, arm) =>
      Array.from({ length: 12 }, (_, i) =>
        animal(`${arm}-${i}`, arm === 0 ? 'usual' : 'layered', 0.5 + sign * 0.02 * (i - 5.5) + 0.004 * (i % 3), {
          startKg: 240 + 2 * i,
        }),
      ),
    );
    expect(judged(slopes).codes).toContain('trial.unequal-slopes');
    const spread = [0.01, 0.2].flatMap((scale, arm) =>
      Array.from({ length: 12 }, (_, i) =>
        animal(`${arm}-${i}`, arm === 0 ? 'usual' : 'layered', 0.5 + (scale * (i - 5.5)) / 3, {
          startKg: 240 + 2 * ((i * 7) % 12),
        }),
      ),
    );
    expect(judged(spread).codes).toContain('trial.unequal-spread');
  });
  it('says when the other method, or those that followed the protocol, lead elsewhere', () => {
    // Gain hangs on start weight; the arms differ by 0.05 on top, which Welch cannot see through the spread.
    const sloped = arms.flatMap((arm, a) =>
      Array.from({ length: 12 }, (_, i) =>
        animal(`${arm.id}${i}`, arm.id, 0.4 + 0.02 * (i - 5.5) + 0.05 * a + 0.004 * ((i * 5) % 3), {
          startKg: 239 + 2 * i,
        }),
      ),
    );
    const byCovariance = judged(sloped);
    expect(byCovariance.comparison.verdict).toMatchObject({ verdict: 'favours', favours: 'change' });
    expect(byCovariance.codes).toContain('trial.methods-disagree');
    expect(judged(sloped, { method: 'welch' }).codes).toContain('trial.methods-disagree');
    const moved = arms.flatMap((arm, a) =>
      Array.from({ length: 12 }, (_, i) =>
        animal(`${arm.id}${i}`, arm.id, 0.3 + 0.01 * i + (a === 1 && i < 8 ? 0.4 : 0), {
          startKg: 239 + 2 * ((i * 7) % 12),
          events: a === 1 && i < 8 ? [{ day: 30, kind: 'moved' }] : [],
        }),
      ),
    );
    const got = judged(moved);
    expect(got.comparison.verdict.verdict).toBe('favours');
    expect(got.comparison.perProtocol.verdict?.verdict).not.toBe('favours');
    expect(got.codes).toContain('trial.sets-disagree');
    expect(got.comparison.verdict).toEqual(expect.objectContaining({ favours: 'change' }));
  });
  it(
    'gives no interval when the gains do not vary, and falls ' + 'back to Welch when all start weights are the same',
    () => {
      const same = judged(
        arms.flatMap((arm, i) => [1, 2, 3].map((n) => animal(`${arm.id}${n}`, arm.id, i))),
        { method: 'welch' },
      );
      expect(same.comparison.verdict.verdict).toBe('too-small-to-tell');
      expect(same.codes).toContain('trial.no-spread');
      const flat = judged(
        arms.flatMap((arm, i) => [1, 2, 3].map((n) => animal(`${arm.id}${n}`, arm.id, 0.1 * i + 0.03 * n))),
      );
      expect(flat.comparison.answer?.method).toBe('welch');
      expect(flat.codes).toContain('trial.method-fallback');
    },
  );
});

describe('several looks and several changes', () => {
  const animals = herd({ perArm: 20, difference: 0.15, sd: 0.16, seed: '41' });
  // Armitage, McPherson and Rowe 1969, Journal of the Royal Statistical Society A 132:235-244, table 2 (from memory):
  // chance of a false alarm at 5 %.
  it.each([
    [1, 0.05],
    [2, 0.083],
    [3, 0.107],
    [4, 0.126],
    [5, 0.142],
  ])('%p looks not planned: false alarm %p', (number, chance) => {
    const got = judged(animals, { look: { planned: null, number, final: true } });
    expect(got.look.falseAlarmChanceUncorrected).toBeCloseTo(chance, 3);
    expect(got.look.peeking).toBe(number > 1);
    expect(got.intervalConfidence).toBeCloseTo(1 - 0.05 / number, 12);
    expect(got.codes.includes('trial.peeking')).toBe(number > 1);
  });
  it('a look at running data is peeking even the first time', () => {
    const got = judged(animals, { look: { planned: null, number: 1, final: false } });
    expect(got.look.peeking).toBe(true);
    expect(got.text).toContain('not planned');
  });
  // The parts of the error, by hand: 1/2, 1/6, 1/12 … of it, which add up to 1 − 1/n after n looks, and the rest,
  // 1/n, at the end.
  it.each([1, 2, 3, 10, 40])('%p unplanned looks at running data share the error for any count', (number) => {
    const running = judged(animals, { look: { planned: null, number, final: false } });
    expect(1 - running.intervalConfidence).toBeCloseTo(0.05 / (number * (number + 1)), 12);
  });
  /* Looks at growing sums of normal values where nothing differs, so the truth is known: no more than 5 % of trials may
   * ever raise a false alarm, with four standard errors of 4,000 trials above it. */
  it.each([10, 40])('%p unplanned looks: no more than 5 % of trials ever raise a false alarm', (looks) => {
    const limits = Array.from({ length: looks }, (_, i) => {
      const error = sharedErrorOf(trial([], { look: { planned: null, number: i + 1, final: i + 1 === looks } }), []);
      return normalQuantile(1 - error.alpha / 2);
    });
    const random = seededRandom({ seed: '20', stream: String(looks) });
    let alarms = 0;
    for (let trials = 0; trials < 4000; trials += 1) {
      let sum = 0;
      if (limits.map((limit, i) => Math.abs((sum += random.nextNormal())) > limit * Math.sqrt(i + 1)).includes(true))
        alarms += 1;
    }
    expect(alarms / 4000).toBeLessThanOrEqual(0.05 + 4 * Math.sqrt((0.05 * 0.95) / 4000));
  });
  it('a planned look uses its boundary', () => {
    const planned = { fractions: [0.2, 0.4, 0.6, 0.8, 1], kind: 'obrien-fleming-type' as const };
    const got = judged(animals, { look: { planned, number: 3, final: false } });
    // 2.6803 is the published third boundary; its two-sided alpha by the normal table is 0.00736.
    expect(1 - got.intervalConfidence).toBeCloseTo(0.00736, 4);
    expect(got.look).toMatchObject({ planned: true, peeking: false });
  });
  it('two changes share the error', () => {
    const more = [
      ...animals,
      ...animals.filter((one) => one.armId === 'layered').map((one) => ({ ...one, id: `t-${one.id}`, armId: 'third' })),
    ];
    const threeArms: readonly TrialArm[] = [...arms, { id: 'third', name: 'third feeding', role: 'change' }];
    const got = judged(more, { arms: threeArms, feeds: [], otherCosts: [] });
    expect(got.comparisons).toHaveLength(2);
    // Dunnett 1964: 2.27 for two changes, two-sided 5 %, 60 degrees of freedom; here 56, where it is the same to its
    // digits. One spread is taken from all three arms: 3 · 20 head less three means and a slope.
    const answer = got.comparisons[0]?.answer;
    expect(answer?.degreesOfFreedom).toBe(56);
    const critical = ((answer?.high ?? NaN) - (answer?.difference ?? NaN)) / (answer?.standardError ?? NaN);
    expect(critical).toBeCloseTo(2.27, 2);
    expect(got.text).toContain('2 comparisons');
    expect(got.text).toContain('(Dunnett)');
    // Where spreads are not taken to be equal, the shares are Bonferroni's.
    const welch = judged(more, { arms: threeArms, feeds: [], otherCosts: [], method: 'welch' });
    expect(welch.intervalConfidence).toBeCloseTo(0.975, 12);
    expect(welch.text).not.toContain('(Dunnett)');
  });
});

describe('what is wrong', () => {
  const codes = (animals: readonly TrialAnimal[], more: Partial<TrialToJudge> = {}) => {
    const got = judgeTrial(trial(animals, more));
    return got.ok ? [] : got.problems.map((problem) => problem.code);
  };
  const good = herd({ perArm: 3, difference: 0, sd: 0.1, seed: '51' });
  it.each<[string, readonly TrialAnimal[], Partial<TrialToJudge>]>([
    ['trial.arms', good.filter((one) => one.armId === 'usual'), { arms: arms.slice(0, 1), feeds: [] }],
    ['trial.confidence', good, { confidence: 1 }],
    ['trial.worthwhile', good, { worthwhileDifferenceKgPerDay: -0.1 }],
    ['trial.animal-twice', [...good, animal('usual-1', 'usual', 0.3)], {}],
    ['trial.unknown-arm', [...good, animal('x', 'nowhere', 0.3)], {}],
    ['trial.weight', [...good, { ...animal('x', 'usual', 0.3), weighings: [weigh(0, 0)] }], {}],
    ['trial.pen-in-two-arms', good.map((one) => ({ ...one, penId: 'p' })).slice(2, 4), { unit: 'pen' }],
    ['trial.looks', good, { look: { planned: null, number: 0, final: true } }],
    ['trial.currency', good, { currency: 'EUR' }],
  ])('%s', (code, animals, more) => {
    expect(codes(animals, more)).toContain(code);
    expect(codes(good)).toEqual([]);
  });
  it('a trial without records is judged as one that cannot tell', () => {
    const got = judged([]);
    expect(got.comparison.verdict.verdict).toBe('too-small-to-tell');
    expect(got.text).toContain('cannot tell');
  });
});

describe('a look before half of the days', () => {
  const early = herd({ perArm: 12, difference: 0.3, sd: 0.1, seed: '61' }).map((one) => {
    const [start] = one.weighings;
    const end = one.weighings.at(-1)?.weightKg ?? NaN;
    const gain = (end - (start?.weightKg ?? NaN)) / 60;
    return { ...one, weighings: [...one.weighings.slice(0, 2), weigh(20, (start?.weightKg ?? NaN) + 20 * gain)] };
  });
  const planned = { fractions: [0.33, 1], kind: 'obrien-fleming-type' as const };
  it('is judged by the weights of its part of the days', () => {
    const got = judged(early, { look: { planned, number: 1, final: false }, upToDay: 20 });
    expect(got.comparison.asDrawn.units.map((one) => one.units)).toEqual([12, 12]);
    expect(got.comparison.answer?.difference).toBeGreaterThan(0.15);
    expect(got.comparison.answer?.difference).toBeLessThan(0.45);
    expect(got.text).not.toContain('two animals or more');
  });
  it('at the end a weight of day 20 still stands for no end weight', () => {
    const over = judged(early, { upToDay: 61 });
    expect(over.comparison.answer).toBeNull();
    expect(over.animals.every((one) => one.gainKgPerDay === null)).toBe(true);
  });
});

describe('a running trial', () => {
  const animals = herd({ perArm: 6, difference: 0.1, sd: 0.1, seed: '11' }).map((one) => ({
    ...one,
    weighings: [
      ...one.weighings.filter((weighing) => weighing.day < 60),
      weigh(30, 262 + Number(one.id.split('-')[1])),
    ],
  }));
  const look = { planned: null, number: 1, final: false };
  const running = judgeTrial(trial(animals, { look, upToDay: 30 }));
  const over = judgeTrial(trial(animals, { look, upToDay: 61 }));

  it('counts head-days up to the day of the records and blames nobody for a missing end weight', () => {
    if (!running.ok || !over.ok) throw new Error('refused');
    expect(running.arms.map((arm) => arm.headDays)).toEqual([180, 180]);
    expect(running.animals.every((one) => one.followedProtocol && one.gainTo === 'last weighing')).toBe(true);
    expect(over.arms.map((arm) => arm.headDays)).toEqual([360, 360]);
    expect(over.animals.every((one) => one.departures.some((departure) => departure.code === 'no-end-weight'))).toBe(
      true,
    );
  });
});
