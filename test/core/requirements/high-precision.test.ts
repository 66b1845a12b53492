import { Decimal as DecimalJs } from 'decimal.js';
import fc from '../../support/properties.js';
import {
  garrett1980NetEnergyGain,
  garrett1980NetEnergyMaintenance,
  metabolizableEnergyFromNetEnergyMaintenance,
  nrc2000EnergyFromTdn,
} from '../../../src/core/forage/energy-from-tdn.js';
import { dietEnergyFromNetEnergyMaintenance } from '../../../src/core/requirements/diet-energy.js';
import {
  equivalentShrunkBodyWeight,
  nrc2000RetainedEnergy,
  nrc2000ShrunkGainPublishedForm,
  shrunkGainFromRetainedEnergy,
} from '../../../src/core/requirements/gain.js';
import { nrc2000MilkYield } from '../../../src/core/requirements/lactation.js';
import { nrc2000MaintenanceEnergy } from '../../../src/core/requirements/maintenance.js';
import { nrc2000PregnancyEnergy } from '../../../src/core/requirements/pregnancy.js';
import { nrc2000GainProtein, proteinAllowableGain } from '../../../src/core/requirements/protein.js';

/** The reference library for the numerics: decimal.js at 60 digits, the equations written out a second time. */
const Precise = DecimalJs.clone({ precision: 60 });
const precise = (value: number | string) => new Precise(value);
const weight = fc.double({ min: 100, max: 700, noNaN: true });
const gain = fc.double({ min: 0.01, max: 2.5, noNaN: true });

function expectClose(value: number, reference: DecimalJs, relative: number): void {
  expect(reference.minus(value).abs().lte(reference.abs().times(relative))).toBe(true);
}

describe('numerics against 60 digits', () => {
  it('retained energy from gain, and gain back from retained energy', () => {
    fc.assert(
      fc.property(weight, gain, (equivalentShrunkBodyWeightKg, shrunkGainKgPerDay) => {
        const reference = precise('0.0635')
          .times(precise('0.891').times(equivalentShrunkBodyWeightKg).pow('0.75'))
          .times(precise('0.956').times(shrunkGainKgPerDay).pow('1.097'));
        const { retainedEnergyMcalPerDay } = nrc2000RetainedEnergy({
          equivalentShrunkBodyWeightKg,
          shrunkGainKgPerDay,
        });
        expectClose(retainedEnergyMcalPerDay, reference, 1e-14);
        const back = shrunkGainFromRetainedEnergy({
          equivalentShrunkBodyWeightKg,
          retainedEnergyMcalPerDay,
        }).shrunkGainKgPerDay;
        expectClose(back, precise(shrunkGainKgPerDay), 1e-13);
      }),
    );
  });

  it(
    'the published form of the inverse (13.91, 0.9116, −0.6837) is the exact inverse rounded: within half a per ' +
      'cent',
    () => {
      // The constants of the exact inverse: 1/0.956 · (0.0635·0.891^0.75)^(−1/1.097), 1/1.097 and −0.75/1.097.
      const power = precise(1).div('1.097');
      expect(power.toDecimalPlaces(4).toString()).toBe('0.9116');
      expect(precise('-0.75').div('1.097').toDecimalPlaces(4).toString()).toBe('-0.6837');
      const factor = precise('0.0635').times(precise('0.891').pow('0.75')).pow(power.negated()).div('0.956');
      expect(factor.minus('13.91').abs().div('13.91').lt('0.005')).toBe(true);
      fc.assert(
        fc.property(
          weight,
          fc.double({ min: 0.05, max: 12, noNaN: true }),
          (equivalentShrunkBodyWeightKg, retainedEnergyMcalPerDay) => {
            const inputs = { equivalentShrunkBodyWeightKg, retainedEnergyMcalPerDay };
            const published = nrc2000ShrunkGainPublishedForm(inputs).shrunkGainKgPerDay;
            expect(Math.abs(published / shrunkGainFromRetainedEnergy(inputs).shrunkGainKgPerDay - 1)).toBeLessThan(
              0.005,
            );
          },
        ),
      );
    },
  );

  it('the two cubics of net energy, and ME and TDN back from NEm', () => {
    fc.assert(
      fc.property(fc.double({ min: 30, max: 95, noNaN: true }), (totalDigestibleNutrientsPercent) => {
        const energy = nrc2000EnergyFromTdn({ totalDigestibleNutrientsPercent });
        const me = precise('4.409').times(totalDigestibleNutrientsPercent).div(100).times('0.82');
        expectClose(energy.metabolizableEnergyMcalPerKg, me, 1e-14);
        const nem = precise('1.37')
          .times(me)
          .minus(precise('0.138').times(me.pow(2)))
          .plus(precise('0.0105').times(me.pow(3)))
          .minus('1.12');
        const neg = precise('1.42')
          .times(me)
          .minus(precise('0.174').times(me.pow(2)))
          .plus(precise('0.0122').times(me.pow(3)))
          .minus('1.65');
        expect(nem.minus(energy.netEnergyMaintenanceMcalPerKg).abs().lt('1e-14')).toBe(true);
        expect(neg.minus(energy.netEnergyGainMcalPerKg).abs().lt('1e-14')).toBe(true);
        expect(garrett1980NetEnergyMaintenance(energy).netEnergyMaintenanceMcalPerKg).toBe(
          energy.netEnergyMaintenanceMcalPerKg,
        );
        expect(garrett1980NetEnergyGain(energy).netEnergyGainMcalPerKg).toBe(energy.netEnergyGainMcalPerKg);
        expectClose(metabolizableEnergyFromNetEnergyMaintenance(energy).metabolizableEnergyMcalPerKg, me, 1e-13);
        expectClose(
          dietEnergyFromNetEnergyMaintenance(energy).totalDigestibleNutrientsPercent,
          precise(totalDigestibleNutrientsPercent),
          1e-13,
        );
      }),
    );
  });

  it('maintenance, pregnancy and milk', () => {
    fc.assert(
      fc.property(
        weight,
        fc.integer({ min: 1, max: 283 }),
        fc.double({ min: 0.1, max: 40, noNaN: true }),
        (kg, days, week) => {
          expectClose(
            nrc2000MaintenanceEnergy({ shrunkBodyWeightKg: kg, sex: 'steer', lactating: false })
              .netEnergyMaintenanceMcalPerDay,
            precise('0.077').times(precise(kg).pow('0.75')),
            1e-14,
          );
          const pregnancy = precise('0.576')
            .times('38.5')
            .times(precise('0.4504').minus(precise('0.000766').times(days)))
            .times(precise('0.03233').minus(precise('0.0000275').times(days)).times(days).exp())
            .div(1000);
          expectClose(
            nrc2000PregnancyEnergy({ calfBirthWeightKg: 38.5, daysPregnant: days, efficiencyOfMaintenance: 0.576 })
              .netEnergyPregnancyMcalPerDay,
            pregnancy,
            1e-13,
          );
          const milk = precise(9)
            .times(week)
            .div('8.5')
            .times(precise(1).minus(precise(week).div('8.5')).exp());
          expectClose(nrc2000MilkYield({ peakMilkKgPerDay: 9, weekOfLactation: week }).milkKgPerDay, milk, 1e-13);
        },
      ),
    );
  });

  it('protein-allowable gain is the gain whose own protein need is what was offered', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 100, max: 450, noNaN: true }),
        fc.double({ min: 0.05, max: 2, noNaN: true }),
        (equivalentShrunkBodyWeightKg, shrunkGainKgPerDay) => {
          const { retainedEnergyMcalPerDay } = nrc2000RetainedEnergy({
            equivalentShrunkBodyWeightKg,
            shrunkGainKgPerDay,
          });
          const { metabolizableProteinGPerDay } = nrc2000GainProtein({
            equivalentShrunkBodyWeightKg,
            shrunkGainKgPerDay,
            retainedEnergyMcalPerDay,
          });
          const allowed = proteinAllowableGain({
            equivalentShrunkBodyWeightKg,
            metabolizableProteinForGainGPerDay: metabolizableProteinGPerDay,
          });
          expect(allowed.shrunkGainKgPerDay).toBeCloseTo(shrunkGainKgPerDay, 9);
        },
      ),
    );
    expect(
      proteinAllowableGain({ equivalentShrunkBodyWeightKg: 250, metabolizableProteinForGainGPerDay: -40 })
        .shrunkGainKgPerDay,
    ).toBe(0);
  });

  it('scales a weight to the reference animal and leaves the reference animal itself alone', () => {
    expect(
      equivalentShrunkBodyWeight({
        shrunkBodyWeightKg: 300,
        finalShrunkBodyWeightKg: 478,
        standardReferenceWeightKg: 478,
      }).equivalentShrunkBodyWeightKg,
    ).toBeCloseTo(300, 12);
    expect(() => nrc2000RetainedEnergy({ equivalentShrunkBodyWeightKg: 300, shrunkGainKgPerDay: -0.1 })).toThrow(
      RangeError,
    );
    expect(() =>
      shrunkGainFromRetainedEnergy({ equivalentShrunkBodyWeightKg: 300, retainedEnergyMcalPerDay: -1 }),
    ).toThrow(RangeError);
  });
});
