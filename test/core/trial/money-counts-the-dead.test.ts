import { describe as summarize } from '../../../src/core/trial/descriptive.js';
import { seededRandom } from '../../../src/core/trial/seeded-random.js';
import { welchDifference } from '../../../src/core/trial/two-sample.js';
import { animalResults } from '../../../src/core/trial/analysis-sets.js';
import { judgeTrial } from '../../../src/core/trial/judge-trial.js';
import { perHeadStarted } from '../../../src/core/trial/per-head-started.js';
import type { TrialAnimal } from '../../../src/core/trial/trial-records.js';
import { armOutcome } from '../../../src/core/trial/arm-outcome.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money, PricePerMass } from '../../../src/core/units/money.js';
import { decimal } from '../../../src/core/units/decimal.js';
import { animal, herd, protocol, trial, weigh } from './support.js';

const killed = (animals: readonly TrialAnimal[], ids: readonly string[], day = 30): TrialAnimal[] =>
  animals.map((one) =>
    ids.includes(one.id)
      ? { ...one, weighings: one.weighings.filter((weighing) => weighing.day < day), events: [{ day, kind: 'died' }] }
      : one,
  );
const twenty = herd({ perArm: 20, difference: 0.3, sd: 0.16, seed: '4' });
const fourOfTheChange = ['layered-2', 'layered-5', 'layered-11', 'layered-16'];

describe('money counts the dead', () => {
  const budgetOf = (animals: readonly TrialAnimal[]) => {
    const got = judgeTrial(trial(animals, { valueOfCattle: PricePerMass.of('2.20', 'USD', 'lb') }));
    if (!got.ok) throw new Error('refused');
    const [comparison] = got.comparisons;
    if (!comparison?.partialBudget) throw new Error('no budget');
    return { ...comparison.partialBudget, deaths: comparison.deaths, arms: got.arms };
  };

  it('four of 20 dead on the change turn "pays" around', () => {
    expect(budgetOf(twenty).verdict).toBe('pays');
    const got = budgetOf(killed(twenty, fourOfTheChange));
    expect(got.netPerHead.estimate.isNegative()).toBe(true);
    expect(got.verdict).not.toBe('pays');
    expect(got.herd?.net.estimate.isNegative()).toBe(true);
    expect(got.herd?.addedGain.estimate.kilograms.isNegative()).toBe(true);
    expect(got.words.join(' ')).toContain('4 of 20 head died on the change and 0 of 20');
    // SciPy, Barnard's test: 4 of 20 against 0 of 20 is beyond 2.5 % on its side (see deaths-difference.json).
    expect(got.deaths?.difference).toBeCloseTo(0.2, 12);
    expect(got.deaths?.low).toBeGreaterThan(0);
  });

  it('cost of gain does not look better on the feeding that kills', () => {
    const usual = budgetOf(killed(twenty, fourOfTheChange)).arms.find((arm) => arm.armId === 'usual');
    const change = budgetOf(killed(twenty, fourOfTheChange)).arms.find((arm) => arm.armId === 'layered');
    expect(usual).toMatchObject({ headFinished: 20 });
    expect(change).toMatchObject({ headFinished: 16 });
    // The dead took more than the rest gained, so that there is no gain to divide by.
    expect(change?.gainOverTrial.deadsInPerHeadStarted).toBeLessThan(0);
    expect(change?.cost?.totalCostPerKgGainDeadsIn).toBeNull();
    expect(usual?.cost?.totalCostPerKgGainDeadsIn).not.toBeNull();
  });

  /*
   * By hand: 10 head of 250 kg, one dead on day 30, nine gain 30 kg each. Deads in 9 · 30 − 250 = 20 kg: 2 a head
   * started, 20 / 9 a head finished; deads out 30. 684 USD: 68.40 a head started, 76 a head finished, 34.20 a kg.
   */
  it('gain and cost for each head started and finished, by hand', () => {
    const ten = Array.from({ length: 10 }, (_, i) => animal(`a${i}`, 'usual', 0.5));
    const dead: TrialAnimal = {
      ...animal('a0', 'usual', 0),
      weighings: [weigh(0, 250), weigh(1, 250)],
      events: [{ day: 30, kind: 'died' }],
    };
    const got = armOutcome({
      armId: 'usual',
      results: animalResults({ protocol, animals: [dead, ...ten.slice(1)] }),
      feeds: [
        {
          armId: 'usual',
          name: 'hay',
          fed: Mass.kilograms('6840'),
          refused: Mass.zero,
          wasted: Mass.zero,
          dryMatterShare: decimal('0.9'),
          price: PricePerMass.of('0.10', 'USD', 'kg'),
          daysMissing: 0,
        },
      ],
      otherCosts: Money.zero('USD'),
      currency: 'USD',
    });
    expect(got.headFinished).toBe(9);
    expect(got.gainOverTrial.deadsInPerHeadStarted).toBeCloseTo(2, 10);
    expect(got.gainOverTrial.deadsInPerHeadFinished).toBeCloseTo(20 / 9, 10);
    expect(got.gainOverTrial.deadsOutPerHeadFinished).toBeCloseTo(30, 10);
    expect(
      [got.cost?.perHeadStarted, got.cost?.perHeadFinished, got.cost?.totalCostPerKgGainDeadsIn].map((money) =>
        money?.rounded().toString(),
      ),
    ).toEqual(['68.4 USD', '76 USD', '34.2 USD']);
  });

  /*
   * By hand. Shares with one death and one that lived added: 5 / 22 and 1 / 22; variances 5 · 17 / 22³ and
   * 1 · 21 / 22³. With no difference in gain and a gain that is known exactly, only deaths are left: one takes
   * 250 + 0.5 · 60 = 280 kg, so the middle is −280 · 4 / 22 and its standard error 280 · √(106 / 22³).
   */
  it('the part of the deaths, by hand', () => {
    const known = { difference: 0, standardError: 0, degreesOfFreedom: 30, low: 0, high: 0, confidence: 0.95 };
    const arm = { started: 20, shareByPen: null, meanGainKgPerDay: 0.5 };
    const { low, estimate, high } = perHeadStarted(
      { gain: known, usual: { ...arm, died: 0 }, change: { ...arm, died: 4 }, startWeightKg: 250, days: 60 },
      { perKgGain: 1, perKgCattle: 1 },
    );
    expect(estimate).toBeCloseTo(-280 * 0.2, 9);
    expect((low + high) / 2).toBeCloseTo((-280 * 4) / 22, 9);
    // Satterthwaite: (85 + 21)² / ((85² + 21²) / 19) = 27.85; Student's t at 97.5 % there is 2.049 (tables: 2.0518
    // at 27, 2.0484 at 28).
    const error = 280 * Math.sqrt(106 / 22 ** 3);
    expect((high - low) / 2 / error).toBeGreaterThan(2.0484);
    expect((high - low) / 2 / error).toBeLessThan(2.0518);
  });
});

/*
 * Simulated trials of 20 and 40 head an arm in which the truth is known: gains of 0.4 and 0.5 kg a day with a spread of
 * 0.16, and each head dies with a chance of 5 % or 10 %. Where any died, the interval holds its confidence within four
 * standard errors of 2,000 trials; where none did, it is that of the gain and knows of no deaths.
 */
describe('the interval with its dead, simulated', () => {
  it.each([
    [20, 0.05, 0.05],
    [20, 0.02, 0.1],
    [40, 0.05, 0.1],
  ])('%p head an arm, %p and %p die', (perArm, diesUsual, diesChange) => {
    const random = seededRandom({ seed: '7', stream: String(perArm) });
    const truth = 60 * ((1 - diesChange) * 0.5 - (1 - diesUsual) * 0.4) - (diesChange - diesUsual) * 250;
    const trials = 2000;
    let [held, withDead] = [0, 0];
    for (let each = 0; each < trials; each += 1) {
      const arm = (mean: number, dies: number) => {
        const all = Array.from({ length: perArm }, () => ({
          died: random.nextUint32() / 2 ** 32 < dies,
          gain: mean + 0.16 * random.nextNormal(),
        }));
        const lived = summarize(all.filter((one) => !one.died).map((one) => one.gain));
        return {
          lived,
          perHead: { died: perArm - lived.n, started: perArm, shareByPen: null, meanGainKgPerDay: lived.mean },
        };
      };
      const [usual, change] = [arm(0.4, diesUsual), arm(0.5, diesChange)];
      if (usual.perHead.died + change.perHead.died === 0) continue;
      withDead += 1;
      const gain = welchDifference({ first: usual.lived, second: change.lived, confidence: 0.95 });
      const { low, high } = perHeadStarted(
        { gain, usual: usual.perHead, change: change.perHead, startWeightKg: 250, days: 60 },
        { perKgGain: 1, perKgCattle: 1 },
      );
      if (low <= truth && truth <= high) held += 1;
    }
    expect(held / withDead).toBeGreaterThan(0.95 - 4 * Math.sqrt((0.95 * 0.05) / withDead));
  });
});
