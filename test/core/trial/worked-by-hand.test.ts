import { judgeTrial } from '../../../src/core/trial/judge-trial.js';
import type { TrialAnimal } from '../../../src/core/trial/trial-records.js';
import type { TrialToJudge } from '../../../src/core/trial/judgement/judgement.js';
import { Money, PricePerMass } from '../../../src/core/units/money.js';
import { animal, arms, trial, weigh } from './support.js';

const comparisonOf = (animals: readonly TrialAnimal[], more: Partial<TrialToJudge> = {}) => {
  const got = judgeTrial(trial(animals, { method: 'welch', ...more }));
  if (!got.ok) throw new Error('refused');
  const [comparison] = got.comparisons;
  if (!comparison) throw new Error('no comparison');
  return comparison;
};
const usual = [0.3, 0.4, 0.5].map((gain, i) => animal(`u${i}`, 'usual', gain));
const layered = [0.5, 0.6, 0.7].map((gain, i) => animal(`l${i}`, 'layered', gain));

/* All by hand, from the records alone. */
describe('a judgement worked by hand', () => {
  // Three head over 60 days: 180 head-days. The change costs 90 USD more, 30 a head; 0.2 kg a day over 60 days at 2.00
  // a kilogram is 24 a head. So it loses 6 a head, and a change that costs 30 less gains 54.
  it.each([
    [190, 100, '30', '-6'],
    [100, 190, '-30', '54'],
  ])('a change that costs %p, the usual %p: added cost %p, net %p', (ofChange, ofUsual, added, net) => {
    const budget = comparisonOf([...usual, ...layered], {
      valueOfGain: PricePerMass.of('2.00', 'USD', 'kg'),
      otherCosts: arms.map((arm) => ({
        armId: arm.id,
        cost: Money.of(arm.id === 'usual' ? ofUsual : ofChange, 'USD'),
      })),
    }).partialBudget;
    expect(budget?.addedCostsPerHead.rounded().amount.toFixed()).toBe(added);
    expect(budget?.netPerHead.estimate.rounded().amount.toFixed()).toBe(net);
  });

  // A fourth head of the change has no end weight. Gains run from 0.3 to 0.7. At worst it gained 0.3: the change's mean
  // is (0.5 + 0.6 + 0.7 + 0.3) / 4 = 0.525, the difference 0.125. At best it gained 0.7: 0.625 and 0.225.
  it('the missing of the change gained the least that was seen, or the most', () => {
    const gone: TrialAnimal = { ...animal('l9', 'layered', 0), weighings: [weigh(0, 250), weigh(1, 250)] };
    const { missing } = comparisonOf([...usual, ...layered, gone]);
    expect(missing?.head).toBe(1);
    expect(missing?.againstChange.difference).toBeCloseTo(0.125, 10);
    expect(missing?.againstUsual.difference).toBeCloseTo(0.225, 10);
  });

  // A fourth head of the usual feeding is missing instead: against the change it gained the most, 0.7: the usual's mean
  // is 0.475 and the difference 0.125; for the change it gained the least, 0.3: 0.375 and 0.225.
  it('the missing of the usual feeding the other way around', () => {
    const gone: TrialAnimal = { ...animal('u9', 'usual', 0), weighings: [weigh(0, 250), weigh(1, 250)] };
    const { missing } = comparisonOf([...usual, ...layered, gone]);
    expect(missing?.againstChange.difference).toBeCloseTo(0.125, 10);
    expect(missing?.againstUsual.difference).toBeCloseTo(0.225, 10);
  });
});
