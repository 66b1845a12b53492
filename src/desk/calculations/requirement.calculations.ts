import { convert, systemOf } from '../../core/units/unit.js';
import { z } from 'zod';
import { NUTRIENTS } from '../../core/nutrients/nutrients.data.js';
import { byCode, MINERALS_BY_SHARE, MINERALS_BY_USE, NUTRIENTS_OF_DRY_MATTER } from '../../core/nutrients/nutrients.js';
import { csiro1990GrazingEnergy, foxTylutki1998ActivityEnergy } from '../../core/requirements/activity.js';
import {
  daysToChangeOneScore,
  nrc2000BodyComposition,
  nrc2000ReserveEnergy,
  nrc2000WeightAtCondition,
} from '../../core/requirements/body-condition.js';
import {
  amesInsley1975EffectiveTemperature,
  celsiusFromFahrenheit,
  coldRuleOfThumb,
  illinoisBallparkEffectiveTemperature,
  nrc2000ColdStress,
} from '../../core/requirements/cold.js';
import {
  energyAllowableGain,
  equivalentShrunkBodyWeight,
  nrc2000RetainedEnergy,
  nrc2000ShrunkGainPublishedForm,
  shrunkGainFromRetainedEnergy,
  standardReferenceWeight,
} from '../../core/requirements/gain.js';
import {
  hibberdThrift1992ForageCapacity,
  lowProteinIntakeLimit,
  mertens1987FiberLimitedIntake,
  nrc2000CowIntake,
  nrc2000GrowingIntake,
} from '../../core/requirements/intake.js';
import {
  nrc2000LactationProtein,
  nrc2000MilkEnergy,
  nrc2000MilkYield,
  PEAK_WEEK,
  TYPICAL_MILK,
} from '../../core/requirements/lactation.js';
import { nrc2000MaintenanceEnergy, shrunkBodyWeight } from '../../core/requirements/maintenance.js';
import {
  MINERAL_STAGES,
  mineralsByShare,
  mineralsByUse,
  nrc2000Calcium,
  nrc2000Phosphorus,
} from '../../core/requirements/minerals.js';
import {
  nrc2000ConceptusWeight,
  nrc2000PregnancyEnergy,
  nrc2000PregnancyProtein,
} from '../../core/requirements/pregnancy.js';
import {
  bacterialProtein,
  crudeProteinFromMetabolizable,
  metabolizableProteinSupply,
  nrc2000GainProtein,
  nrc2000MaintenanceProtein,
  proteinAllowableGain,
} from '../../core/requirements/protein.js';
import {
  ANIMAL_SEXES,
  BREED_TYPES,
  COAT_CONDITIONS,
  FINISH_END_POINTS,
  HIDE_THICKNESSES,
} from '../../core/requirements/requirement-set.js';
import { requirementsFor } from '../../core/requirements/requirements-for.js';
import { WATER_CLASSES } from '../../core/requirements/water-intake.data.js';
import { waterFromDryMatter, winchesterMorris1956Water } from '../../core/requirements/water.js';
import { COAT_DESCRIPTIONS, LOWER_CRITICAL_TEMPERATURES_F } from '../../core/requirements/wind-chill.data.js';
import { type UnitSystem, unitSystem } from '../../platform/wire/quantity.schema.js';
import {
  animalIn,
  conditionsIn,
  editionIn,
  requirementOut,
  spelledAnimal,
  toAnimal,
  toConditions,
  unitsOf,
  requirementAnswer,
} from './animal.schema.js';
import { type Calculation, calculation, type Source } from './calculation.js';
import {
  accepted,
  energyIn,
  figure,
  figureOrNull,
  figureOut,
  gainIn,
  kilograms,
  lengthIn,
  massIn,
  type MassIn,
  massInOrZeroOf,
  percent,
  present,
  temperatureIn,
  temperatureOut,
  tidy,
  tidyOrNull,
  toCelsius,
  toFahrenheit,
  toKgPerDay,
  toKmPerHour,
  toMcalPerKg,
  toMeters,
  toMph,
  warnings,
  windIn,
  formatTemperature,
} from './quantities.js';

const nrc = (formula: string, where = 'Nutrient Requirements of Beef Cattle, 7th rev. ed., Update 2000'): Source => ({
  formula,
  author: 'National Research Council',
  year: 2000,
  where,
});
const shrunkWeight = massIn.describe('Shrunk weight, 0.96 of the full weight');
const km = z.number().gt(0).max(1).describe('NEm/ME of the diet');
const calfBirthWeight = massIn.describe('Birth weight of the calf');

const requirements = calculation({
  name: 'requirements',
  family: 'requirements',
  summary: 'What one animal needs in a day, with the working',
  description:
    'Energy, protein, intake, minerals and water, for any class, weather and activity. What is left out takes ' +
    'a stated default.',
  source: [
    nrc('one equation family each; the working names them'),
    {
      formula: 'bacterial protein, ionophore and walking differ',
      author: 'National Academies of Sciences, Engineering, and Medicine',
      year: 2016,
      where: 'Nutrient Requirements of Beef Cattle, 8th rev. ed. (edition NASEM2016)',
    },
  ],
  body: z.strictObject({
    animal: animalIn,
    ...conditionsIn,
    units: unitSystem.optional().describe('Units of the answer; those of the body weight if left out'),
  }),
  answer: { requirement: requirementOut },
  run: ({ animal, units, ...conditions }) => ({
    requirement: requirementAnswer(
      accepted(requirementsFor(toAnimal(animal), toConditions(conditions)), spelledAnimal).value,
      unitsOf(animal, units),
    ),
  }),
});

const maintenance = calculation({
  name: 'maintenance-energy',
  family: 'requirements',
  summary: 'Net energy for maintenance, and the feed that covers it',
  source: [
    nrc(
      'SBW^0.75·(0.077·breed·lactation·condition·sex + 0.0007·(20 − T))',
      'chapters 1 and 10, after Lofgreen & Garrett 1968, J. Anim. Sci. 27:793',
    ),
  ],
  body: z.strictObject({
    shrunkWeight,
    sex: z.enum(ANIMAL_SEXES).default('steer').describe('Sex of the cattle, for the requirement equations'),
    lactating: z.boolean().default(false).describe('True if the cows are in milk'),
    breedType: z
      .enum(BREED_TYPES)
      .default('bos-taurus-beef')
      .describe('Breed type, as far as it changes the requirements'),
    bodyCondition: z.number().min(1).max(9).default(5).describe('Body condition score, 1 (emaciated) to 9 (obese)'),
    previousTemperature: temperatureIn
      .default({ value: 20, unit: 'C' })
      .describe('Mean air temperature of the month before'),
    dietNetEnergyMaintenance: energyIn('NEm of the diet').optional(),
  }),
  answer: {
    netEnergyMaintenance: figureOut,
    feedForMaintenance: figureOut
      .describe('Dry matter needed for maintenance, per head per day; null if no diet was given')
      .nullable(),
    metabolicWeightKg: z.number().describe('Metabolic weight, shrunk weight to the power 0.75, kg'),
    breedFactor: z.number().describe('Factor of the breed type on maintenance'),
    sexFactor: z.number().describe('Factor of the sex on maintenance'),
    lactationFactor: z.number().describe('Factor of lactation on maintenance'),
    conditionFactor: z.number().describe('Factor of the body condition on maintenance'),
    acclimatisation: z
      .number()
      .describe('Addition for the cold or heat that the cattle are used to, Mcal per kg of metabolic weight'),
  },
  run: (body) => {
    const system = systemOf(body.shrunkWeight.unit);
    const answer = nrc2000MaintenanceEnergy({
      shrunkBodyWeightKg: kilograms(body.shrunkWeight),
      sex: body.sex,
      lactating: body.lactating,
      breedType: body.breedType,
      bodyConditionScore: body.bodyCondition,
      previousTemperatureC: toCelsius(body.previousTemperature),
    });
    const nem = body.dietNetEnergyMaintenance === undefined ? undefined : toMcalPerKg(body.dietNetEnergyMaintenance);
    const feed =
      nem === undefined
        ? null
        : energyAllowableGain({
            equivalentShrunkBodyWeightKg: 1,
            dryMatterIntakeKgPerDay: 0,
            netEnergyMaintenanceTotalMcalPerDay: answer.netEnergyMaintenanceMcalPerDay,
            netEnergyMaintenanceMcalPerKg: nem,
            netEnergyGainMcalPerKg: 0,
          }).feedForMaintenanceKgPerDay;
    return {
      netEnergyMaintenance: figure(answer.netEnergyMaintenanceMcalPerDay, 'Mcal/d', system),
      feedForMaintenance: figureOrNull(feed, 'kg/d', system),
      metabolicWeightKg: tidy(answer.metabolicWeightKg),
      breedFactor: answer.breedFactor,
      sexFactor: answer.sexFactor,
      lactationFactor: answer.lactationFactor,
      conditionFactor: tidy(answer.conditionFactor),
      acclimatisation: tidy(answer.acclimatizationMcalPerMetabolicKg),
    };
  },
});

const pregnancy = calculation({
  name: 'pregnancy-energy',
  family: 'requirements',
  summary: 'Energy, protein and weight of the unborn calf',
  source: [
    nrc(
      'ME = CBW·(0.4504 − 0.000766·t)·e^((0.03233 − 0.0000275·t)·t)/1000; NEm = ME·km',
      'p. 43, eq. 4-4 to 4-8 (coefficients from memory)',
    ),
  ],
  body: z.strictObject({
    calfBirthWeight,
    daysPregnant: z.number().min(0).max(300).describe('Days since conception'),
    efficiencyOfMaintenance: km,
  }),
  answer: {
    netEnergyPregnancy: figureOut.describe('Energy for pregnancy, as NEm'),
    metabolizableEnergy: figureOut,
    conceptusEnergy: figureOut.describe('Energy kept in the conceptus'),
    metabolizableProtein: figureOut,
    netProtein: figureOut,
    conceptusWeight: figureOut,
    conceptusGain: figureOut,
  },
  run: (body) => {
    const system = systemOf(body.calfBirthWeight.unit);
    const terms = { calfBirthWeightKg: kilograms(body.calfBirthWeight), daysPregnant: body.daysPregnant };
    const energy = nrc2000PregnancyEnergy({ ...terms, efficiencyOfMaintenance: body.efficiencyOfMaintenance });
    const protein = nrc2000PregnancyProtein(terms);
    const weight = nrc2000ConceptusWeight(terms);
    return {
      netEnergyPregnancy: figure(energy.netEnergyPregnancyMcalPerDay, 'Mcal/d', system),
      metabolizableEnergy: figure(energy.metabolizableEnergyPregnancyMcalPerDay, 'Mcal/d', system),
      conceptusEnergy: figure(energy.conceptusEnergyMcalPerDay, 'Mcal/d', system),
      metabolizableProtein: figure(protein.metabolizableProteinGPerDay, 'g/d', system),
      netProtein: figure(protein.netProteinGPerDay, 'g/d', system),
      conceptusWeight: figure(weight.conceptusWeightKg, 'kg', system),
      conceptusGain: figure(weight.conceptusGainKgPerDay, 'kg/d', system),
    };
  },
});

const milk = calculation({
  name: 'milk',
  family: 'requirements',
  summary: 'Milk of a suckled cow by week, its energy and protein',
  source: [
    nrc(
      'milk = n/(a·e^(n/8.5)); energy = 0.092·fat + 0.049·SNF − 0.0569',
      'pp. 45-46, after Jenkins & Ferrell 1984 and Tyrrell & Reid 1965',
    ),
  ],
  body: z.strictObject({
    peakMilk: massIn.describe('Milk per day at the peak'),
    weekOfLactation: z.number().min(0).max(90).describe('Weeks since calving'),
    peakWeek: z.number().gt(0).max(20).default(PEAK_WEEK).describe('Week of the peak'),
    fatPercent: percent('Fat', { to: 15 }).default(TYPICAL_MILK.fatPercent),
    solidsNotFatPercent: percent('Solids not fat', { to: 20 }).default(TYPICAL_MILK.solidsNotFatPercent),
    proteinPercent: percent('Protein', { to: 12 }).default(TYPICAL_MILK.proteinPercent),
  }),
  answer: {
    milk: figureOut,
    peakWeek: z.number().describe('Week of the peak'),
    energy: z.object({
      value: z.number().describe('The figure, in the unit beside it'),
      unit: z.literal('Mcal/kg').describe('Megacalories per unit of milk'),
    }),
    netEnergyLactation: figureOut.describe('Net energy for milk; counts as NEm, 1:1'),
    metabolizableProtein: figureOut,
  },
  run: (body) => {
    const system = systemOf(body.peakMilk.unit);
    const { milkKgPerDay } = nrc2000MilkYield({
      peakMilkKgPerDay: kilograms(body.peakMilk),
      weekOfLactation: body.weekOfLactation,
      peakWeek: body.peakWeek,
    });
    const { milkEnergyMcalPerKg } = nrc2000MilkEnergy(body);
    return {
      milk: figure(milkKgPerDay, 'kg/d', system),
      peakWeek: body.peakWeek,
      energy: { value: tidy(milkEnergyMcalPerKg), unit: 'Mcal/kg' as const },
      netEnergyLactation: figure(milkKgPerDay * milkEnergyMcalPerKg, 'Mcal/d', system),
      metabolizableProtein: figure(
        nrc2000LactationProtein({ milkKgPerDay, proteinPercent: body.proteinPercent }).metabolizableProteinGPerDay,
        'g/d',
        system,
      ),
    };
  },
});

const GAIN = nrc(
  'RE = 0.0635·EQEBW^0.75·EBG^1.097; MP = (268·SWG − 29.4·RE)/efficiency',
  'after Garrett 1980 (from memory; the table of growing cattle of 533 kg is reproduced)',
);
const gainEnergy = calculation({
  name: 'gain-energy',
  family: 'requirements',
  summary: 'Energy, protein, calcium and phosphorus that a gain needs, or the gain that energy or protein allows',
  source: [GAIN, nrc('SWG = 13.91·RE^0.9116·EQSBW^−0.6837, beside the exact inverse')],
  body: z
    .strictObject({
      shrunkWeight,
      finalShrunkWeight: massIn.describe('Shrunk weight at the finish end point'),
      finishEndPoint: z
        .enum(FINISH_END_POINTS)
        .default('small-28')
        .describe('Fatness at which the cattle are finished, which sets the reference weight'),
      dailyGain: gainIn('Shrunk weight gain')
        .refine((gain) => gain.value >= 0, 'must be 0 or more: loss of weight is a matter of body reserves')
        .optional(),
      retainedEnergy: z
        .strictObject({
          value: z.number().min(0).max(100).describe('The figure, in the unit beside it'),
          unit: z.literal('Mcal/d'),
        })
        .optional()
        .describe('Energy left for gain'),
      metabolizableProteinForGain: z
        .strictObject({
          value: z.number().min(-5000).max(5000).describe('The figure, in the unit beside it'),
          unit: z.literal('g/d'),
        })
        .optional()
        .describe('Protein left for gain'),
    })
    .refine(
      (body) =>
        body.dailyGain !== undefined ||
        body.retainedEnergy !== undefined ||
        body.metabolizableProteinForGain !== undefined,
      { path: ['dailyGain'], message: 'Give dailyGain, retainedEnergy or metabolizableProteinForGain' },
    ),
  answer: {
    equivalentShrunkWeight: figureOut,
    ofGain: z
      .object({
        retainedEnergy: figureOut,
        netProtein: figureOut,
        metabolizableProtein: figureOut,
        efficiencyOfProtein: z
          .number()
          .describe('Efficiency of turning metabolizable protein into net protein, 0 to 1'),
        calcium: figureOut,
        phosphorus: figureOut,
      })
      .nullable(),
    fromEnergy: z
      .object({
        dailyGain: figureOut,
        dailyGainPublishedForm: figureOut.describe('Daily gain by the inverse as printed, with rounded constants'),
      })
      .nullable(),
    fromProtein: z.object({ dailyGain: figureOut }).nullable(),
  },
  run: (body) => {
    const system = systemOf(body.shrunkWeight.unit);
    const shrunkBodyWeightKg = kilograms(body.shrunkWeight);
    const { standardReferenceWeightKg } = standardReferenceWeight({ finishEndPoint: body.finishEndPoint });
    const { equivalentShrunkBodyWeightKg } = equivalentShrunkBodyWeight({
      shrunkBodyWeightKg,
      finalShrunkBodyWeightKg: kilograms(body.finalShrunkWeight),
      standardReferenceWeightKg,
    });
    const ofGain = (shrunkGainKgPerDay: number) => {
      const { retainedEnergyMcalPerDay } = nrc2000RetainedEnergy({ equivalentShrunkBodyWeightKg, shrunkGainKgPerDay });
      const protein = nrc2000GainProtein({
        equivalentShrunkBodyWeightKg,
        shrunkGainKgPerDay,
        retainedEnergyMcalPerDay,
      });
      const mineral = {
        shrunkBodyWeightKg,
        retainedProteinGPerDay: protein.netProteinGPerDay,
        milkKgPerDay: 0,
        calfBirthWeightKg: 0,
        daysPregnant: 0,
      };
      return {
        retainedEnergy: figure(retainedEnergyMcalPerDay, 'Mcal/d', system),
        netProtein: figure(protein.netProteinGPerDay, 'g/d', system),
        metabolizableProtein: figure(protein.metabolizableProteinGPerDay, 'g/d', system),
        efficiencyOfProtein: tidy(protein.efficiency),
        calcium: figure(nrc2000Calcium(mineral).gainGPerDay, 'g/d', system),
        phosphorus: figure(nrc2000Phosphorus(mineral).gainGPerDay, 'g/d', system),
      };
    };
    const energy =
      body.retainedEnergy === undefined
        ? undefined
        : { equivalentShrunkBodyWeightKg, retainedEnergyMcalPerDay: body.retainedEnergy.value };
    return {
      equivalentShrunkWeight: figure(equivalentShrunkBodyWeightKg, 'kg', system),
      ofGain: body.dailyGain === undefined ? null : ofGain(toKgPerDay(body.dailyGain)),
      fromEnergy:
        energy === undefined
          ? null
          : {
              dailyGain: figure(shrunkGainFromRetainedEnergy(energy).shrunkGainKgPerDay, 'kg/d', system),
              dailyGainPublishedForm: figure(nrc2000ShrunkGainPublishedForm(energy).shrunkGainKgPerDay, 'kg/d', system),
            },
      fromProtein:
        body.metabolizableProteinForGain === undefined
          ? null
          : {
              dailyGain: figure(
                proteinAllowableGain({
                  equivalentShrunkBodyWeightKg,
                  metabolizableProteinForGainGPerDay: body.metabolizableProteinForGain.value,
                }).shrunkGainKgPerDay,
                'kg/d',
                system,
              ),
            },
    };
  },
});

const GROWING_INTAKE = 'growing: SBW^0.75·(0.2435·NEm − 0.0466·NEm² − c)/NEm';
const COW_INTAKE = 'cows: SBW^0.75·(0.04997·NEm² + c)/NEm + 0.2·milk';

const intakeOfCattle = calculation({
  name: 'dry-matter-intake',
  family: 'requirements',
  summary: 'Dry matter intake by equation, and what fiber, digestibility and low protein allow',
  source: [
    nrc(`${GROWING_INTAKE}; ${COW_INTAKE}`, 'eq. 7-1 and following (from memory)'),
    { formula: 'fiber at most 1.2 % of body weight', author: 'Mertens', year: 1987, where: 'J. Anim. Sci. 64:1548' },
    {
      formula: 'forage capacity by TDN',
      author: 'Hibberd & Thrift',
      year: 1992,
      where: 'reprinted by Oklahoma State University',
    },
  ],
  body: z.strictObject({
    bodyWeight: massIn.describe('Live weight, gut full'),
    kind: z.enum(['calf', 'yearling', 'cow']).describe('Which equation to use: for a calf, yearling or cow'),
    netEnergyMaintenance: energyIn('NEm of the diet').refine(({ value }) => value > 0, {
      path: ['value'],
      message: 'must be more than 0',
    }),
    pregnant: z.boolean().default(false).describe('True if the cows are pregnant'),
    milk: massInOrZeroOf('Cows: milk on the day').default({ value: '0', unit: 'kg' }),
    neutralDetergentFiberPercent: z.number().gt(0).max(95).optional().describe('NDF of the diet, % of dry matter'),
    totalDigestibleNutrientsPercent: z
      .number()
      .gt(0)
      .max(100)
      .optional()
      .describe('TDN of the forage, % of dry matter'),
    crudeProteinPercent: percent('Crude protein of the diet, of dry matter').optional(),
  }),
  answer: {
    predicted: figureOut,
    predictedPercentOfBodyWeight: z.number().describe('Predicted intake, % of full weight'),
    fiberLimit: figureOut.nullable(),
    forageCapacity: figureOut.nullable(),
    forageCapacityPercentOfBodyWeight: z
      .number()
      .describe('Forage capacity, % of full weight; null where it was not worked out')
      .nullable(),
    lowProteinLimit: figureOut
      .describe('Intake limit below 7 % crude protein; null where it does not apply')
      .nullable(),
  },
  run: (body) => {
    const system = systemOf(body.bodyWeight.unit);
    const fullBodyWeightKg = kilograms(body.bodyWeight);
    const { shrunkBodyWeightKg } = shrunkBodyWeight({ fullBodyWeightKg });
    const nem = toMcalPerKg(body.netEnergyMaintenance);
    const milkKgPerDay = kilograms(body.milk);
    const predicted =
      body.kind === 'cow'
        ? nrc2000CowIntake({
            shrunkBodyWeightKg,
            netEnergyMaintenanceMcalPerKg: nem,
            pregnant: body.pregnant,
            milkKgPerDay,
          }).dryMatterIntakeKgPerDay
        : nrc2000GrowingIntake({ shrunkBodyWeightKg, netEnergyMaintenanceMcalPerKg: nem, age: body.kind })
            .dryMatterIntakeKgPerDay;
    const lactating = milkKgPerDay > 0;
    const { neutralDetergentFiberPercent, totalDigestibleNutrientsPercent, crudeProteinPercent } = body;
    const capacity =
      totalDigestibleNutrientsPercent === undefined
        ? undefined
        : hibberdThrift1992ForageCapacity({ fullBodyWeightKg, totalDigestibleNutrientsPercent, lactating });
    return {
      predicted: figure(predicted, 'kg/d', system),
      predictedPercentOfBodyWeight: tidy((100 * predicted) / fullBodyWeightKg),
      fiberLimit:
        neutralDetergentFiberPercent === undefined
          ? null
          : figure(
              mertens1987FiberLimitedIntake({ fullBodyWeightKg, neutralDetergentFiberPercent }).dryMatterIntakeKgPerDay,
              'kg/d',
              system,
            ),
      forageCapacity: capacity === undefined ? null : figure(capacity.dryMatterIntakeKgPerDay, 'kg/d', system),
      forageCapacityPercentOfBodyWeight: tidyOrNull(capacity?.percentOfWeight),
      lowProteinLimit:
        crudeProteinPercent === undefined
          ? null
          : figureOrNull(
              lowProteinIntakeLimit({ fullBodyWeightKg, crudeProteinPercent, lactating }).dryMatterIntakeKgPerDay,
              'kg/d',
              system,
            ),
    };
  },
});

const grams = (what: string) =>
  z
    .strictObject({
      value: z.number().min(0).max(100_000).describe('The figure, in the unit beside it'),
      unit: z.enum(['g/d', 'lb/d']).describe('Grams or pounds per day'),
    })
    .describe(what);
const toGrams = ({ value, unit }: { value: number; unit: 'g/d' | 'lb/d' }): number =>
  unit === 'g/d' ? value : convert(value, 'lb', 'g');
const fromGrams = (grams: number, unit: 'g/d' | 'lb/d'): number => (unit === 'g/d' ? grams : convert(grams, 'g', 'lb'));
const proteinOut = z.object({
  value: z.number().describe('The figure, in the unit beside it'),
  unit: z.enum(['g/d', 'lb/d']).describe('Unit of the figure beside it'),
});
const protein = calculation({
  name: 'protein',
  family: 'requirements',
  summary: 'Metabolizable protein: need for maintenance, supply of a diet, and crude protein from it',
  source: [
    nrc(
      'maintenance 3.8·SBW^0.75; bacteria 0.13·TDN; MP = 0.64·bacteria + 0.80·undegraded',
      'chapters 2 and 3 (from memory)',
    ),
    {
      formula: 'CP = MP/0.67',
      author: 'Gadberry, University of Arkansas',
      year: 2018,
      where: 'MP391, notes to tables 4 to 12',
    },
    {
      formula: '0.087·TDN + 42.73',
      author: 'Galyean & Tedeschi',
      year: 2014,
      where: 'J. Anim. Sci. 92:4451 (edition NASEM2016)',
    },
  ],
  body: z
    .strictObject({
      shrunkWeight: shrunkWeight.optional(),
      metabolizableProtein: grams('Metabolizable protein to convert into crude protein').optional(),
      edition: editionIn,
      diet: z
        .strictObject({
          dryMatter: massIn.describe('Dry matter eaten per head per day'),
          totalDigestibleNutrientsPercent: percent('TDN, of dry matter'),
          fatPercent: percent('Fat, of dry matter').optional(),
          crudeProteinPercent: percent('Crude protein, of dry matter').optional(),
          degradablePercentOfCrudeProtein: percent('Degradable protein, of the crude protein').optional(),
        })
        .optional(),
    })
    .refine(
      (body) => body.shrunkWeight !== undefined || body.metabolizableProtein !== undefined || body.diet !== undefined,
      { path: ['shrunkWeight'], message: 'Give shrunkWeight, metabolizableProtein or diet' },
    ),
  answer: {
    maintenance: figureOut.describe('Metabolizable protein for maintenance; null if no weight was given').nullable(),
    crudeProtein: proteinOut
      .describe('Crude protein from the metabolizable protein given; null if none was given')
      .nullable(),
    supply: z
      .object({
        bacterialProtein: figureOut,
        allowedByEnergy: figureOut,
        limitedBy: z.enum(['energy', 'degradable-protein']).describe('What limits the growth of the rumen bacteria'),
        metabolizableProtein: figureOut.nullable(),
        fromBacteria: figureOut.nullable(),
        fromUndegraded: figureOut.nullable(),
      })
      .nullable(),
  },
  run: ({ shrunkWeight: weight, metabolizableProtein, edition, diet }) => {
    const g = (value: number) => figure(value, 'g/d', 'metric');
    const supply = () => {
      if (diet === undefined) return null;
      const dryMatterIntakeKgPerDay = kilograms(diet.dryMatter);
      const crude =
        diet.crudeProteinPercent === undefined ? undefined : diet.crudeProteinPercent * 10 * dryMatterIntakeKgPerDay;
      const degradable =
        crude === undefined || diet.degradablePercentOfCrudeProtein === undefined
          ? undefined
          : (crude * diet.degradablePercentOfCrudeProtein) / 100;
      const bacteria = bacterialProtein({
        edition,
        dryMatterIntakeKgPerDay,
        totalDigestibleNutrientsPercent: diet.totalDigestibleNutrientsPercent,
        ...present({ fatPercent: diet.fatPercent, degradableProteinSupplyGPerDay: degradable }),
      });
      const mp =
        crude === undefined || degradable === undefined
          ? undefined
          : metabolizableProteinSupply({
              bacterialProteinGPerDay: bacteria.bacterialProteinGPerDay,
              undegradedProteinGPerDay: crude - degradable,
            });
      return {
        bacterialProtein: g(bacteria.bacterialProteinGPerDay),
        allowedByEnergy: g(bacteria.energyAllowedGPerDay),
        limitedBy: bacteria.limitedBy,
        metabolizableProtein: mp === undefined ? null : g(mp.metabolizableProteinGPerDay),
        fromBacteria: mp === undefined ? null : g(mp.fromBacteriaGPerDay),
        fromUndegraded: mp === undefined ? null : g(mp.fromUndegradedGPerDay),
      };
    };
    return {
      maintenance:
        weight === undefined
          ? null
          : g(nrc2000MaintenanceProtein({ shrunkBodyWeightKg: kilograms(weight) }).metabolizableProteinGPerDay),
      crudeProtein:
        metabolizableProtein === undefined
          ? null
          : {
              value: tidy(
                fromGrams(
                  crudeProteinFromMetabolizable({ metabolizableProtein: toGrams(metabolizableProtein) }).crudeProtein,
                  metabolizableProtein.unit,
                ),
              ),
              unit: metabolizableProtein.unit,
            },
      supply: supply(),
    };
  },
});

const factorialOut = z.object({
  total: figureOut,
  maintenance: figureOut,
  gain: figureOut,
  lactation: figureOut,
  pregnancy: figureOut,
});
const minerals = calculation({
  name: 'minerals',
  family: 'requirements',
  summary: 'Calcium and phosphorus by parts, and the other minerals as shares of the dry matter',
  source: [
    nrc('Ca and P by maintenance, gain, milk and calf', 'chapter 5 (from memory)'),
    {
      formula: 'Mg, K, S, Na and trace minerals as shares of dry matter',
      author: 'Gadberry, University of Arkansas',
      year: 2018,
      where: 'MP391, Table 1, after NRC 1996',
    },
  ],
  body: z.strictObject({
    shrunkWeight,
    dryMatter: massIn.describe('Dry matter eaten per head per day'),
    stage: z.enum(MINERAL_STAGES).describe('Stage of the cattle, as in the table'),
    retainedProtein: grams('Net protein retained in gain').default({ value: 0, unit: 'g/d' }),
    milk: massInOrZeroOf('Milk on the day').default({ value: '0', unit: 'kg' }),
    calfBirthWeight: calfBirthWeight.optional(),
    daysPregnant: z.number().min(0).max(300).default(0).describe('Days since conception'),
  }),
  answer: {
    ...byCode(MINERALS_BY_USE, () => factorialOut),
    ...byCode(MINERALS_BY_SHARE, () => figureOut),
    table: z.array(
      z.object({
        mineral: z.string().describe('The mineral that the row is about'),
        unit: z.string().describe('Unit of the figure beside it'),
        growing: z.number().describe('Requirement of growing and finishing cattle'),
        gestating: z.number().describe('Requirement in gestation'),
        lactating: z.number().describe('Requirement in early lactation'),
        maximum: z.number().describe('Highest level that is tolerated; null where the table gives none').nullable(),
        source: z.string().describe('Where the row comes from'),
      }),
    ),
  },
  run: (body) => {
    const g = (value: number) => figure(value, 'g/d', 'metric');
    const inputs = {
      shrunkBodyWeightKg: kilograms(body.shrunkWeight),
      retainedProteinGPerDay: toGrams(body.retainedProtein),
      milkKgPerDay: kilograms(body.milk),
      calfBirthWeightKg: body.calfBirthWeight === undefined ? 0 : kilograms(body.calfBirthWeight),
      daysPregnant: body.daysPregnant,
    };
    const parts = (need: ReturnType<typeof nrc2000Calcium>) => ({
      total: g(need.dietaryGPerDay),
      maintenance: g(need.maintenanceGPerDay),
      gain: g(need.gainGPerDay),
      lactation: g(need.lactationGPerDay),
      pregnancy: g(need.pregnancyGPerDay),
    });
    const uses = mineralsByUse(inputs);
    const shares = mineralsByShare({ dryMatterIntakeKgPerDay: kilograms(body.dryMatter), stage: body.stage });
    return {
      ...byCode(MINERALS_BY_USE, (mineral) => parts(uses[mineral])),
      ...byCode(MINERALS_BY_SHARE, (mineral) => g(shares[mineral])),
      table: NUTRIENTS_OF_DRY_MATTER.map((mineral) => {
        const { unit, growing, gestating, lactating, maximum, source } = NUTRIENTS[mineral].ofDryMatter;
        return { mineral, unit, growing, gestating, lactating, maximum, source };
      }),
    };
  },
});

const water = calculation({
  name: 'water-intake',
  family: 'requirements',
  summary: 'Water one animal needs per day',
  source: [
    {
      formula: 'table by class, weight and temperature',
      author: 'Winchester & Morris',
      year: 1956,
      where: 'J. Anim. Sci. 15:722, as tabulated by NRC 2000',
    },
  ],
  body: z.strictObject({
    class: z.enum(WATER_CLASSES).describe('Class of cattle in the table'),
    bodyWeight: massIn,
    temperature: temperatureIn,
    dryMatter: massIn.optional().describe('Dry matter eaten per head per day, for the figure by dry matter'),
    milk: massInOrZeroOf('Milk on the day').default({ value: '0', unit: 'kg' }),
    head: z.number().int().min(1).max(1e6).default(1).describe('Number of head'),
  }),
  answer: {
    byTable: figureOut,
    byDryMatter: figureOut.nullable(),
    needed: figureOut.describe('The larger figure, since a trough that is too small does harm'),
    herd: figureOut,
    beyondTable: z
      .array(z.enum(['weight', 'temperature']))
      .describe('Which inputs lay beyond the table, so that its last value was used'),
  },
  run: (body) => {
    const system = systemOf(body.bodyWeight.unit);
    const temperatureC = toCelsius(body.temperature);
    const table = winchesterMorris1956Water({
      waterClass: body.class,
      weightKg: kilograms(body.bodyWeight),
      temperatureC,
    });
    const byDryMatter =
      body.dryMatter === undefined
        ? null
        : waterFromDryMatter({
            dryMatterIntakeKgPerDay: kilograms(body.dryMatter),
            milkKgPerDay: kilograms(body.milk),
            temperatureC,
          }).waterLPerDay;
    const needed = Math.max(table.waterLPerDay, byDryMatter ?? 0);
    return {
      byTable: figure(table.waterLPerDay, 'L/d', system),
      byDryMatter: figureOrNull(byDryMatter, 'L/d', system),
      needed: figure(needed, 'L/d', system),
      herd: figure(needed * body.head, 'L/d', system),
      beyondTable: [...table.beyondTable],
    };
  },
});

const THUMB: Source = {
  formula: '1 % of the need per °F below the lower critical temperature of the coat',
  author: 'South Dakota State University Extension',
  year: null,
  where: 'after Ames, Kansas State University; Oklahoma State University doubles it for a wet coat',
};
type Rule = ReturnType<typeof coldRuleOfThumb>;

function ruleAnswer(
  { extraPercent, lowerCriticalTemperatureF, degreesBelowF, rule, source }: Rule,
  shown: (fahrenheit: number) => z.input<typeof temperatureOut>,
) {
  return {
    extraPercent: tidy(extraPercent),
    lowerCriticalTemperature: shown(lowerCriticalTemperatureF),
    degreesBelow: tidy(degreesBelowF),
    rule,
    ruleSource: source,
  };
}

/** The given ration, raised by the rule, and by how much. */
function raisedRation({ extraPercent }: Rule, ration: MassIn | undefined) {
  if (ration === undefined) return { raisedRation: null, extraRation: null };
  const system = systemOf(ration.unit);
  const rationKg = kilograms(ration);
  const raised = rationKg * (1 + extraPercent / 100);
  return { raisedRation: figure(raised, 'kg/d', system), extraRation: figure(raised - rationKg, 'kg/d', system) };
}

function heatBalanceAnswer(balance: ReturnType<typeof nrc2000ColdStress>, system: UnitSystem, unit: 'C' | 'F') {
  return {
    netEnergyCold: figure(balance.netEnergyColdMcalPerDay, 'Mcal/d', system),
    metabolizableEnergyCold: figure(balance.metabolizableEnergyColdMcalPerDay, 'Mcal/d', system),
    lowerCriticalTemperature: formatTemperature(balance.lowerCriticalTemperatureC, unit),
    surfaceM2: tidy(balance.surfaceM2),
    tissueInsulation: tidy(balance.tissueInsulation),
    externalInsulation: tidy(balance.externalInsulation),
  };
}

const coldStress = calculation({
  name: 'cold-stress',
  family: 'requirements',
  summary: 'What cold, wind and a wet coat cost, by the rule of thumb and by heat balance',
  source: [
    THUMB,
    { formula: 'effective temperature by wind', author: 'Ames & Insley', year: 1975, where: 'J. Anim. Sci. 40:161' },
    nrc(
      'LCT = 39 − 0.85·insulation·heat per m²; extra ME = surface·(LCT − T)/insulation',
      'chapters 1 and 10, after NRC 1981 (coefficients from memory)',
    ),
  ],
  body: z
    .strictObject({
      temperature: temperatureIn,
      wind: windIn.default({ value: 0, unit: 'mph' }),
      coat: z.enum(COAT_DESCRIPTIONS).optional().describe('State of the coat, for the rule of thumb'),
      feltTemperature: temperatureIn.optional().describe('Effective temperature, instead of air temperature and wind'),
      rule: z
        .enum(['one-per-cent', 'two-per-cent-when-wet'])
        .default('one-per-cent')
        .describe('Which published rule to follow'),
      ration: massIn.optional().describe('Ration or TDN per day in comfort, which the rule raises'),
      heatBalance: z
        .strictObject({
          shrunkWeight,
          heatProduction: z
            .strictObject({
              value: z.number().gt(0).max(200).describe('The figure, in the unit beside it'),
              unit: z.literal('Mcal/d'),
            })
            .describe('ME intake less the energy kept in gain, conceptus and milk'),
          coat: z
            .enum(COAT_CONDITIONS)
            .default('clean-and-dry')
            .describe('State of the coat: it decides how much cold the cattle can take'),
          hairDepth: lengthIn('Depth of hair').default({ value: 1.5, unit: 'cm' }),
          hide: z
            .enum(HIDE_THICKNESSES)
            .default('average')
            .describe('Thickness of the hide: it decides how much cold the cattle can take'),
          ageMonths: z.number().min(0).max(360).default(36).describe('Age of the cattle in months'),
          bodyCondition: z
            .number()
            .min(1)
            .max(9)
            .default(5)
            .describe('Body condition score, 1 (emaciated) to 9 (obese)'),
          efficiencyOfMaintenance: km,
        })
        .optional(),
    })
    .refine((body) => body.coat !== undefined || body.ration === undefined, {
      path: ['coat'],
      message: 'is needed to raise a ration by the rule of thumb',
    }),
  answer: {
    effectiveTemperature: temperatureOut.describe('Effective temperature, from the wind table or as given'),
    ballparkTemperature: temperatureOut.describe('Air temperature less wind speed, °F and mph: a ballpark figure'),
    windBeyondTable: z.boolean().describe('True where the wind is above 40 mph, the end of the table'),
    temperatureBeyondTable: z.boolean().describe('True where the air is below -10 °F or above 50 °F'),
    ruleOfThumb: z
      .object({
        extraPercent: z.number().describe('Energy needed beyond that in comfort, %'),
        lowerCriticalTemperature: temperatureOut,
        degreesBelow: z.number().describe('Degrees Fahrenheit below the critical temperature'),
        rule: z.string().describe('Published rule that was followed'),
        ruleSource: z.string().describe('Published source of the rule'),
        raisedRation: figureOut.nullable(),
        extraRation: figureOut.nullable(),
      })
      .nullable(),
    heatBalance: z
      .object({
        netEnergyCold: figureOut,
        metabolizableEnergyCold: figureOut,
        lowerCriticalTemperature: temperatureOut,
        surfaceM2: z.number().describe('Body surface, square meters'),
        tissueInsulation: z.number().describe('Insulation of hide and tissue, °C·m2·d/Mcal'),
        externalInsulation: z.number().describe('Insulation of coat and air, °C·m2·d/Mcal'),
      })
      .nullable(),
    lowerCriticalTemperatures: z.array(
      z.object({
        coat: z.string().describe('State of the coat: it decides how much cold the cattle can take'),
        temperature: temperatureOut,
        source: z.string().describe('Who published it'),
      }),
    ),
    warnings,
  },
  run: (body) => {
    const { unit } = body.temperature;
    const temperatureF = toFahrenheit(body.temperature);
    const windMph = toMph(body.wind);
    const chill = amesInsley1975EffectiveTemperature({ temperatureF, windMph });
    const felt = body.feltTemperature === undefined ? chill.effectiveTemperatureF : toFahrenheit(body.feltTemperature);
    const shown = (fahrenheit: number) => formatTemperature(celsiusFromFahrenheit({ fahrenheit }).celsius, unit);
    const thumb =
      body.coat === undefined
        ? undefined
        : coldRuleOfThumb({ effectiveTemperatureF: felt, coat: body.coat, rule: body.rule });
    const system = body.ration === undefined ? 'us' : systemOf(body.ration.unit);
    const model = body.heatBalance;
    const balance =
      model === undefined
        ? undefined
        : nrc2000ColdStress({
            shrunkBodyWeightKg: kilograms(model.shrunkWeight),
            heatProductionMcalPerDay: model.heatProduction.value,
            temperatureC: toCelsius(body.temperature),
            windKmPerHour: toKmPerHour(body.wind),
            hairDepthCm: 100 * toMeters(model.hairDepth),
            coat: model.coat,
            hide: model.hide,
            ageMonths: model.ageMonths,
            bodyConditionScore: model.bodyCondition,
            efficiencyOfMaintenance: model.efficiencyOfMaintenance,
          });
    return {
      effectiveTemperature: shown(felt),
      ballparkTemperature: shown(illinoisBallparkEffectiveTemperature({ temperatureF, windMph }).effectiveTemperatureF),
      windBeyondTable: chill.windBeyondTable,
      temperatureBeyondTable: chill.temperatureBeyondTable,
      ruleOfThumb: thumb === undefined ? null : { ...ruleAnswer(thumb, shown), ...raisedRation(thumb, body.ration) },
      heatBalance: balance === undefined ? null : heatBalanceAnswer(balance, system, unit),
      lowerCriticalTemperatures: LOWER_CRITICAL_TEMPERATURES_F.map((row) => ({
        coat: row.coat,
        temperature: shown(row.temperatureF),
        source: row.source,
      })),
      warnings:
        chill.windBeyondTable && body.feltTemperature === undefined
          ? [
              {
                code: 'wind-beyond-table',
                message: 'The wind table ends at 40 mph; its last row was used.',
                source: 'Ames & Insley 1975',
              },
            ]
          : [],
    };
  },
});

const condition = calculation({
  name: 'body-condition',
  family: 'requirements',
  summary: 'Energy and days between two condition scores of a cow',
  source: [
    nrc(
      'fat 0.037683·BCS, protein 0.200886 − 0.0066762·BCS of the empty body; 9.4 and 5.7 Mcal/kg',
      'chapter 3, body reserves (from memory; the printed tables are reproduced)',
    ),
  ],
  body: z.strictObject({
    shrunkWeight,
    bodyCondition: z.number().min(1).max(9).describe('Body condition score now, 1 to 9'),
    targetCondition: z.number().min(1).max(9).optional().describe('Body condition score wanted, 1 to 9'),
    netEnergyBalance: z
      .strictObject({
        value: z.number().min(-60).max(60).describe('The figure, in the unit beside it'),
        unit: z.literal('Mcal/d'),
      })
      .optional()
      .describe('NEm supply less need'),
  }),
  answer: {
    fatPercent: z.number().describe('Fat of the empty body, %'),
    proteinPercent: z.number().describe('Protein of the empty body, %'),
    ashPercent: z.number().describe('Ash of the empty body, %'),
    toTarget: z
      .object({
        weightAtTarget: figureOut,
        weightChange: figureOut,
        bodyEnergy: figureOut,
        dietaryNetEnergy: figureOut.describe('Energy of the diet that it replaces, as NEm: 0.8 of what is mobilized'),
      })
      .nullable(),
    oneScore: z
      .object({
        days: z
          .number()
          .describe('Days to gain or lose one condition score; null when steady or at the end of the scale')
          .nullable(),
        direction: z.enum(['gain', 'loss', 'steady']).describe('Which way body condition is going'),
        dietaryNetEnergy: figureOut,
      })
      .nullable(),
  },
  run: (body) => {
    const system = systemOf(body.shrunkWeight.unit);
    const cow = { shrunkBodyWeightKg: kilograms(body.shrunkWeight), bodyConditionScore: body.bodyCondition };
    const composition = nrc2000BodyComposition(cow);
    const reserves =
      body.targetCondition === undefined
        ? undefined
        : nrc2000ReserveEnergy({ ...cow, targetScore: body.targetCondition });
    const oneScore =
      body.netEnergyBalance === undefined
        ? undefined
        : daysToChangeOneScore({ ...cow, netEnergyBalanceMcalPerDay: body.netEnergyBalance.value });
    return {
      fatPercent: tidy(100 * composition.fatShare),
      proteinPercent: tidy(100 * composition.proteinShare),
      ashPercent: tidy(100 * composition.ashShare),
      toTarget:
        reserves === undefined || body.targetCondition === undefined
          ? null
          : {
              weightAtTarget: figure(
                nrc2000WeightAtCondition({ ...cow, targetScore: body.targetCondition }).shrunkBodyWeightKg,
                'kg',
                system,
              ),
              weightChange: figure(reserves.weightChangeKg, 'kg', system),
              bodyEnergy: figure(reserves.energyMcal, 'Mcal', system),
              dietaryNetEnergy: figure(reserves.dietaryNetEnergyMcal, 'Mcal', system),
            },
      oneScore:
        oneScore === undefined
          ? null
          : {
              days: tidyOrNull(oneScore.days),
              direction: oneScore.direction,
              dietaryNetEnergy: figure(oneScore.dietaryNetEnergyMcal, 'Mcal', system),
            },
    };
  },
});

const activity = calculation({
  name: 'activity-energy',
  family: 'requirements',
  summary: 'Net energy for grazing, or for standing and walking',
  source: [
    {
      formula: '(0.006·intake·(0.9 − digestibility) + 0.05·terrain/(forage + 3))·W/4.184',
      author: 'CSIRO',
      year: 1990,
      where: 'Feeding Standards for Australian Livestock, as carried in NRC 2000 (from memory)',
    },
    {
      formula: '(0.1·h + 0.062·changes + 0.621·km + 6.69·km sloped)·W/1000',
      author: 'Fox & Tylutki',
      year: 1998,
      where: 'J. Dairy Sci. 81:3085 (from memory)',
    },
  ],
  body: z
    .strictObject({
      bodyWeight: massIn,
      grazing: z
        .strictObject({
          pastureIntake: massIn.describe('Dry matter grazed per day'),
          pastureDigestibilityPercent: percent('Digestibility of the pasture'),
          availableForageTonnesPerHectare: z
            .number()
            .min(0)
            .max(50)
            .describe('Standing forage, t of dry matter per ha'),
          terrain: z.enum(['level', 'hilly']).default('level').describe('Terrain that the cattle walk, level or hilly'),
        })
        .optional(),
      walking: z
        .strictObject({
          hoursStanding: z.number().min(0).max(24).default(18).describe('Hours spent standing per day'),
          positionChanges: z.number().min(0).max(100).default(6).describe('Changes of position per day'),
          levelKm: z.number().min(0).max(50).default(0).describe('Walking on the level, km per day'),
          slopedKm: z.number().min(0).max(50).default(0).describe('Walking on slopes, km per day'),
        })
        .optional(),
    })
    .refine((body) => body.grazing !== undefined || body.walking !== undefined, {
      path: ['grazing'],
      message: 'Give grazing or walking',
    }),
  answer: { grazing: figureOut.nullable(), walking: figureOut.nullable() },
  run: ({ bodyWeight, grazing, walking }) => {
    const fullBodyWeightKg = kilograms(bodyWeight);
    return {
      grazing:
        grazing === undefined
          ? null
          : figure(
              csiro1990GrazingEnergy({
                fullBodyWeightKg,
                pastureIntakeKgPerDay: kilograms(grazing.pastureIntake),
                pastureDigestibility: grazing.pastureDigestibilityPercent / 100,
                availableForageTonnesPerHectare: grazing.availableForageTonnesPerHectare,
                terrain: grazing.terrain,
              }).netEnergyActivityMcalPerDay,
              'Mcal/d',
              'metric',
            ),
      walking:
        walking === undefined
          ? null
          : figure(
              foxTylutki1998ActivityEnergy({
                fullBodyWeightKg,
                hoursStandingPerDay: walking.hoursStanding,
                positionChangesPerDay: walking.positionChanges,
                flatWalkingKmPerDay: walking.levelKm,
                slopedWalkingKmPerDay: walking.slopedKm,
              }).netEnergyActivityMcalPerDay,
              'Mcal/d',
              'metric',
            ),
    };
  },
});

export const REQUIREMENT_CALCULATIONS: readonly Calculation[] = [
  requirements,
  maintenance,
  pregnancy,
  milk,
  gainEnergy,
  intakeOfCattle,
  protein,
  minerals,
  water,
  coldStress,
  condition,
  activity,
];
