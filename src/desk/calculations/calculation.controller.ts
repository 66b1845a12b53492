import { Controller } from '@nestjs/common';
import { z } from 'zod';
import { Endpoint, endpoint, Received } from '../../platform/http/endpoint.js';
import { type Calculation, FAMILIES, sourceOut } from './calculation.js';
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
const CALCULATIONS: readonly Calculation[] = [
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

const listCalculations = endpoint({
  method: 'GET',
  transaction: 'own',
  path: '/v1/calculations',
  operationId: 'listCalculations',
  tag: 'Calculations',
  access: 'signed-in',
  summary: 'Every calculation that needs no records',
  description: 'What each takes and answers is in the API description. Nothing is saved.',
  answer: z.object({
    items: z
      .array(
        z.object({
          name: z.string().describe('Name of the calculation, as in its address'),
          family: z.enum(FAMILIES).describe('Family that it belongs to'),
          method: z.enum(['GET', 'POST']).describe('HTTP method to call it with'),
          path: z.string().describe('Path to call it at'),
          summary: z.string().describe('What it works out'),
          source: z.array(sourceOut).describe('Where it comes from'),
        }),
      )
      .describe('All of them; the list is not paged'),
  }),
});

/** The scratch pad: each calculation has its own address, and one address lists them all. */
@Controller()
export class CalculationController {
  @Endpoint(listCalculations)
  list() {
    return {
      items: CALCULATIONS.map(({ name, family, summary, source, endpoint: { method, path } }) => ({
        name,
        family,
        method,
        path,
        summary,
        source,
      })),
    };
  }
}

// Each calculation becomes a method of the controller, declared as if it were written in the class.
for (const { endpoint: declared, run } of CALCULATIONS) {
  const method = declared.operationId;
  const answer: PropertyDescriptor = {
    value: ({ input }: { input: { body: unknown } }) => run(input.body),
    writable: true,
    configurable: true,
  };
  Object.defineProperty(CalculationController.prototype, method, answer);
  Received()(CalculationController.prototype, method, 0);
  Endpoint(declared)(CalculationController.prototype, method, answer);
}
