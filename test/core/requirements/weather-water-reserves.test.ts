import {
  amesInsley1975EffectiveTemperature,
  celsiusFromFahrenheit,
  coatDescription,
  coldRuleOfThumb,
  fahrenheitFromCelsius,
  nrc2000ColdStress,
  nrc2000ExternalInsulation,
  nrc2000TissueInsulation,
} from '../../../src/core/requirements/cold.js';
import {
  WIND_CHILL_SPEEDS_MPH,
  WIND_CHILL_TABLE_F,
  WIND_CHILL_TEMPERATURES_F,
  LOWER_CRITICAL_TEMPERATURES_F,
} from '../../../src/core/requirements/wind-chill.data.js';
import {
  daysToChangeOneScore,
  nrc2000BodyEnergy,
  nrc2000ReserveEnergy,
  nrc2000WeightAtCondition,
} from '../../../src/core/requirements/body-condition.js';
import { requirementsFor } from '../../../src/core/requirements/requirements-for.js';
import {
  waterForSalt,
  waterFromDryMatter,
  waterNeeded,
  winchesterMorris1956Water,
} from '../../../src/core/requirements/water.js';
import { foxTylutki1998ActivityEnergy } from '../../../src/core/requirements/activity.js';
import { bacterialProtein, metabolizableProteinSupply } from '../../../src/core/requirements/protein.js';
import { nrc2000ConceptusWeight } from '../../../src/core/requirements/pregnancy.js';

describe('wind chill of cattle', () => {
  it('meets every cell of the table and lies between them', () => {
    WIND_CHILL_SPEEDS_MPH.forEach((windMph, row) => {
      WIND_CHILL_TEMPERATURES_F.forEach((temperatureF, column) => {
        expect(amesInsley1975EffectiveTemperature({ temperatureF, windMph }).effectiveTemperatureF).toBeCloseTo(
          WIND_CHILL_TABLE_F[row]?.[column] ?? NaN,
          9,
        );
      });
    });
    const between = amesInsley1975EffectiveTemperature({ temperatureF: 12.5, windMph: 7.5 }).effectiveTemperatureF;
    expect(between).toBeGreaterThan(-1);
    expect(between).toBeLessThan(8);
  });

  it('is level with the air when calm, goes on below the table, and says when the wind is beyond it', () => {
    expect(amesInsley1975EffectiveTemperature({ temperatureF: -30, windMph: 0 }).effectiveTemperatureF).toBeCloseTo(
      -30,
      9,
    );
    expect(amesInsley1975EffectiveTemperature({ temperatureF: 20, windMph: 60 })).toEqual({
      effectiveTemperatureF: -48,
      windBeyondTable: true,
      temperatureBeyondTable: false,
    });
    expect(amesInsley1975EffectiveTemperature({ temperatureF: 50.5, windMph: 40 })).toMatchObject({
      windBeyondTable: false,
      temperatureBeyondTable: true,
    });
    expect(() => amesInsley1975EffectiveTemperature({ temperatureF: 20, windMph: -1 })).toThrow(RangeError);
  });

  it('turns temperatures both ways', () => {
    for (const fahrenheit of [-40, 0, 18, 32, 59, 98.6]) {
      expect(fahrenheitFromCelsius(celsiusFromFahrenheit({ fahrenheit })).fahrenheit).toBeCloseTo(fahrenheit, 10);
    }
    expect(celsiusFromFahrenheit({ fahrenheit: -40 }).celsius).toBeCloseTo(-40, 12);
  });
});

describe('cold stress', () => {
  it('follows the guide that is chosen: Oklahoma doubles a wet coat', () => {
    expect(coldRuleOfThumb({ effectiveTemperatureF: 39, coat: 'wet-or-summer' }).extraPercent).toBe(20);
    expect(
      coldRuleOfThumb({ effectiveTemperatureF: 39, coat: 'wet-or-summer', rule: 'two-per-cent-when-wet' }),
    ).toMatchObject({ extraPercent: 40, source: 'Oklahoma State University Extension' });
    expect(coldRuleOfThumb({ effectiveTemperatureF: 60, coat: 'wet-or-summer' }).extraPercent).toBe(0);
  });

  it('keeps the published lower critical temperatures: 59, 45, 32, 18 °F (South Dakota State, after Ames)', () => {
    expect(LOWER_CRITICAL_TEMPERATURES_F.map((row) => row.temperatureF)).toEqual([59, 45, 32, 18]);
    expect(coatDescription({ coat: 'wet-and-matted', hairDepthCm: 3 }).coat).toBe('wet-or-summer');
    expect(
      [0.5, 0.8, 1.5, 2.5].map((hairDepthCm) => coatDescription({ coat: 'clean-and-dry', hairDepthCm }).coat),
    ).toEqual(['wet-or-summer', 'dry-autumn', 'dry-winter', 'dry-heavy-winter']);
  });

  it('computes insulation of a mature cow in score 5 as NRC does: 9.0 in tissue, and outside by wind and hair', () => {
    expect(nrc2000TissueInsulation({ ageMonths: 60, bodyConditionScore: 5 }).tissueInsulation).toBe(9);
    expect(nrc2000TissueInsulation({ ageMonths: 0.5, bodyConditionScore: 5 }).tissueInsulation).toBe(2.5);
    expect(nrc2000TissueInsulation({ ageMonths: 3, bodyConditionScore: 5 }).tissueInsulation).toBe(6.5);
    expect(nrc2000TissueInsulation({ ageMonths: 9, bodyConditionScore: 5 }).tissueInsulation).toBeCloseTo(6.75, 12);
    const outside = (coat: 'clean-and-dry' | 'covered-with-wet-snow-or-mud') =>
      nrc2000ExternalInsulation({ windKmPerHour: 10, hairDepthCm: 2, coat, hide: 'average' }).externalInsulation;
    expect(outside('clean-and-dry')).toBeCloseTo(7.36 - 2.96 + 5.1, 12);
    expect(outside('covered-with-wet-snow-or-mud')).toBeCloseTo(0.2 * 9.5, 12);
    expect(
      nrc2000ExternalInsulation({ windKmPerHour: 100, hairDepthCm: 1, coat: 'clean-and-dry', hide: 'thin' })
        .externalInsulation,
    ).toBe(0);
  });

  it('costs nothing at the lower critical temperature and the loss through the coat below it', () => {
    const at = (temperatureC: number) =>
      nrc2000ColdStress({
        shrunkBodyWeightKg: 540,
        heatProductionMcalPerDay: 15,
        temperatureC,
        windKmPerHour: 5,
        hairDepthCm: 1.5,
        coat: 'clean-and-dry',
        hide: 'average',
        ageMonths: 60,
        bodyConditionScore: 5,
        efficiencyOfMaintenance: 0.57,
      });
    const { lowerCriticalTemperatureC, surfaceM2, tissueInsulation, externalInsulation } = at(20);
    expect(at(lowerCriticalTemperatureC).netEnergyColdMcalPerDay).toBe(0);
    const tenBelow = at(lowerCriticalTemperatureC - 10);
    expect(tenBelow.metabolizableEnergyColdMcalPerDay).toBeCloseTo(
      (10 * surfaceM2) / (tissueInsulation + externalInsulation),
      9,
    );
    expect(tenBelow.netEnergyColdMcalPerDay).toBeCloseTo(0.57 * tenBelow.metabolizableEnergyColdMcalPerDay, 12);
  });
});

describe('water', () => {
  // Oklahoma State University Extension, ANSI-3008, Limiting feed intake with salt: mature cattle need less than 1 oz
  // of salt a day, and drink about 5 gallons more for each pound of salt.
  it('rises by 5 gallons for each pound of salt beyond the ounce that cattle need', () => {
    const sodiumOf = (saltOz: number) => saltOz * 28.349523125 * (22.99 / 58.44);
    const gallons = (saltOz: number) => waterForSalt({ sodiumGPerDay: sodiumOf(saltOz) }).waterLPerDay / 3.785411784;
    expect(gallons(0)).toBe(0);
    expect(gallons(1)).toBeCloseTo(0, 6);
    expect(gallons(17)).toBeCloseTo(5, 2);
    const need = (sodiumGPerDay?: number) => {
      const answer = requirementsFor(
        { class: 'dry-pregnant-cow', sex: 'cow', fullBodyWeightKg: 545, daysPregnant: 150 },
        {
          edition: 'NRC2000',
          diet: { totalDigestibleNutrientsPercent: 54, ...(sodiumGPerDay === undefined ? {} : { sodiumGPerDay }) },
        },
      );
      if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
      return answer.value;
    };
    expect((need(sodiumOf(17)).waterLPerDay - need().waterLPerDay) / 3.785411784).toBeCloseTo(5, 2);
    expect(need(sodiumOf(17)).notes.map(({ code }) => code)).toContain('water-for-salt');
    expect(need(sodiumOf(1)).waterLPerDay).toBeCloseTo(need().waterLPerDay, 6);
    expect(need(sodiumOf(1)).notes.map(({ code }) => code)).not.toContain('water-for-salt');
  });

  it('gives the larger of the table and the dry matter eaten, and says where the table ends', () => {
    const cow = waterNeeded({
      waterClass: 'lactating-cow',
      weightKg: 640,
      temperatureC: 10,
      dryMatterIntakeKgPerDay: 13,
      milkKgPerDay: 9,
    });
    expect(cow.waterLPerDay).toBe(Math.max(cow.tabulatedLPerDay, cow.fromDryMatterLPerDay));
    expect(cow.fromDryMatterLPerDay).toBeCloseTo(3.6 * 13 + 0.87 * 9, 9);
    expect(cow.beyondTable).toEqual(['weight']);
    expect(winchesterMorris1956Water({ waterClass: 'growing', weightKg: 273, temperatureC: -15 }).beyondTable).toEqual([
      'temperature',
    ]);
    expect(winchesterMorris1956Water({ waterClass: 'growing', weightKg: 273, temperatureC: 21.1 })).toEqual({
      waterLPerDay: 29.5,
      beyondTable: [],
    });
    expect(
      waterFromDryMatter({ dryMatterIntakeKgPerDay: 10, milkKgPerDay: 0, temperatureC: -30 }).litersPerKgDryMatter,
    ).toBe(3.5);
  });
});

describe('body reserves', () => {
  it('moves 75 to 100 lb per score (South Dakota State) on cows of 1100 to 1300 lb, and back', () => {
    for (const weight of [1100, 1200, 1300]) {
      const { shrunkBodyWeightKg } = nrc2000WeightAtCondition({
        shrunkBodyWeightKg: weight,
        bodyConditionScore: 5,
        targetScore: 4,
      });
      expect(weight - shrunkBodyWeightKg).toBeGreaterThan(75);
      expect(weight - shrunkBodyWeightKg).toBeLessThan(100);
      expect(
        nrc2000WeightAtCondition({ shrunkBodyWeightKg, bodyConditionScore: 4, targetScore: 5 }).shrunkBodyWeightKg,
      ).toBeCloseTo(weight, 9);
    }
    expect(() => nrc2000BodyEnergy({ shrunkBodyWeightKg: 500, bodyConditionScore: 0 })).toThrow(RangeError);
  });

  it(
    'takes 69 days from score 4 to 5 on 5 lb of alfalfa hay above maintenance (University of Nebraska: 1100 lb ' +
      'cow, 0.60 Mcal/lb)',
    () => {
      const atScore4 = nrc2000WeightAtCondition({
        shrunkBodyWeightKg: 1100 * 0.45359237,
        bodyConditionScore: 5,
        targetScore: 4,
      });
      const { days } = daysToChangeOneScore({ ...atScore4, bodyConditionScore: 4, netEnergyBalanceMcalPerDay: 3 });
      expect(Math.round(days ?? 0)).toBe(69);
    },
  );

  it('adds up over scores, counts loss at 0.8, and turns a balance into days', () => {
    const up = nrc2000ReserveEnergy({ shrunkBodyWeightKg: 500, bodyConditionScore: 5, targetScore: 6 });
    const further = nrc2000ReserveEnergy({
      shrunkBodyWeightKg: 500 + up.weightChangeKg,
      bodyConditionScore: 6,
      targetScore: 7,
    });
    const both = nrc2000ReserveEnergy({ shrunkBodyWeightKg: 500, bodyConditionScore: 5, targetScore: 7 });
    expect(up.energyMcal + further.energyMcal).toBeCloseTo(both.energyMcal, 9);
    const down = nrc2000ReserveEnergy({ shrunkBodyWeightKg: 500, bodyConditionScore: 5, targetScore: 4 });
    expect(down.dietaryNetEnergyMcal).toBeCloseTo(0.8 * down.energyMcal, 12);
    const days = daysToChangeOneScore({
      shrunkBodyWeightKg: 500,
      bodyConditionScore: 5,
      netEnergyBalanceMcalPerDay: 2,
    });
    expect(days).toMatchObject({ direction: 'gain' });
    expect((days.days ?? 0) * 2).toBeCloseTo(up.energyMcal, 9);
    expect(
      daysToChangeOneScore({ shrunkBodyWeightKg: 500, bodyConditionScore: 5, netEnergyBalanceMcalPerDay: -2 }).days,
    ).toBeCloseTo(-down.dietaryNetEnergyMcal / 2, 9);
    expect(
      daysToChangeOneScore({ shrunkBodyWeightKg: 500, bodyConditionScore: 5, netEnergyBalanceMcalPerDay: 0 }).days,
    ).toBeNull();
    expect(
      daysToChangeOneScore({ shrunkBodyWeightKg: 500, bodyConditionScore: 9, netEnergyBalanceMcalPerDay: 1 }).days,
    ).toBeNull();
  });
});

describe('other families', () => {
  it('lets a short supply of degradable protein limit the microbes', () => {
    const free = bacterialProtein({
      edition: 'NRC2000',
      dryMatterIntakeKgPerDay: 10,
      totalDigestibleNutrientsPercent: 55,
    });
    expect(free).toMatchObject({ limitedBy: 'energy', equation: 'nrc2000' });
    expect(free.bacterialProteinGPerDay).toBeCloseTo(715, 9);
    const short = bacterialProtein({
      edition: 'NRC2000',
      dryMatterIntakeKgPerDay: 10,
      totalDigestibleNutrientsPercent: 55,
      degradableProteinSupplyGPerDay: 400,
    });
    expect(short).toMatchObject({ bacterialProteinGPerDay: 400, limitedBy: 'degradable-protein' });
    expect(
      metabolizableProteinSupply({ bacterialProteinGPerDay: 400, undegradedProteinGPerDay: 100 })
        .metabolizableProteinGPerDay,
    ).toBeCloseTo(336, 9);
    const grain = bacterialProtein({
      edition: 'NRC2000',
      dryMatterIntakeKgPerDay: 10,
      totalDigestibleNutrientsPercent: 85,
      effectiveFiberPercent: 10,
    });
    expect(grain.energyAllowedGPerDay).toBeCloseTo(0.13 * 8500 * 0.78, 9);
  });

  it('gains the weight of the gravid uterus that its gain adds up to', () => {
    let sum = nrc2000ConceptusWeight({ calfBirthWeightKg: 40, daysPregnant: 100 }).conceptusWeightKg;
    for (let slice = 0; slice < 18_000; slice += 1)
      sum +=
        nrc2000ConceptusWeight({ calfBirthWeightKg: 40, daysPregnant: 100 + slice / 100 + 0.005 })
          .conceptusGainKgPerDay / 100;
    expect(sum).toBeCloseTo(nrc2000ConceptusWeight({ calfBirthWeightKg: 40, daysPregnant: 280 }).conceptusWeightKg, 2);
    // Calf, membranes and fluids weigh about 1.7 times the calf at term (University of Nebraska, using body condition
    // score).
    const atTerm = nrc2000ConceptusWeight({ calfBirthWeightKg: 40, daysPregnant: 283 }).conceptusWeightKg / 40;
    expect(atTerm).toBeGreaterThan(1.55);
    expect(atTerm).toBeLessThan(1.8);
  });

  it('charges walking uphill ten times level walking (Fox & Tylutki 1998)', () => {
    const of = (flatWalkingKmPerDay: number, slopedWalkingKmPerDay: number) =>
      foxTylutki1998ActivityEnergy({
        fullBodyWeightKg: 600,
        hoursStandingPerDay: 0,
        positionChangesPerDay: 0,
        flatWalkingKmPerDay,
        slopedWalkingKmPerDay,
      }).netEnergyActivityMcalPerDay;
    expect(of(1, 0)).toBeCloseTo(0.621 * 0.6, 12);
    expect(of(0, 1) / of(1, 0)).toBeCloseTo(6.69 / 0.621, 12);
  });
});
