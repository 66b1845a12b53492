import { fromBaseUnit, toBaseUnit } from '../units/unit.js';
import type { CoatCondition, HideThickness } from './requirement-set.js';
import {
  COAT_INSULATION_FACTORS,
  COLD_RULES,
  type CoatDescription,
  HIDE_INSULATION_FACTORS,
  LOWER_CRITICAL_TEMPERATURES_F,
  WIND_CHILL_SPEEDS_MPH,
  WIND_CHILL_TABLE_F,
  WIND_CHILL_TEMPERATURES_F,
} from './wind-chill.data.js';

export function celsiusFromFahrenheit({ fahrenheit }: { fahrenheit: number }): { celsius: number } {
  return { celsius: toBaseUnit(fahrenheit, 'F') };
}

export function fahrenheitFromCelsius({ celsius }: { celsius: number }): { fahrenheit: number } {
  return { fahrenheit: fromBaseUnit(celsius, 'F') };
}

/**
 * Tissue insulation, °C·m²·d/Mcal: newborn 2.5, to six months 6.5, to a year 5.1875 + 0.3125·BCS, older 5.25 +
 * 0.75·BCS. Source: NRC 1981 and NRC 2000 (from memory).
 */
export function nrc2000TissueInsulation({
  ageMonths,
  bodyConditionScore,
}: {
  ageMonths: number;
  bodyConditionScore: number;
}): { tissueInsulation: number } {
  if (ageMonths < 1) return { tissueInsulation: 2.5 };
  if (ageMonths < 6) return { tissueInsulation: 6.5 };
  if (ageMonths < 12) return { tissueInsulation: 5.1875 + 0.3125 * bodyConditionScore };
  return { tissueInsulation: 5.25 + 0.75 * bodyConditionScore };
}

/**
 * External insulation, °C·m²·d/Mcal: (7.36 − 0.296·wind km/h + 2.55·hair cm) · coat · hide, never below 0.
 * Source: NRC 2000, cold stress, printed as a function of WIND, HAIR, MUD and HIDE (coefficients from memory).
 */
export function nrc2000ExternalInsulation({
  windKmPerHour,
  hairDepthCm,
  coat,
  hide,
}: {
  windKmPerHour: number;
  hairDepthCm: number;
  coat: CoatCondition;
  hide: HideThickness;
}): { externalInsulation: number } {
  return {
    externalInsulation: Math.max(
      0,
      (7.36 - 0.296 * windKmPerHour + 2.55 * hairDepthCm) *
        COAT_INSULATION_FACTORS[coat] *
        HIDE_INSULATION_FACTORS[hide],
    ),
  };
}

/**
 * Cold stress by heat balance. Surface 0.09·SBW^0.67 m²; heat production per m² = (ME intake − energy in
 * product)/surface; lower critical temperature = 39 − 0.85·insulation·heat per m² (15 % leaves by evaporation
 * whatever the cold); extra ME = surface·(LCT − T)/insulation; extra NEm = km · extra ME. Source: NRC 1981,
 * Effect of Environment on Nutrient Requirements of Domestic Animals; NRC 2000 chapters 1 and 10 (structure confirmed
 * in the page, coefficients from memory). NASEM 2016 keeps it.
 */
export function nrc2000ColdStress({
  shrunkBodyWeightKg,
  heatProductionMcalPerDay,
  temperatureC,
  windKmPerHour,
  hairDepthCm,
  coat,
  hide,
  ageMonths,
  bodyConditionScore,
  efficiencyOfMaintenance,
}: {
  shrunkBodyWeightKg: number;
  /** ME intake less the energy retained in gain, conceptus and milk. */
  heatProductionMcalPerDay: number;
  temperatureC: number;
  windKmPerHour: number;
  hairDepthCm: number;
  coat: CoatCondition;
  hide: HideThickness;
  ageMonths: number;
  bodyConditionScore: number;
  efficiencyOfMaintenance: number;
}): {
  netEnergyColdMcalPerDay: number;
  metabolizableEnergyColdMcalPerDay: number;
  lowerCriticalTemperatureC: number;
  surfaceM2: number;
  heatPerM2McalPerDay: number;
  tissueInsulation: number;
  externalInsulation: number;
} {
  const surfaceM2 = 0.09 * shrunkBodyWeightKg ** 0.67;
  const heatPerM2McalPerDay = heatProductionMcalPerDay / surfaceM2;
  const { tissueInsulation } = nrc2000TissueInsulation({ ageMonths, bodyConditionScore });
  const { externalInsulation } = nrc2000ExternalInsulation({ windKmPerHour, hairDepthCm, coat, hide });
  const insulation = tissueInsulation + externalInsulation;
  const lowerCriticalTemperatureC = 39 - insulation * heatPerM2McalPerDay * 0.85;
  const metabolizableEnergyColdMcalPerDay =
    (surfaceM2 * Math.max(0, lowerCriticalTemperatureC - temperatureC)) / insulation;
  return {
    netEnergyColdMcalPerDay: efficiencyOfMaintenance * metabolizableEnergyColdMcalPerDay,
    metabolizableEnergyColdMcalPerDay,
    lowerCriticalTemperatureC,
    surfaceM2,
    heatPerM2McalPerDay,
    tissueInsulation,
    externalInsulation,
  };
}

function cell(row: number, column: number): number {
  const value = WIND_CHILL_TABLE_F[row]?.[column];
  if (value === undefined) throw new RangeError('Outside the wind chill table');
  return value;
}

function bracket(points: readonly number[], value: number): { low: number; share: number } {
  let low = 0;
  while (low < points.length - 2 && value >= (points[low + 1] ?? Infinity)) low += 1;
  const from = points[low] ?? 0;
  const to = points[low + 1] ?? from + 1;
  return { low, share: (value - from) / (to - from) };
}

const WARMEST_F = 50;
const COLDEST_F = -10;
const STRONGEST_WIND_MPH = 40;

/**
 * Effective temperature for cattle, °F, from air temperature and wind, by the table of Ames & Insley 1975 (rounded
 * cells): the cell itself where wind and temperature match a row and a column, otherwise interpolated linearly
 * between the four cells around. Colder than -10 °F or warmer than 50 °F the line through the nearest two columns
 * is extended (`temperatureBeyondTable`); a wind above 40 mph counts as 40 mph (`windBeyondTable`).
 * @throws RangeError on a negative wind.
 */
export function amesInsley1975EffectiveTemperature({
  temperatureF,
  windMph,
}: {
  temperatureF: number;
  windMph: number;
}): {
  effectiveTemperatureF: number;
  windBeyondTable: boolean;
  temperatureBeyondTable: boolean;
} {
  if (!(windMph >= 0)) throw new RangeError('Wind cannot be negative');
  const wind = bracket(WIND_CHILL_SPEEDS_MPH, Math.min(windMph, STRONGEST_WIND_MPH));
  const air = bracket(WIND_CHILL_TEMPERATURES_F, temperatureF);
  const along = (row: number) => cell(row, air.low) + air.share * (cell(row, air.low + 1) - cell(row, air.low));
  const below = along(wind.low);
  return {
    effectiveTemperatureF: below + wind.share * (along(wind.low + 1) - below),
    windBeyondTable: windMph > STRONGEST_WIND_MPH,
    temperatureBeyondTable: temperatureF < COLDEST_F || temperatureF > WARMEST_F,
  };
}

/**
 * Air temperature less wind speed, °F and mph: a ballpark figure. Source: University of Illinois Extension (Meteer).
 */
export function illinoisBallparkEffectiveTemperature({
  temperatureF,
  windMph,
}: {
  temperatureF: number;
  windMph: number;
}): { effectiveTemperatureF: number } {
  return { effectiveTemperatureF: temperatureF - windMph };
}

/**
 * Extra energy in the cold by the rule of thumb: percent of the energy need per °F below the lower critical
 * temperature of the coat. The worked examples (North Dakota State, Oklahoma State) raise the whole ration by it.
 * Source: South Dakota State (1 % per °F); Oklahoma State uses 2 % per °F for a wet coat (`rule`).
 */
export function coldRuleOfThumb({
  effectiveTemperatureF,
  coat,
  rule = 'one-per-cent',
}: {
  effectiveTemperatureF: number;
  coat: CoatDescription;
  rule?: 'one-per-cent' | 'two-per-cent-when-wet';
}): { extraPercent: number; lowerCriticalTemperatureF: number; degreesBelowF: number; rule: string; source: string } {
  const critical = LOWER_CRITICAL_TEMPERATURES_F.find((row) => row.coat === coat);
  const chosen = COLD_RULES.find((row) => row.key === rule);
  if (critical === undefined || chosen === undefined) throw new RangeError('Unknown coat or rule');
  const degreesBelowF = Math.max(0, critical.temperatureF - effectiveTemperatureF);
  const perDegree = coat === 'wet-or-summer' ? chosen.wetPercentPerF : chosen.dryPercentPerF;
  return {
    extraPercent: degreesBelowF * perDegree,
    lowerCriticalTemperatureF: critical.temperatureF,
    degreesBelowF,
    rule,
    source: chosen.source,
  };
}

/**
 * Which coat of the rule of thumb a coat condition and hair depth stand for: wet or covered is wet; dry hair up to
 * 0.6 cm is a summer coat, up to 1 cm autumn, up to 1.6 cm winter, longer heavy winter. The hair depths are common
 * practice, no source.
 */
export function coatDescription({ coat, hairDepthCm }: { coat: CoatCondition; hairDepthCm: number }): {
  coat: CoatDescription;
} {
  if (coat === 'wet-and-matted' || coat === 'covered-with-wet-snow-or-mud') return { coat: 'wet-or-summer' };
  if (hairDepthCm <= 0.6) return { coat: 'wet-or-summer' };
  if (hairDepthCm <= 1) return { coat: 'dry-autumn' };
  if (hairDepthCm <= 1.6) return { coat: 'dry-winter' };
  return { coat: 'dry-heavy-winter' };
}
