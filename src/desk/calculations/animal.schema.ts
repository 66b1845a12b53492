import { wordsIn } from '../../core/units/wording.js';
import { systemOf } from '../../core/units/unit.js';
import { z } from 'zod';
import { byCode, MINERALS } from '../../core/nutrients/nutrients.js';
import {
  ANIMAL_CLASSES,
  ANIMAL_SEXES,
  type AnimalDescription,
  BREED_TYPES,
  COAT_CONDITIONS,
  COLD_METHODS,
  FINISH_END_POINTS,
  HIDE_THICKNESSES,
  REQUIREMENT_EDITIONS,
  type RequirementConditions,
  type RequirementSet,
  TERRAINS,
} from '../../core/requirements/requirement-set.js';
import type { UnitSystem } from '../../platform/wire/quantity.schema.js';
import {
  energyIn,
  figure,
  figureOut,
  gainIn,
  kilograms,
  lengthIn,
  massIn,
  percent,
  present,
  type Spelling,
  temperatureIn,
  temperatureOut,
  tidy,
  toCelsius,
  toKgPerDay,
  toKmPerHour,
  toMcalPerKg,
  toMeters,
  windIn,
  formatTemperature,
} from './quantities.js';

/**
 * One animal, or the mean animal of a herd, as the nutritionist describes it. Fields left out take the stated default,
 * and the answer says so.
 */
export const animalIn = z
  .strictObject({
    class: z.enum(ANIMAL_CLASSES).describe('Class of cattle, for the requirement equations'),
    sex: z.enum(ANIMAL_SEXES).describe('Sex of the cattle, for the requirement equations'),
    bodyWeight: massIn.describe('Live weight, gut full; shrunk weight is 0.96 of it'),
    weighedWithCalf: z
      .boolean()
      .optional()
      .describe('Pregnant heifers: the weight is as the scale shows it, calf and fluids in it; true if absent'),
    matureWeight: massIn.optional().describe('Full weight when mature'),
    finalShrunkWeight: massIn.optional().describe('Growing cattle: shrunk weight at the finish end point'),
    finishEndPoint: z.enum(FINISH_END_POINTS).optional().describe('Fatness at which the cattle are finished'),
    bodyCondition: z.number().min(1).max(9).optional().describe('Body condition score, 1 (emaciated) to 9 (obese)'),
    breedType: z.enum(BREED_TYPES).optional().describe('Breed type, as far as it changes the requirements'),
    targetDailyGain: gainIn(
      'Target gain, in shrunk weight (if absent, heifers for breeding are brought to target weights, others held)',
    ).optional(),
    ageMonths: z.number().min(0).max(360).optional().describe('Age of the cattle in months'),
    daysPregnant: z.number().min(0).max(300).optional().describe('Days since conception'),
    daysToBreeding: z
      .number()
      .min(0)
      .max(1000)
      .optional()
      .describe('Open heifers: days until they are first bred; their growth is counted toward it'),
    calfBirthWeight: massIn.optional().describe('Expected birth weight of the calf'),
    daysInMilk: z.number().min(0).max(600).optional().describe('Days since calving'),
    peakMilk: massIn.optional().describe('Milk per day at the peak'),
    milk: massIn.optional().describe('Milk on the day, if measured'),
    milkFatPercent: percent('Milk fat').optional(),
    milkSolidsNotFatPercent: percent('Milk solids not fat').optional(),
    milkProteinPercent: percent('Milk protein').optional(),
    ionophore: z.boolean().optional().describe('True if it gets an ionophore'),
    implanted: z.boolean().optional().describe('Growing cattle: true if it has an implant'),
  })
  .meta({ id: 'AnimalInput', description: 'One animal, or the mean animal of a herd' });

const dietIn = z
  .strictObject({
    netEnergyMaintenance: energyIn('Net energy for maintenance (NEm)').optional(),
    netEnergyGain: energyIn('Net energy for gain (NEg)').optional(),
    metabolizableEnergy: energyIn('Metabolizable energy (ME)').optional(),
    totalDigestibleNutrientsPercent: percent('TDN, of dry matter').optional(),
    neutralDetergentFiberPercent: percent('NDF, of dry matter').optional(),
    crudeProteinPercent: percent('Crude protein, of dry matter').optional(),
    fatPercent: percent('Fat, of dry matter').optional(),
    foragePercent: percent('Forage, of dry matter').optional(),
  })
  .meta({
    id: 'DietInput',
    description:
      'The diet that the requirement is worked out for; without an energy value, the poorest diet that covers the ' +
      'requirement is solved for',
  });

export const weatherIn = z
  .strictObject({
    temperature: temperatureIn.describe('Mean air temperature now'),
    previousMonthTemperature: temperatureIn
      .optional()
      .describe('Mean air temperature of the month before, which the cattle are used to'),
    wind: windIn.optional(),
    coat: z
      .enum(COAT_CONDITIONS)
      .optional()
      .describe('State of the coat: it decides how much cold the cattle can take'),
    hairDepth: lengthIn('Depth of hair').optional(),
    hide: z
      .enum(HIDE_THICKNESSES)
      .optional()
      .describe('Thickness of the hide: it decides how much cold the cattle can take'),
    coldMethod: z
      .enum(COLD_METHODS)
      .optional()
      .describe('How the cost of cold is worked out: heat balance of the edition, or the rule of thumb'),
    mudDepth: lengthIn('Depth of mud').optional(),
    panting: z
      .enum(['none', 'rapid-shallow', 'open-mouth'])
      .optional()
      .describe('Panting seen; heat stress is judged by it'),
  })
  .meta({ id: 'WeatherInput', description: "The weather and how well the cattle's coats protect them" });

const activityIn = z.strictObject({
  grazing: z.boolean().describe('True if it grazes or walks for its feed'),
  terrain: z.enum(TERRAINS).optional().describe('Terrain that the cattle walk, level or hilly'),
  availableForageTonnesPerHectare: z
    .number()
    .min(0)
    .max(50)
    .optional()
    .describe('Standing forage, t of dry matter per ha'),
  pastureDigestibilityPercent: percent('Digestibility of the pasture').optional(),
  pastureIntake: massIn.optional().describe('Dry matter grazed per day'),
  flatWalkingKmPerDay: z.number().min(0).max(50).optional().describe('Walking on the level, km per day'),
  slopedWalkingKmPerDay: z.number().min(0).max(50).optional().describe('Walking on slopes, km per day'),
  hoursStandingPerDay: z.number().min(0).max(24).optional().describe('Hours spent standing per day'),
  positionChangesPerDay: z.number().min(0).max(100).optional().describe('Changes of position per day'),
});

const edition = z.enum(REQUIREMENT_EDITIONS).meta({
  id: 'RequirementEdition',
  description: 'Published requirement system: NRC 2000 update, or NASEM 2016 where it differs',
});
export const editionIn = edition.default('NRC2000').describe('Published requirement system; NRC2000 if left out');
export const conditionsIn = {
  edition: editionIn,
  diet: dietIn.optional(),
  weather: weatherIn.optional(),
  activity: activityIn.optional(),
};

const orNot = <Given, Made>(given: Given | undefined, make: (value: Given) => Made): Made | undefined =>
  given === undefined ? undefined : make(given);

export function toAnimal(given: z.output<typeof animalIn>): AnimalDescription {
  return {
    class: given.class,
    sex: given.sex,
    fullBodyWeightKg: kilograms(given.bodyWeight),
    weighedWithCalf: given.weighedWithCalf ?? true,
    ...present({
      matureFullBodyWeightKg: orNot(given.matureWeight, kilograms),
      finalShrunkBodyWeightKg: orNot(given.finalShrunkWeight, kilograms),
      finishEndPoint: given.finishEndPoint,
      bodyConditionScore: given.bodyCondition,
      breedType: given.breedType,
      targetShrunkGainKgPerDay: orNot(given.targetDailyGain, toKgPerDay),
      ageMonths: given.ageMonths,
      daysPregnant: given.daysPregnant,
      daysToBreeding: given.daysToBreeding,
      calfBirthWeightKg: orNot(given.calfBirthWeight, kilograms),
      daysInMilk: given.daysInMilk,
      peakMilkKgPerDay: orNot(given.peakMilk, kilograms),
      milkKgPerDay: orNot(given.milk, kilograms),
      milkFatPercent: given.milkFatPercent,
      milkSolidsNotFatPercent: given.milkSolidsNotFatPercent,
      milkProteinPercent: given.milkProteinPercent,
      ionophore: given.ionophore,
      implanted: given.implanted,
    }),
  };
}

type ConditionsIn = {
  edition: z.output<typeof editionIn>;
  diet?: z.output<typeof dietIn> | undefined;
  weather?: z.output<typeof weatherIn> | undefined;
  activity?: z.output<typeof activityIn> | undefined;
};
const CM = 100;
export function toConditions({ edition, diet, weather, activity }: ConditionsIn): RequirementConditions {
  return {
    edition,
    ...present({
      diet: orNot(diet, (given) =>
        present({
          netEnergyMaintenanceMcalPerKg: orNot(given.netEnergyMaintenance, toMcalPerKg),
          netEnergyGainMcalPerKg: orNot(given.netEnergyGain, toMcalPerKg),
          metabolizableEnergyMcalPerKg: orNot(given.metabolizableEnergy, toMcalPerKg),
          totalDigestibleNutrientsPercent: given.totalDigestibleNutrientsPercent,
          neutralDetergentFiberPercent: given.neutralDetergentFiberPercent,
          crudeProteinPercent: given.crudeProteinPercent,
          fatPercent: given.fatPercent,
          forageShare: orNot(given.foragePercent, (value) => value / 100),
        }),
      ),
      weather: orNot(weather, toWeather),
      activity: orNot(activity, ({ pastureDigestibilityPercent, pastureIntake, ...rest }) => ({
        ...present(rest),
        grazing: rest.grazing,
        ...present({
          pastureDigestibility: orNot(pastureDigestibilityPercent, (value) => value / 100),
          pastureIntakeKgPerDay: orNot(pastureIntake, kilograms),
        }),
      })),
    }),
  };
}
function toWeather(given: z.output<typeof weatherIn>) {
  return {
    temperatureC: toCelsius(given.temperature),
    ...present({
      previousMonthTemperatureC: orNot(given.previousMonthTemperature, toCelsius),
      windKmPerHour: orNot(given.wind, toKmPerHour),
      coat: given.coat,
      hairDepthCm: orNot(given.hairDepth, (length) => toMeters(length) * CM),
      hide: given.hide,
      coldMethod: given.coldMethod,
      mudDepthCm: orNot(given.mudDepth, (length) => toMeters(length) * CM),
      panting: given.panting,
    }),
  };
}

/** The body's names for the core's fields. */
const ANIMAL_FIELDS: Readonly<Record<string, string>> = {
  fullBodyWeightKg: 'bodyWeight/value',
  matureFullBodyWeightKg: 'matureWeight/value',
  finalShrunkBodyWeightKg: 'finalShrunkWeight/value',
  bodyConditionScore: 'bodyCondition',
  targetShrunkGainKgPerDay: 'targetDailyGain/value',
  calfBirthWeightKg: 'calfBirthWeight/value',
  peakMilkKgPerDay: 'peakMilk/value',
  milkKgPerDay: 'milk/value',
};
const CONDITION_FIELDS: Readonly<Record<string, string>> = {
  'diet.netEnergyMaintenanceMcalPerKg': 'diet/netEnergyMaintenance/value',
  'diet.netEnergyGainMcalPerKg': 'diet/netEnergyGain/value',
  'diet.metabolizableEnergyMcalPerKg': 'diet/metabolizableEnergy/value',
  'diet.forageShare': 'diet/foragePercent',
  'weather.temperatureC': 'weather/temperature/value',
  'weather.previousMonthTemperatureC': 'weather/previousMonthTemperature/value',
  'weather.windKmPerHour': 'weather/wind/value',
  'weather.hairDepthCm': 'weather/hairDepth/value',
  'weather.mudDepthCm': 'weather/mudDepth/value',
  'activity.pastureDigestibility': 'activity/pastureDigestibilityPercent',
  'activity.pastureIntakeKgPerDay': 'activity/pastureIntake/value',
};
export const spelledAnimal: Spelling = (field) =>
  field.includes('.')
    ? (CONDITION_FIELDS[field] ?? field.replaceAll('.', '/'))
    : `animal/${ANIMAL_FIELDS[field] ?? field}`;

export const unitsOf = (animal: z.output<typeof animalIn>, asked: UnitSystem | undefined): UnitSystem =>
  asked ?? systemOf(animal.bodyWeight.unit);

const stepOut = z.object({
  name: z.string().describe('Name of the step or figure'),
  value: z.number().describe('The figure, in the unit beside it'),
  unit: z.string().describe('Unit of the figure, as in the equations'),
  source: z.string().describe('Where the equation comes from'),
});
const noteOut = z
  .object({
    code: z.string().describe('Code that stays the same between releases'),
    message: z.string().describe('The note in a sentence'),
    source: z.string().describe('Where it comes from'),
  })
  .describe('A default that was used, a limit that was reached or a doubt');

export const requirementOut = z
  .object({
    edition: edition.describe('Published requirement system that was used'),
    shrunkWeight: figureOut,
    dryMatterIntake: figureOut.describe('Dry matter intake predicted from the diet'),
    netEnergyMaintenance: figureOut.describe('Net energy for maintenance, including activity and weather'),
    netEnergyGain: figureOut,
    netEnergyPregnancy: figureOut,
    netEnergyLactation: figureOut,
    netEnergyMaintenanceTotal: figureOut.describe('Net energy for maintenance, pregnancy and milk together'),
    milk: figureOut,
    dailyGain: figureOut,
    metabolizableProtein: figureOut,
    metabolizableProteinParts: z.object({
      maintenance: figureOut,
      gain: figureOut,
      pregnancy: figureOut,
      lactation: figureOut,
    }),
    crudeProtein: figureOut.describe('Crude protein, approximated as MP/0.67'),
    crudeProteinPercent: z.number().describe('Crude protein, % of dry matter'),
    rumenDegradableProtein: figureOut,
    ...byCode(MINERALS, () => figureOut),
    water: figureOut,
    diet: z.object({
      origin: z
        .enum(['given', 'solved', 'closest'])
        .describe(
          'given: the diet of the request; solved: the poorest diet that covers the need; closest: no diet ' +
            'covers it at the predicted intake',
        ),
      netEnergyMaintenance: figureOut,
      netEnergyGain: figureOut,
      totalDigestibleNutrientsPercent: z.number().describe('TDN, % of dry matter'),
      totalDigestibleNutrients: figureOut,
    }),
    efficiencyOfMaintenance: z.number().describe('Efficiency of maintenance km: NEm over ME, 0 to 1'),
    coldMethod: z.string().describe('How the cost of cold was worked out; none where no weather was given'),
    lowerCriticalTemperature: temperatureOut.nullable(),
    working: z
      .record(z.string(), z.array(stepOut))
      .describe("The working, family by family, in the equations' own units"),
    notes: z.array(noteOut),
  })
  .meta({
    id: 'CalculatedRequirementSet',
    description: 'What one animal needs in a day; an aid to a licensed nutritionist, not a substitute',
  });

export function requirementAnswer(set: RequirementSet, system: UnitSystem): z.input<typeof requirementOut> {
  const energy = (value: number) => figure(value, 'Mcal/d', system);
  const grams = (value: number) => figure(value, 'g/d', system);
  const kg = (value: number) => figure(value, 'kg/d', system);
  const parts = set.metabolizableProteinParts;
  return {
    edition: set.edition,
    shrunkWeight: figure(set.shrunkBodyWeightKg, 'kg', system),
    dryMatterIntake: kg(set.dryMatterIntakeKgPerDay),
    netEnergyMaintenance: energy(set.netEnergyMaintenanceMcalPerDay),
    netEnergyGain: energy(set.netEnergyGainMcalPerDay),
    netEnergyPregnancy: energy(set.netEnergyPregnancyMcalPerDay),
    netEnergyLactation: energy(set.netEnergyLactationMcalPerDay),
    netEnergyMaintenanceTotal: energy(set.netEnergyMaintenanceTotalMcalPerDay),
    milk: kg(set.milkKgPerDay),
    dailyGain: kg(set.shrunkGainKgPerDay),
    metabolizableProtein: grams(set.metabolizableProteinGPerDay),
    metabolizableProteinParts: {
      maintenance: grams(parts.maintenanceGPerDay),
      gain: grams(parts.gainGPerDay),
      pregnancy: grams(parts.pregnancyGPerDay),
      lactation: grams(parts.lactationGPerDay),
    },
    crudeProtein: grams(set.crudeProteinGPerDay),
    crudeProteinPercent: tidy(set.crudeProteinGPerDay / set.dryMatterIntakeKgPerDay / 10),
    rumenDegradableProtein: grams(set.rumenDegradableProteinGPerDay),
    ...byCode(MINERALS, (mineral) => grams(set.minerals[mineral])),
    water: figure(set.waterLPerDay, 'L/d', system),
    diet: {
      origin: set.diet.origin,
      netEnergyMaintenance: figure(set.diet.netEnergyMaintenanceMcalPerKg, 'Mcal/kg', system),
      netEnergyGain: figure(set.diet.netEnergyGainMcalPerKg, 'Mcal/kg', system),
      totalDigestibleNutrientsPercent: tidy(set.diet.totalDigestibleNutrientsPercent),
      totalDigestibleNutrients: kg((set.dryMatterIntakeKgPerDay * set.diet.totalDigestibleNutrientsPercent) / 100),
    },
    efficiencyOfMaintenance: tidy(set.efficiencyOfMaintenance),
    coldMethod: set.coldMethod,
    lowerCriticalTemperature:
      set.lowerCriticalTemperatureC === null
        ? null
        : formatTemperature(set.lowerCriticalTemperatureC, system === 'us' ? 'F' : 'C'),
    working: Object.fromEntries(
      Object.entries(set.parts).map(([family, steps]) => [
        family,
        steps.map((step) => ({ name: step.name, value: tidy(step.value), unit: step.unit, source: step.source })),
      ]),
    ),
    notes: set.notes.map(({ code, message, source }) => ({ code, message: wordsIn(system, message), source })),
  };
}
