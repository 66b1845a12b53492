import { conditionalPower, futilityOf, futilityPlanned } from '../../../src/core/trial/futility.js';
import { judgeTrial } from '../../../src/core/trial/judge-trial.js';
import { planTrial } from '../../../src/core/trial/plan-trial.js';
import { seededRandom } from '../../../src/core/trial/seeded-random.js';
import reference from '../../reference/statistics/futility.json';
import { herd, trial, weigh } from './support.js';

describe('conditional power', () => {
  it('is what a published example has', () => {
    // NCSS, PASS training, "Conditional power for two proportions": 0.6 against 0.7, 114 a group, one-sided 0.025, half
    // of the data: at z = 2.5 the conditional power is "just over 0.8". The drift is 0.1 over its standard error at the
    // end, √(2 · 0.65 · 0.35 / 114).
    const drift = 0.1 / Math.sqrt((2 * 0.65 * 0.35) / 114);
    const found = conditionalPower({ z: 2.5, share: 0.5, drift, finalZ: 1.959964 });
    expect(found).toBeGreaterThan(0.8);
    expect(found).toBeLessThan(0.81);
  });

  it('agrees with the joint normal distribution of both looks, integrated by another library', () => {
    for (const { z, share, drift, finalZ, power } of reference.cases)
      expect(conditionalPower({ z, share, drift, finalZ })).toBeCloseTo(power, 7);
  });

  it('has the chance at each look that its boundary says', () => {
    // Φ(z) of the standard normal and of one moved by the drift: drawn here, 20,000 looks, three standard errors.
    const planned = futilityPlanned({ threshold: 0.2, fractions: [0.5, 1], finalAlpha: 0.05, drift: 2.8 });
    const [look] = planned.looks;
    const random = seededRandom({ seed: '71' });
    const stopped = Array.from({ length: 20_000 }, () => random.nextNormal()).filter(
      (z) => conditionalPower({ z, share: 0.5, drift: 2.8, finalZ: 1.959964 }) < 0.2,
    ).length;
    expect(Math.abs(stopped / 20_000 - (look?.chanceIfNone ?? NaN))).toBeLessThan(0.0107);
    expect(look?.chanceIfWorthwhile).toBeLessThan(0.06);
  });

  it('needs a look that is neither the beginning nor the end', () => {
    expect(() => conditionalPower({ z: 1, share: 1, drift: 1, finalZ: 2 })).toThrow(RangeError);
  });
});

const LOOKS = { fractions: [0.5, 1], kind: 'obrien-fleming-type' as const };

describe('a look that asks whether going on helps', () => {
  const lookAt = (difference: number, more: Partial<Parameters<typeof trial>[1]> = {}) => {
    const animals = herd({ perArm: 20, difference, sd: 0.12, seed: '8' }).map((one) => {
      const [start, again, end] = one.weighings;
      const half = (start?.weightKg ?? 0) + ((end?.weightKg ?? 0) - (start?.weightKg ?? 0)) / 2;
      return { ...one, weighings: [start, again, weigh(30, half)].flatMap((each) => each ?? []) };
    });
    const judged = judgeTrial(
      trial(animals, { futility: 0.2, upToDay: 30, look: { planned: LOOKS, number: 1, final: false }, ...more }),
    );
    if (!judged.ok) throw new Error(JSON.stringify(judged.problems));
    return judged.comparisons[0];
  };

  it('says so where the change has lost so far, and not where it gained', () => {
    const lost = lookAt(-0.1);
    expect(lost?.futility).toMatchObject({ share: 0.5, threshold: 0.2, futile: true });
    expect(lost?.verdict.sentences.join(' ')).toContain('As planned, going on would hardly help');
    const won = lookAt(0.1);
    expect(won?.futility?.futile).toBe(false);
    expect(won?.verdict.sentences.join(' ')).toContain('It is worth going on');
  });

  it('changes nothing of the answer, and is asked only where it was planned', () => {
    expect(lookAt(-0.1)?.answer).toEqual(lookAt(-0.1, { futility: null })?.answer);
    expect(lookAt(-0.1, { futility: null })?.futility).toBeNull();
    expect(lookAt(-0.1, { look: { planned: null, number: 1, final: false } })?.futility).toBeNull();
  });

  it('counts a difference on the wrong side as one', () => {
    const seen = { standardError: 0.05, p: 0.3 };
    const given = { share: 0.5, finalAlpha: 0.05, worthwhileKgPerDay: 0.1, threshold: 0.2 };
    const [up, down] = [
      futilityOf({ ...seen, difference: 0.05 }, given),
      futilityOf({ ...seen, difference: -0.05 }, given),
    ];
    expect(up.conditionalPower).toBeGreaterThan(down.conditionalPower);
    expect(up.asSeen).toBeGreaterThan(down.asSeen);
  });
});

it('is refused in a plan without a look before the last', () => {
  const request = {
    question: 'Worth it?',
    arms: trial([]).arms,
    unit: 'animal' as const,
    unitsPerArm: 20,
    headPerUnit: 1,
    lengthDays: 60,
    dailyGainSd: null,
    penToPenSdKgPerDay: null,
    weighingSd: null,
    losses: null,
    twoWeighingDays: true,
    fill: 'full' as const,
    hoursOffFeed: 0,
    interimWeighingDays: [30],
    hopedDifferenceKgPerDay: 0.1,
    meanStartWeightKg: null,
    looks: null,
    futility: 0.2,
    classOfAnimals: 'heifers',
    season: 'winter',
    hay: 'hay',
    wordsIn: 'lb' as const,
  };
  const refused = planTrial(request);
  expect(!refused.ok && refused.problems.map((one) => one.code)).toEqual(['trial.futility']);
  const planned = planTrial({ ...request, looks: LOOKS });
  expect(planned.ok && planned.futility?.looks).toHaveLength(1);
  expect(planned.ok && planned.words.join(' ')).toContain('Look 1 says that going on would hardly help');
});
