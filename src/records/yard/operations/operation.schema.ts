import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { id, instantOut, name, operationParams, timeZone, version } from '../../../platform/wire/common.schema.js';
import { currency, unitSystem } from '../../../platform/wire/quantity.schema.js';
import { COSTING_METHODS } from '../../../core/stock/costing-entries.js';

const costingMethod = z.enum(COSTING_METHODS).describe('How hay that leaves the yard is valued');

const fields = {
  name,
  unitPreference: unitSystem.describe('Units of answers that do not ask for others'),
  currency,
  timeZone,
  costingMethod,
};

const operation = z
  .object({
    id,
    name: z.string().describe('Name of the business'),
    unitPreference: unitSystem.describe('Units of answers that do not ask for others'),
    currency,
    timeZone: z.string().describe('IANA time zone of the ranch, such as America/Denver'),
    costingMethod,
    invented: z.boolean().describe('True for demo data, which is invented'),
    role: z.string().describe('Your role in the operation'),
    seesPrices: z.boolean().describe('Whether money is shown to you'),
    createdAt: instantOut,
    version,
  })
  .meta({ id: 'Operation', description: 'A business with one set of books' });

export const createOperation = endpoint({
  method: 'POST',
  path: '/v1/operations',
  operationId: 'createOperation',
  tag: 'Operations',
  access: 'signed-in',
  summary: 'Open an operation; the one who opens it is its owner',
  body: z.strictObject({ ...fields, costingMethod: costingMethod.default('specific-lot') }),
  answer: operation,
  creates: (created) => `/v1/operations/${created.id}`,
  versioned: true,
});

export const listOperations = endpoint({
  method: 'GET',
  path: '/v1/operations',
  operationId: 'listOperations',
  tag: 'Operations',
  access: 'signed-in',
  summary: 'The operations that you belong to; for a nutritionist, the clients',
  query: z.strictObject(pageQuery),
  answer: pageAnswer(operation),
  paged: true,
});

export const getOperation = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId',
  operationId: 'getOperation',
  tag: 'Operations',
  access: 'read',
  summary: 'One operation',
  params: operationParams,
  answer: operation,
  versioned: true,
});

export const changeOperation = endpoint({
  method: 'PATCH',
  path: '/v1/operations/:operationId',
  operationId: 'changeOperation',
  tag: 'Operations',
  access: 'own',
  summary: "Change an operation's settings",
  description:
    'Fields left out stay as they are. The currency is fixed once opened: there is no exchange rate in these books.',
  params: operationParams,
  body: z.strictObject({
    name: fields.name.optional(),
    unitPreference: fields.unitPreference.optional(),
    timeZone: timeZone.optional(),
    costingMethod: costingMethod.optional(),
  }),
  answer: operation,
  changes: true,
  versioned: true,
});
