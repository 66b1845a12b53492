import { quantity, sentence, type Words } from '../units/wording.js';
import type { AnimalFacts } from './animal-facts.js';
import type { EnergyNeed } from './energy-need.js';
import { nrc2000ConceptusWeight } from './pregnancy.js';
import { DEFAULTS } from './requirement-defaults.data.js';
import type { AnimalDescription, RequirementConditions, WeatherContext } from './requirement-set.js';
import { NRC, type Working } from './working.js';

/** The energy need in the working, family by family. */
export function tellEnergy(
  animal: AnimalDescription,
  conditions: RequirementConditions,
  facts: AnimalFacts,
  need: EnergyNeed,
  working: Working,
): void {
  working.step('maintenance', 'shrunk weight', facts.shrunkKg, 'kg', `${NRC}: 0.96·full weight`);
  working.step(
    'maintenance',
    'net energy in comfort',
    need.base,
    'Mcal/d',
    `Lofgreen & Garrett 1968; ${NRC} multipliers`,
  );
  if (need.activity > 0) {
    const walkingStated = conditions.activity?.flatWalkingKmPerDay !== undefined;
    const source =
      conditions.edition === 'NASEM2016' && walkingStated ? 'Fox & Tylutki 1998; NASEM 2016' : 'CSIRO 1990; NRC 2000';
    working.step('activity', 'grazing and walking', need.activity, 'Mcal/d', source);
  }
  if (need.heat > 0) working.step('heat', 'panting', need.heat, 'Mcal/d', NRC);
  if (conditions.weather !== undefined) tellCold(conditions.weather, need, working);
  if (facts.daysPregnant > 0) tellPregnancy(facts, need, working);
  if (facts.lactating) tellMilk(animal, facts, need, working);
}

function tellCold(weather: WeatherContext, need: EnergyNeed, working: Working): void {
  const thumb = weather.coldMethod === 'rule-of-thumb';
  const source = thumb
    ? 'South Dakota State University Extension: 1 % per °F; Ames & Insley 1975 wind chill'
    : 'NRC 1981; NRC 2000 heat balance';
  working.step('cold', 'lower critical temperature', need.lowerCriticalTemperatureC ?? 0, '°C', source);
  working.step(
    'cold',
    'temperature as felt',
    need.effectiveTemperatureC ?? 0,
    '°C',
    thumb ? source : 'air temperature; wind enters by the insulation',
  );
  working.step('cold', 'extra net energy', need.cold, 'Mcal/d', source);
  if (need.extraPercent !== null)
    working.step('cold', 'extra share of maintenance, pregnancy and milk', need.extraPercent, '%', source);
  if (thumb) noteRuleOfThumb(weather, need, working);
  if (need.ruleOfThumbBeside !== null) noteBeyondEquation(need, need.ruleOfThumbBeside, working);
  if (weather.hairDepthCm === undefined) {
    working.note(
      'default-hair-depth',
      sentence`Hair depth taken as ${quantity(DEFAULTS.hairDepthCm, 'cm', 1)}.`,
      'common practice, no source',
    );
  }
}

const BEYOND_EQUATION =
  'So far out do not rely on either figure alone: give them shelter from the wind and go by their condition.';

function noteBeyondEquation({ cold }: EnergyNeed, byRuleOfThumb: number, working: Working): void {
  const [balance, thumb] = [quantity(cold, 'Mcal', 1), quantity(byRuleOfThumb, 'Mcal', 1)];
  const adds = sentence`For this cold and wind the heat balance adds ${balance} of NEm a day, more than all of `;
  const beside = sentence`${adds}maintenance in comfort; the rule of thumb for cold adds ${thumb}.`;
  working.note(
    'cold-beyond-equation',
    sentence`${beside} ${BEYOND_EQUATION}`,
    'NRC 2000 heat balance; South Dakota State University Extension: 1 % per °F; the limit common practice, no source',
  );
}

const FROM = quantity(-10, 'F', 0);
const TO = quantity(50, 'F', 0);
const BEYOND_TABLE = {
  temperature: sentence`The wind chill table runs from ${FROM} to ${TO} and is drawn on as a straight line.`,
  wind: sentence`The wind chill table ends at ${quantity(40, 'mph', 0)}, and its last row is used.`,
} as const satisfies Record<EnergyNeed['beyondWindChillTable'][number], Words>;

function noteRuleOfThumb(weather: WeatherContext, { beyondWindChillTable }: EnergyNeed, working: Working): void {
  if (weather.previousMonthTemperatureC !== undefined)
    working.note(
      'rule-of-thumb-without-acclimatisation',
      'The rule of thumb adds to the need in comfort; the adjustment for the month before is not added as well.',
      'North Dakota State University Extension; South Dakota State University Extension',
    );
  const [end, otherEnd] = beyondWindChillTable;
  if (end !== undefined)
    working.note(
      'wind-chill-beyond-table',
      otherEnd === undefined ? BEYOND_TABLE[end] : sentence`${BEYOND_TABLE[end]} ${BEYOND_TABLE[otherEnd]}`,
      'Ames & Insley 1975',
    );
}

function tellPregnancy({ calfBirthWeightKg, daysPregnant }: AnimalFacts, need: EnergyNeed, working: Working): void {
  working.step('pregnancy', 'net energy for pregnancy', need.pregnancy, 'Mcal/d', `${NRC} eq. 4-4 to 4-7`);
  const { conceptusGainKgPerDay } = nrc2000ConceptusWeight({ calfBirthWeightKg, daysPregnant });
  working.step('pregnancy', 'gain of the gravid uterus', conceptusGainKgPerDay, 'kg/d', `${NRC} p. 43`);
}

function tellMilk(animal: AnimalDescription, facts: AnimalFacts, need: EnergyNeed, working: Working): void {
  const source = animal.milkKgPerDay === undefined ? `${NRC} p. 45 lactation curve` : 'given';
  working.step('lactation', 'milk of the day', facts.milkKg, 'kg/d', source);
  working.step('lactation', 'energy of milk', facts.milkEnergy, 'Mcal/kg', `${NRC} p. 45`);
  working.step('lactation', 'net energy for milk', need.lactation, 'Mcal/d', `${NRC}: milk energy counts 1:1 as NEm`);
}
