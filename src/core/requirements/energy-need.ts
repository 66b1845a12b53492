import { fromBaseUnit } from '../units/unit.js';
import { csiro1990GrazingEnergy, foxTylutki1998ActivityEnergy } from './activity.js';
import type { AnimalFacts } from './animal-facts.js';
import {
  amesInsley1975EffectiveTemperature,
  celsiusFromFahrenheit,
  coatDescription,
  coldRuleOfThumb,
  fahrenheitFromCelsius,
  nrc2000ColdStress,
} from './cold.js';
import type { DietEnergy } from './diet-energy.js';
import { PANTING_MAINTENANCE_FACTORS } from './maintenance-factors.data.js';
import { nrc2000MaintenanceEnergy } from './maintenance.js';
import { nrc2000PregnancyEnergy } from './pregnancy.js';
import { DEFAULTS } from './requirement-defaults.data.js';
import type { AnimalDescription, RequirementConditions, WeatherContext } from './requirement-set.js';

interface ColdNeed {
  readonly cold: number;
  readonly lowerCriticalTemperatureC: number | null;
  readonly effectiveTemperatureC: number | null;
  /** By the rule of thumb only: % of the need without gain. */
  readonly extraPercent: number | null;
  /** By the rule of thumb only: how wind or temperature are outside the wind chill table. */
  readonly beyondWindChillTable: readonly ('temperature' | 'wind')[];
  /**
   * What the rule of thumb adds, Mcal/d, where the heat balance adds more than the whole maintenance in comfort: so far
   * out it is not to be relied on alone (the limit is common practice, no source). `null` elsewhere.
   */
  readonly ruleOfThumbBeside: number | null;
}

/** Net energy, Mcal/d. */
export interface EnergyNeed extends ColdNeed {
  /** Comfort, heat, activity and cold together. */
  readonly maintenance: number;
  /** In comfort. */
  readonly base: number;
  readonly activity: number;
  readonly heat: number;
  readonly pregnancy: number;
  readonly lactation: number;
}

/** What has to be supplied as NEm. */
export function totalAsMaintenance({ maintenance, pregnancy, lactation }: EnergyNeed): number {
  return maintenance + pregnancy + lactation;
}

/** What of the energy need no diet changes, Mcal/d: worked out once where many diets are tried. */
type NeedOfAnyDiet = Pick<EnergyNeed, 'base' | 'activity' | 'heat' | 'lactation'>;

export function needOfAnyDiet(
  animal: AnimalDescription,
  conditions: RequirementConditions,
  facts: AnimalFacts,
): NeedOfAnyDiet {
  const { weather } = conditions;
  const base = nrc2000MaintenanceEnergy({
    shrunkBodyWeightKg: facts.shrunkKg,
    breedType: animal.breedType ?? 'bos-taurus-beef',
    sex: animal.sex,
    lactating: facts.lactating,
    bodyConditionScore: facts.score,
    previousTemperatureC: accustomedTo(weather),
  }).netEnergyMaintenanceMcalPerDay;
  return {
    base,
    heat: base * (PANTING_MAINTENANCE_FACTORS[weather?.panting ?? 'none'] - 1),
    activity: activityEnergy(animal, conditions, facts),
    lactation: facts.milkKg * facts.milkEnergy,
  };
}

/** Energy need on one diet: the diet decides how well its energy serves, and how much heat the animal makes of it. */
export function energyNeed(
  { weather }: RequirementConditions,
  facts: AnimalFacts,
  diet: DietEnergy,
  { base, activity, heat, lactation }: NeedOfAnyDiet,
): EnergyNeed {
  const { pregnancy, pregnancyMetabolizable, keptInConceptus } = conceptusEnergy(facts, diet);
  const cold =
    weather === undefined
      ? NO_COLD
      : coldEnergy(weather, facts, diet, {
          base,
          activity,
          lactation,
          pregnancy,
          pregnancyMetabolizable,
          keptInConceptus,
        });
  // Field by field: this runs for every animal on every diet that is tried, where spreading took most of the time.
  return {
    cold: cold.cold,
    lowerCriticalTemperatureC: cold.lowerCriticalTemperatureC,
    effectiveTemperatureC: cold.effectiveTemperatureC,
    extraPercent: cold.extraPercent,
    beyondWindChillTable: cold.beyondWindChillTable,
    ruleOfThumbBeside: cold.ruleOfThumbBeside,
    maintenance: base + heat + activity + cold.cold,
    base,
    activity,
    heat,
    pregnancy,
    lactation,
  };
}

/**
 * Maintenance of cattle used to this temperature, °C, has no addition: NRC 2000, 0.0007·(20 − previous
 * temperature).
 */
const COMFORTABLE_MONTH_C = 20;

/**
 * The rule of thumb adds to the need of cattle in comfort, as its worked examples do (North Dakota State, South Dakota
 * State, Oklahoma State): the cold of the month before is in it already and is not added a second time.
 */
function accustomedTo(weather: WeatherContext | undefined): number {
  if (weather?.coldMethod === 'rule-of-thumb') return COMFORTABLE_MONTH_C;
  return weather?.previousMonthTemperatureC ?? COMFORTABLE_MONTH_C;
}

/** The need before the weather of the day, Mcal/d. */
interface NeedInComfort {
  readonly base: number;
  readonly activity: number;
  /** As NEm. */
  readonly pregnancy: number;
  readonly pregnancyMetabolizable: number;
  /** Stays in the gravid uterus. */
  readonly keptInConceptus: number;
  readonly lactation: number;
}

const NO_COLD: ColdNeed = {
  cold: 0,
  lowerCriticalTemperatureC: null,
  effectiveTemperatureC: null,
  extraPercent: null,
  beyondWindChillTable: [],
  ruleOfThumbBeside: null,
};

function activityEnergy(
  { fullBodyWeightKg }: AnimalDescription,
  { activity, edition }: RequirementConditions,
  { shrunkKg }: AnimalFacts,
): number {
  if (activity?.grazing !== true) return 0;
  const walkingStated = activity.flatWalkingKmPerDay !== undefined || activity.slopedWalkingKmPerDay !== undefined;
  if (edition === 'NASEM2016' && walkingStated)
    return foxTylutki1998ActivityEnergy({
      fullBodyWeightKg,
      hoursStandingPerDay: activity.hoursStandingPerDay ?? 18,
      positionChangesPerDay: activity.positionChangesPerDay ?? 6,
      flatWalkingKmPerDay: activity.flatWalkingKmPerDay ?? 0,
      slopedWalkingKmPerDay: activity.slopedWalkingKmPerDay ?? 0,
    }).netEnergyActivityMcalPerDay;
  return csiro1990GrazingEnergy({
    fullBodyWeightKg,
    pastureIntakeKgPerDay: activity.pastureIntakeKgPerDay ?? 0.02 * shrunkKg,
    pastureDigestibility: activity.pastureDigestibility ?? DEFAULTS.pastureDigestibility,
    availableForageTonnesPerHectare:
      activity.availableForageTonnesPerHectare ?? DEFAULTS.availableForageTonnesPerHectare,
    terrain: activity.terrain ?? 'level',
  }).netEnergyActivityMcalPerDay;
}

function conceptusEnergy(
  { calfBirthWeightKg, daysPregnant }: AnimalFacts,
  { efficiencyOfMaintenance }: DietEnergy,
): Pick<NeedInComfort, 'pregnancy' | 'pregnancyMetabolizable' | 'keptInConceptus'> {
  if (daysPregnant <= 0) return { pregnancy: 0, pregnancyMetabolizable: 0, keptInConceptus: 0 };
  const energy = nrc2000PregnancyEnergy({ calfBirthWeightKg, daysPregnant, efficiencyOfMaintenance });
  return {
    pregnancy: energy.netEnergyPregnancyMcalPerDay,
    pregnancyMetabolizable: energy.metabolizableEnergyPregnancyMcalPerDay,
    keptInConceptus: energy.conceptusEnergyMcalPerDay,
  };
}

function coldEnergy(weather: WeatherContext, facts: AnimalFacts, diet: DietEnergy, comfort: NeedInComfort): ColdNeed {
  return weather.coldMethod === 'rule-of-thumb'
    ? coldByRuleOfThumb(weather, comfort)
    : coldByHeatBalance(weather, facts, diet, comfort);
}

const coatOf = ({ coat = 'clean-and-dry', hairDepthCm = DEFAULTS.hairDepthCm }: WeatherContext) => ({
  coat,
  hairDepthCm,
});

function coldByRuleOfThumb(weather: WeatherContext, { base, activity, pregnancy, lactation }: NeedInComfort): ColdNeed {
  const { effectiveTemperatureF, temperatureBeyondTable, windBeyondTable } = amesInsley1975EffectiveTemperature({
    temperatureF: fahrenheitFromCelsius({ celsius: weather.temperatureC }).fahrenheit,
    windMph: fromBaseUnit(weather.windKmPerHour ?? 0, 'mph'),
  });
  const { extraPercent, lowerCriticalTemperatureF } = coldRuleOfThumb({
    effectiveTemperatureF,
    coat: coatDescription(coatOf(weather)).coat,
  });
  return {
    extraPercent,
    // The worked examples raise the whole ration of the cow, calf and milk included, not maintenance alone.
    cold: ((base + activity + pregnancy + lactation) * extraPercent) / 100,
    lowerCriticalTemperatureC: celsiusFromFahrenheit({ fahrenheit: lowerCriticalTemperatureF }).celsius,
    effectiveTemperatureC: celsiusFromFahrenheit({ fahrenheit: effectiveTemperatureF }).celsius,
    beyondWindChillTable: [
      ...(temperatureBeyondTable ? (['temperature'] as const) : []),
      ...(windBeyondTable ? (['wind'] as const) : []),
    ],
    ruleOfThumbBeside: null,
  };
}

function coldByHeatBalance(
  weather: WeatherContext,
  facts: AnimalFacts,
  diet: DietEnergy,
  comfort: NeedInComfort,
): ColdNeed {
  const answer = nrc2000ColdStress({
    shrunkBodyWeightKg: facts.shrunkKg,
    heatProductionMcalPerDay: heatInComfort(facts, diet, comfort),
    temperatureC: weather.temperatureC,
    windKmPerHour: weather.windKmPerHour ?? 0,
    ...coatOf(weather),
    hide: weather.hide ?? 'average',
    ageMonths: facts.ageMonths,
    bodyConditionScore: facts.score,
    efficiencyOfMaintenance: diet.efficiencyOfMaintenance,
  });
  return {
    cold: answer.netEnergyColdMcalPerDay,
    lowerCriticalTemperatureC: answer.lowerCriticalTemperatureC,
    effectiveTemperatureC: weather.temperatureC,
    extraPercent: null,
    beyondWindChillTable: [],
    ruleOfThumbBeside: answer.netEnergyColdMcalPerDay > comfort.base ? coldByRuleOfThumb(weather, comfort).cold : null,
  };
}

/**
 * Heat of an animal that eats what it needs in comfort: the ME of that intake less what stays in gain, calf and milk.
 */
function heatInComfort(
  { retainedEnergy }: AnimalFacts,
  { efficiencyOfMaintenance: km, metabolizableEnergyMcalPerKg, netEnergyGainMcalPerKg }: DietEnergy,
  { base, activity, lactation, pregnancyMetabolizable, keptInConceptus }: NeedInComfort,
): number {
  const maintenance = (base + activity) / km;
  const products = pregnancyMetabolizable + lactation / km;
  const gain =
    netEnergyGainMcalPerKg > 0
      ? (retainedEnergy * metabolizableEnergyMcalPerKg) / netEnergyGainMcalPerKg
      : retainedEnergy;
  const kept = retainedEnergy + lactation + keptInConceptus;
  return maintenance + products + gain - kept;
}
