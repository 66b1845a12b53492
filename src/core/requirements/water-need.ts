import { quantity, sentence } from '../units/wording.js';
import type { AnimalFacts } from './animal-facts.js';
import { DEFAULTS } from './requirement-defaults.data.js';
import type { AnimalDescription, RequirementConditions } from './requirement-set.js';
import { WATER_FOR_SALT, type WaterClass } from './water-intake.data.js';
import { waterForSalt, waterNeeded } from './water.js';
import type { Working } from './working.js';

/** L/d. */
export function waterNeed(
  animal: AnimalDescription,
  { weather, diet }: RequirementConditions,
  facts: AnimalFacts,
  intakeKg: number,
  working: Working,
): number {
  if (weather === undefined)
    working.note(
      'default-water-temperature',
      sentence`Water is given for ${quantity(DEFAULTS.waterTemperatureC, 'C', 0)}.`,
      'no temperature was given',
    );
  const water = waterNeeded({
    waterClass: waterClassOf(animal, facts),
    weightKg: animal.fullBodyWeightKg,
    temperatureC: weather?.temperatureC ?? DEFAULTS.waterTemperatureC,
    dryMatterIntakeKgPerDay: intakeKg,
    milkKgPerDay: facts.milkKg,
  });
  working.step(
    'water',
    'by class, weight and temperature',
    water.tabulatedLPerDay,
    'L/d',
    'Winchester & Morris 1956; NRC 2000',
  );
  working.step('water', 'by dry matter and milk', water.fromDryMatterLPerDay, 'L/d', 'Winchester & Morris 1956');
  if (water.beyondTable.length > 0)
    working.note(
      'water-beyond-table',
      `The water table does not reach this ${water.beyondTable.join(' and ')}; its last value and the figure ` +
        'by dry matter eaten are compared and the larger is used.',
      'NRC 2000, water table',
    );
  return water.waterLPerDay + saltWater(diet?.sodiumGPerDay ?? 0, working);
}

function saltWater(sodiumGPerDay: number, working: Working): number {
  const { waterLPerDay, saltGPerDay } = waterForSalt({ sodiumGPerDay });
  // What rounds to nothing in gallons and liters is not worth a note.
  if (waterLPerDay < WATER_FOR_SALT.leastStated.value) return waterLPerDay;
  const { source } = WATER_FOR_SALT.litersPerGramOfSalt;
  working.step('water', 'for salt beyond an ounce a day', waterLPerDay, 'L/d', source);
  const [salt, more] = [quantity(saltGPerDay, 'g', 0), quantity(waterLPerDay, 'L', 0)];
  working.note(
    'water-for-salt',
    sentence`The ration brings as much sodium as ${salt} of salt: ${more} more water.`,
    source,
  );
  return waterLPerDay;
}

function waterClassOf(animal: AnimalDescription, facts: AnimalFacts): WaterClass {
  if (facts.lactating) return 'lactating-cow';
  if (animal.class === 'bull') return 'bull';
  if (animal.class === 'finishing') return 'finishing';
  return facts.cowLike ? 'pregnant-cow' : 'growing';
}
