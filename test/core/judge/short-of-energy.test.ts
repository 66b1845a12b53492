import { wordsIn } from '../../../src/core/units/wording.js';
import fc from '../../support/properties.js';
import { dietContextOf } from '../../../src/core/judge/diet-context';
import { evaluateRation } from '../../../src/core/judge/evaluate';
import { rationSupply } from '../../../src/core/judge/ration-supply';
import type { RationLayer } from '../../../src/core/ration/ration';
import { energyAllowableGain, nrc2000RetainedEnergy } from '../../../src/core/requirements/gain';
import { nrc2000ReserveEnergy } from '../../../src/core/requirements/body-condition';
import type { AnimalDescription } from '../../../src/core/requirements/requirement-set';
import { ALFALFA, DRY_COW, KG_PER_LB, MEADOW, needs, STRAW, YEARLING } from '../ration/ration-fixtures';

const judged = (animal: AnimalDescription, ...parts: (readonly [typeof MEADOW, number])[]) => {
  const layers: RationLayer[] = parts.map(([lot, asFedKgPerHeadPerDay]) => ({
    role: 'mixed',
    lots: [{ lot, asFedKgPerHeadPerDay }],
  }));
  const requirement = needs(animal, { edition: 'NRC2000', diet: dietContextOf(rationSupply({ layers })) });
  const outcome = evaluateRation({ animal, requirement, layers });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return { ...outcome.value, requirement };
};

const FIRST_CALVER: AnimalDescription = {
  class: 'first-calf-heifer',
  sex: 'heifer',
  fullBodyWeightKg: 1000 * KG_PER_LB,
  matureFullBodyWeightKg: 1250 * KG_PER_LB,
  daysInMilk: 60,
  bodyConditionScore: 5,
};

describe('growing cattle short of energy', () => {
  test('lose weight: 0.8 Mcal of diet is replaced by 1 Mcal of body, at the energy of gain', () => {
    const { gain, condition, requirement } = judged(YEARLING, [STRAW, 4]);
    const short = -(condition.netEnergyBalanceMcalPerDay ?? NaN);
    expect(short).toBeGreaterThan(0.5);
    const lost = -(gain.energyAllowableKgPerDay ?? NaN);
    expect(lost).toBeGreaterThan(0);
    expect(
      nrc2000RetainedEnergy({
        equivalentShrunkBodyWeightKg: requirement.equivalentShrunkBodyWeightKg,
        shrunkGainKgPerDay: lost,
      }).retainedEnergyMcalPerDay,
    ).toBeCloseTo(short / 0.8, 9);
    expect(gain).toMatchObject({ expectedKgPerDay: gain.energyAllowableKgPerDay, ruledBy: 'energy' });
    expect(gain.bodyEnergyLostMcalPerDay).toBeCloseTo(short / 0.8, 9);
    expect(gain.words === null ? '' : wordsIn('us', gain.words)).toMatch(
      /^They lose [\d.]+ lb a day\. .*lose weight\.$/,
    );
  });

  test('the less they get, the more they lose; without a step where gain turns to loss', () => {
    const requirement = needs(YEARLING);
    const at = (kg: number) => {
      const outcome = evaluateRation({
        animal: YEARLING,
        requirement,
        layers: [{ role: 'mixed', lots: [{ lot: ALFALFA, asFedKgPerHeadPerDay: kg }] }],
      });
      return outcome.ok ? (outcome.value.gain.energyAllowableKgPerDay ?? NaN) : NaN;
    };
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 9, noNaN: true }),
        fc.double({ min: 0.001, max: 1, noNaN: true }),
        (kg, more) => {
          expect(at(kg + more)).toBeGreaterThan(at(kg));
        },
      ),
    );
    let before = at(1);
    for (let kg = 1.01; kg < 8; kg += 0.01) {
      const now = at(kg);
      expect(now - before).toBeLessThan(0.02);
      before = now;
    }
  });

  test('are judged on the scale that their need was worked out on: a grown bull is his own end point', () => {
    const bull: AnimalDescription = { class: 'bull', sex: 'bull', fullBodyWeightKg: 900 };
    const { gain, requirement, supply } = judged(bull, [ALFALFA, 20]);
    expect(requirement.equivalentShrunkBodyWeightKg).toBeCloseTo(478, 9);
    expect(gain.energyAllowableKgPerDay).toBeCloseTo(
      energyAllowableGain({
        equivalentShrunkBodyWeightKg: 478,
        dryMatterIntakeKgPerDay: supply.dryMatterKg,
        netEnergyMaintenanceTotalMcalPerDay: requirement.netEnergyMaintenanceTotalMcalPerDay,
        netEnergyMaintenanceMcalPerKg: supply.netEnergyMaintenanceMcalPerKg ?? NaN,
        netEnergyGainMcalPerKg: supply.netEnergyGainMcalPerKg ?? NaN,
      }).shrunkGainKgPerDay,
      9,
    );
  });

  test('gain, where there is energy for it, draws nothing from the body, and the words tell it', () => {
    const { bodyEnergyLostMcalPerDay, words } = judged(YEARLING, [ALFALFA, 8]).gain;
    expect(bodyEnergyLostMcalPerDay).toBe(0);
    expect(words === null ? '' : wordsIn('us', words)).toMatch(/^They gain [\d.]+ lb a day; /);
  });
});

describe('condition of first-calf heifers', () => {
  test('short of energy she loses a score in as many days as her reserves hold (NRC 2000)', () => {
    const { condition, requirement } = judged(FIRST_CALVER, [STRAW, 4], [MEADOW, 4]);
    expect(condition).toMatchObject({ direction: 'loss', unknownBecause: null });
    const { dietaryNetEnergyMcal } = nrc2000ReserveEnergy({
      shrunkBodyWeightKg: requirement.shrunkBodyWeightKg,
      bodyConditionScore: 5,
      targetScore: 4,
    });
    expect(condition.daysToOneScore).toBeCloseTo(
      dietaryNetEnergyMcal / (condition.netEnergyBalanceMcalPerDay ?? NaN),
      9,
    );
  });

  test('a score that takes years is no change', () => {
    // Fed within a hundredth of a megacalorie of her need: NRC 2000 has some 200 Mcal in a score.
    const need = (kg: number) => judged(DRY_COW, [MEADOW, kg]).condition;
    let [low, high] = [5, 20];
    for (let turn = 0; turn < 30; turn += 1) {
      const kg = (low + high) / 2;
      if ((need(kg).netEnergyBalanceMcalPerDay ?? 0) < 0) low = kg;
      else high = kg;
    }
    expect(need(high)).toMatchObject({ direction: 'steady', daysToOneScore: null, unknownBecause: null });
    expect(need(high * 1.3)).toMatchObject({ direction: 'gain' });
  });

  test('what she grows on is no condition: only what is left after growth', () => {
    const fed = judged(FIRST_CALVER, [ALFALFA, 14]);
    expect(fed.requirement.netEnergyGainMcalPerDay).toBeGreaterThan(0);
    expect(fed.condition.direction).toBe('gain');
    const held = judged({ ...FIRST_CALVER, targetShrunkGainKgPerDay: 0.9 }, [ALFALFA, 12]);
    expect(held.condition).toMatchObject({ direction: 'steady', daysToOneScore: null, unknownBecause: null });
    expect(judged(YEARLING, [ALFALFA, 8]).condition.unknownBecause).toBe('growing-cattle');
  });
});
