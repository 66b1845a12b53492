import fc from '../../support/properties.js';
import { energyAllowableGain } from '../../../src/core/requirements/gain.js';
import {
  nrc2000BodyFatIntakeFactor,
  nrc2000CowIntake,
  nrc2000GrowingIntake,
} from '../../../src/core/requirements/intake.js';
import { nrc2000MaintenanceEnergy } from '../../../src/core/requirements/maintenance.js';
import { nrc2000GainProteinEfficiency } from '../../../src/core/requirements/protein.js';
import type {
  AnimalDescription,
  RequirementConditions,
  RequirementSet,
  WeatherContext,
} from '../../../src/core/requirements/requirement-set.js';
import { requirementsFor } from '../../../src/core/requirements/requirements-for.js';
import { winchesterMorris1956Water } from '../../../src/core/requirements/water.js';
import { WATER_CLASSES } from '../../../src/core/requirements/water-intake.data.js';

function need(animal: AnimalDescription, conditions: RequirementConditions = { edition: 'NRC2000' }): RequirementSet {
  const answer = requirementsFor(animal, conditions);
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  return answer.value;
}

const growing = fc.record({
  class: fc.constantFrom('growing-calf' as const, 'yearling' as const, 'finishing' as const),
  sex: fc.constantFrom('steer' as const, 'heifer' as const, 'bull' as const),
  fullBodyWeightKg: fc.double({ min: 120, max: 520, noNaN: true }),
  bodyConditionScore: fc.double({ min: 3, max: 7, noNaN: true }),
});
const weather: fc.Arbitrary<WeatherContext> = fc.record({
  temperatureC: fc.double({ min: -35, max: 30, noNaN: true }),
  previousMonthTemperatureC: fc.double({ min: -20, max: 25, noNaN: true }),
  windKmPerHour: fc.double({ min: 0, max: 40, noNaN: true }),
  coat: fc.constantFrom('clean-and-dry' as const, 'some-mud-on-lower-body' as const, 'wet-and-matted' as const),
  coldMethod: fc.constantFrom('heat-balance' as const, 'rule-of-thumb' as const),
});

/**
 * Metabolizable energy that the day's need takes out of the diet: gain makes heat, so in the cold it spares some NEm.
 */
function feedEnergy(set: RequirementSet): number {
  const me = set.diet.netEnergyMaintenanceMcalPerKg / set.efficiencyOfMaintenance;
  return (
    set.netEnergyMaintenanceTotalMcalPerDay / set.efficiencyOfMaintenance +
    (set.netEnergyGainMcalPerDay * me) / set.diet.netEnergyGainMcalPerKg
  );
}

describe('properties of requirements', () => {
  it('more target gain never needs less energy, in any weather, on any diet that can carry gain', () => {
    fc.assert(
      fc.property(
        growing,
        weather,
        fc.double({ min: 50, max: 85, noNaN: true }),
        fc.double({ min: 0, max: 2, noNaN: true }),
        fc.double({ min: 0.001, max: 0.8, noNaN: true }),
        (animal, outside, tdn, gain, more) => {
          const conditions = {
            edition: 'NRC2000' as const,
            weather: outside,
            diet: { totalDigestibleNutrientsPercent: tdn },
          };
          const less = need({ ...animal, targetShrunkGainKgPerDay: gain }, conditions);
          const greater = need({ ...animal, targetShrunkGainKgPerDay: gain + more }, conditions);
          expect(greater.netEnergyGainMcalPerDay).toBeGreaterThan(less.netEnergyGainMcalPerDay);
          expect(feedEnergy(greater)).toBeGreaterThan(feedEnergy(less));
          expect(greater.netEnergyMaintenanceMcalPerDay).toBeLessThanOrEqual(
            less.netEnergyMaintenanceMcalPerDay + 1e-9,
          );
        },
      ),
    );
  });

  it('more target gain asks for a diet no poorer, as long as a diet can carry it', () => {
    fc.assert(
      fc.property(
        growing,
        fc.double({ min: 0, max: 1.2, noNaN: true }),
        fc.double({ min: 0.01, max: 0.5, noNaN: true }),
        (animal, gain, more) => {
          const less = need({ ...animal, targetShrunkGainKgPerDay: gain });
          const greater = need({ ...animal, targetShrunkGainKgPerDay: gain + more });
          fc.pre(less.diet.origin === 'solved' && greater.diet.origin === 'solved');
          expect(greater.diet.netEnergyMaintenanceMcalPerKg).toBeGreaterThanOrEqual(
            less.diet.netEnergyMaintenanceMcalPerKg - 1e-9,
          );
        },
      ),
    );
  });

  it('a solved diet feeds exactly the need: energy-allowable gain is the target', () => {
    fc.assert(
      fc.property(growing, fc.double({ min: 0.05, max: 1, noNaN: true }), (animal, targetShrunkGainKgPerDay) => {
        const set = need({ ...animal, targetShrunkGainKgPerDay });
        fc.pre(set.diet.origin === 'solved');
        const allowed = energyAllowableGain({
          equivalentShrunkBodyWeightKg: set.equivalentShrunkBodyWeightKg,
          dryMatterIntakeKgPerDay: set.dryMatterIntakeKgPerDay,
          netEnergyMaintenanceTotalMcalPerDay: set.netEnergyMaintenanceTotalMcalPerDay,
          netEnergyMaintenanceMcalPerKg: set.diet.netEnergyMaintenanceMcalPerKg,
          netEnergyGainMcalPerKg: set.diet.netEnergyGainMcalPerKg,
        });
        // Where NEg passes zero the need jumps down to what intake covers; there the diet may give more than asked.
        expect(allowed.shrunkGainKgPerDay).toBeGreaterThanOrEqual(targetShrunkGainKgPerDay - 1e-6);
        if (set.diet.netEnergyGainMcalPerKg > 0.05)
          expect(allowed.shrunkGainKgPerDay).toBeCloseTo(targetShrunkGainKgPerDay, 6);
      }),
    );
  });

  it('colder, windier or wetter never needs less', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 400, max: 750, noNaN: true }),
        weather,
        fc.double({ min: 0, max: 24, noNaN: true }),
        (fullBodyWeightKg, outside, colder) => {
          const animal: AnimalDescription = {
            class: 'dry-pregnant-cow',
            sex: 'cow',
            fullBodyWeightKg,
            daysPregnant: 200,
          };
          const on = (weatherNow: WeatherContext) =>
            need(animal, { edition: 'NRC2000', diet: { totalDigestibleNutrientsPercent: 55 }, weather: weatherNow })
              .netEnergyMaintenanceMcalPerDay;
          const base = on(outside);
          expect(on({ ...outside, temperatureC: outside.temperatureC - colder })).toBeGreaterThanOrEqual(base - 1e-9);
          expect(on({ ...outside, windKmPerHour: (outside.windKmPerHour ?? 0) + 5 })).toBeGreaterThanOrEqual(
            base - 1e-9,
          );
          expect(on({ ...outside, coat: 'wet-and-matted' })).toBeGreaterThanOrEqual(
            on({ ...outside, coat: 'clean-and-dry' }) - 1e-9,
          );
        },
      ),
    );
  });

  it('pregnancy needs grow day by day, and fade out toward conception', () => {
    const cow = (daysPregnant: number) =>
      need(
        { class: 'dry-pregnant-cow', sex: 'cow', fullBodyWeightKg: 560, daysPregnant, calfBirthWeightKg: 38 },
        { edition: 'NRC2000', diet: { totalDigestibleNutrientsPercent: 55 } },
      );
    for (let day = 2; day <= 283; day += 1) {
      expect(cow(day).netEnergyPregnancyMcalPerDay).toBeGreaterThan(cow(day - 1).netEnergyPregnancyMcalPerDay);
      expect(cow(day).metabolizableProteinGPerDay).toBeGreaterThan(cow(day - 1).metabolizableProteinGPerDay);
    }
    expect(cow(1).netEnergyPregnancyMcalPerDay).toBeLessThan(0.02);
    const open = need(
      { class: 'dry-open-cow', sex: 'cow', fullBodyWeightKg: 560 },
      { edition: 'NRC2000', diet: { totalDigestibleNutrientsPercent: 55 } },
    );
    expect(open.netEnergyMaintenanceMcalPerDay).toBe(cow(1).netEnergyMaintenanceMcalPerDay);
  });

  it('is continuous where classes and rules meet', () => {
    const step = 1e-7;
    const eff = (kg: number) => nrc2000GainProteinEfficiency({ equivalentShrunkBodyWeightKg: kg }).efficiency;
    expect(Math.abs(eff(300 + step) - eff(300))).toBeLessThan(1e-6);
    const intake = (nem: number) =>
      nrc2000GrowingIntake({ shrunkBodyWeightKg: 250, netEnergyMaintenanceMcalPerKg: nem, age: 'calf' })
        .dryMatterIntakeKgPerDay;
    expect(Math.abs(intake(0.95 + step) - intake(0.95 - step))).toBeLessThan(1e-5);
    for (const kg of [350, 400, 450, 500, 550]) {
      const factor = (weight: number) => nrc2000BodyFatIntakeFactor({ equivalentShrunkBodyWeightKg: weight }).factor;
      expect(Math.abs(factor(kg + step) - factor(kg - step))).toBeLessThan(1e-6);
    }
    const milk = (kg: number) =>
      nrc2000CowIntake({
        shrunkBodyWeightKg: 530,
        netEnergyMaintenanceMcalPerKg: 1.2,
        pregnant: false,
        milkKgPerDay: kg,
      }).dryMatterIntakeKgPerDay;
    expect(Math.abs(milk(step) - milk(0))).toBeLessThan(1e-6);
    for (const waterClass of WATER_CLASSES) {
      for (const weightKg of [182, 273, 364, 409, 454, 500, 636, 727]) {
        for (const temperatureC of [4.4, 10, 14.4, 21.1, 26.6, 32.2]) {
          const at = (kg: number, c: number) =>
            winchesterMorris1956Water({ waterClass, weightKg: kg, temperatureC: c }).waterLPerDay;
          expect(
            Math.abs(at(weightKg + step, temperatureC + step) - at(weightKg - step, temperatureC - step)),
          ).toBeLessThan(1e-4);
        }
      }
    }
    // A calf and a yearling of the same weight and gain differ by intake alone, not by what they need.
    const as = (animalClass: 'growing-calf' | 'yearling' | 'finishing') =>
      need(
        { class: animalClass, sex: 'steer', fullBodyWeightKg: 300, targetShrunkGainKgPerDay: 0.8 },
        { edition: 'NRC2000', diet: { totalDigestibleNutrientsPercent: 65 } },
      );
    for (const other of ['yearling', 'finishing'] as const) {
      expect(as(other).netEnergyMaintenanceMcalPerDay).toBe(as('growing-calf').netEnergyMaintenanceMcalPerDay);
      expect(as(other).netEnergyGainMcalPerDay).toBe(as('growing-calf').netEnergyGainMcalPerDay);
      expect(as(other).metabolizableProteinGPerDay).toBe(as('growing-calf').metabolizableProteinGPerDay);
    }
  });

  it('heavier, bull, lactating, fatter or winter-used animals need more for maintenance', () => {
    const base = { shrunkBodyWeightKg: 500, sex: 'cow' as const, lactating: false };
    const of = (more: Partial<Parameters<typeof nrc2000MaintenanceEnergy>[0]>) =>
      nrc2000MaintenanceEnergy({ ...base, ...more }).netEnergyMaintenanceMcalPerDay;
    expect(of({ shrunkBodyWeightKg: 501 })).toBeGreaterThan(of({}));
    expect(of({ sex: 'bull' }) / of({})).toBeCloseTo(1.15, 12);
    expect(of({ lactating: true }) / of({})).toBeCloseTo(1.2, 12);
    expect(of({ bodyConditionScore: 7 }) / of({})).toBeCloseTo(1.1, 12);
    expect(of({ breedType: 'bos-indicus' }) / of({})).toBeCloseTo(0.9, 12);
    // 20 °C colder for a month: 0.0007 · 20 on top of 0.077, 18 % more.
    expect(of({ previousTemperatureC: 0 }) / of({})).toBeCloseTo(1 + 0.014 / 0.077, 12);
  });
});
