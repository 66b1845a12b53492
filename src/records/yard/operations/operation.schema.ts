import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { id, instantOut, name, operationParams, timeZone, version } from '../../../platform/wire/common.schema.js';
import { currency, unitSystem } from '../../../platform/wire/quantity.schema.js';
import { COSTING_METHODS } from '../../../core/stock/costing-entries.js';

const KEY_DAYS_MOST = 730;
const CONSULTANT_HOURS_MOST = 720;
const costingMethod = z.enum(COSTING_METHODS).describe('How hay that leaves the yard is valued');

const fields = {
  name,
  unitPreference: unitSystem.describe('Units of answers that do not ask for others'),
  currency,
  timeZone,
  costingMethod,
};

const accessPolicy = z
  .object({
    secondFactor: z
      .enum(['optional', 'required'])
      .describe(
        'required: only people who have set up one-time codes or a passkey come in, and only keys of such people',
      ),
    keyDaysMost: z
      .int()
      .min(1)
      .max(KEY_DAYS_MOST)
      .nullable()
      .describe('Days after it was made that a key works here at most; null: until the key ends'),
    consultantHoursMost: z
      .int()
      .min(1)
      .max(CONSULTANT_HOURS_MOST)
      .nullable()
      .describe('Hours after giving a passphrase or one-time code that a consultant works here; null: no limit'),
  })
  .meta({ id: 'AccessPolicy', description: 'What the owner asks of everybody who comes into the books' });

const operation = z
  .object({
    id,
    name: z.string().describe('Name of the business'),
    unitPreference: unitSystem.describe('Units of answers that do not ask for others'),
    currency,
    timeZone: z.string().describe('IANA time zone of the ranch, such as America/Denver'),
    costingMethod,
    accessPolicy,
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
    accessPolicy: z
      .strictObject(accessPolicy.shape)
      .partial()
      .optional()
      .describe(
        'Parts left out stay as they are. An owner who asks for a second factor must have one. Changed only soon ' +
          'after a second look, which the other settings do not need',
      ),
  }),
  answer: operation,
  changes: true,
  versioned: true,
  problems: ['second-look-needed'],
});
