import type { Calculation } from './calculation.js';
import { BUDGET_CALCULATIONS } from './budget.calculations.js';
import { CAUTION_CALCULATIONS } from './caution.calculations.js';
import { FORAGE_CALCULATIONS } from './forage.calculations.js';
import { GAIN_CALCULATIONS } from './gain.calculations.js';
import { HAY_PRICE_CALCULATIONS } from './hay-price.calculations.js';
import { RATION_CALCULATIONS } from './ration.calculations.js';
import { REQUIREMENT_CALCULATIONS } from './requirement.calculations.js';
import { STOCK_CALCULATIONS } from './stock.calculations.js';
import { TRIAL_CALCULATIONS } from './trial.calculations.js';

/** All calculations. */
export const CALCULATIONS: readonly Calculation[] = [
  ...FORAGE_CALCULATIONS,
  ...HAY_PRICE_CALCULATIONS,
  ...CAUTION_CALCULATIONS,
  ...STOCK_CALCULATIONS,
  ...BUDGET_CALCULATIONS,
  ...GAIN_CALCULATIONS,
  ...REQUIREMENT_CALCULATIONS,
  ...RATION_CALCULATIONS,
  ...TRIAL_CALCULATIONS,
];

/** @throws RangeError if there is none of that name. */
export function calculationOf(name: string): Calculation {
  const found = CALCULATIONS.find((one) => one.name === name);
  if (found === undefined) throw new RangeError(`No calculation is called ${name}`);
  return found;
}
