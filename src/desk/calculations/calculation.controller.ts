import { Controller } from '@nestjs/common';
import { z } from 'zod';
import type { Asker } from '../../platform/http/asker.js';
import { Endpoint, endpoint, Received } from '../../platform/http/endpoint.js';
import { HeavyWork } from '../../platform/workers/heavy-work.js';
import { CALCULATIONS } from './all-calculations.js';
import { FAMILIES, sourceOut } from './calculation.js';

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
  constructor(readonly heavyWork: HeavyWork) {}

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
for (const { endpoint: declared, name, heavy, run } of CALCULATIONS) {
  const method = declared.operationId;
  const answer: PropertyDescriptor = {
    value(this: CalculationController, { input: { body }, asker }: { input: { body: unknown }; asker: Asker }) {
      return heavy ? this.heavyWork.run({ personId: asker.personId }, { kind: 'calculation', name, body }) : run(body);
    },
    writable: true,
    configurable: true,
  };
  Object.defineProperty(CalculationController.prototype, method, answer);
  Received()(CalculationController.prototype, method, 0);
  Endpoint(declared)(CalculationController.prototype, method, answer);
}
