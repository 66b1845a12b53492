import { z } from 'zod';
import { ACCOUNT_ROLE_CODES, type AccountRole } from '../../core/stock/accounts.data.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { line, operationParams, version } from '../../platform/wire/common.schema.js';

const role = z
  .enum(ACCOUNT_ROLE_CODES as [AccountRole, ...AccountRole[]])
  .describe('What the account is for in the hay books');
const accountNumber = z
  .string()
  .trim()
  .regex(/^[A-Za-z0-9][A-Za-z0-9.-]{0,19}$/, 'letters, digits, dots and dashes, at most 20')
  .describe('Number of the account in the chart of accounts');
const account = z.object({
  role,
  number: z.string().describe('Number of the account in the chart of accounts'),
  name: z.string().describe('Name of the account, as the accountant knows it'),
});

const accountMap = z
  .object({ accounts: z.array(account), version })
  .meta({ id: 'AccountMap', description: "The operation's own accounts for what the hay books touch" });

export const getAccountMap = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/account-map',
  operationId: 'getAccountMap',
  tag: 'Accounting',
  access: 'prices',
  summary: 'Accounts of the hay books',
  description: 'The map starts with common account numbers; two roles may share an account.',
  params: operationParams,
  answer: accountMap,
  versioned: true,
});
export const changeAccountMap = endpoint({
  method: 'PUT',
  path: '/v1/operations/:operationId/account-map',
  operationId: 'changeAccountMap',
  tag: 'Accounting',
  access: 'office',
  summary: 'Map the accounts',
  description: 'Roles left out stay as they are.',
  params: operationParams,
  body: z.strictObject({
    accounts: z
      .array(
        z.strictObject({
          role,
          number: accountNumber,
          name: line(120).describe('Name of the account, as the accountant knows it'),
        }),
      )
      .min(1)
      .max(ACCOUNT_ROLE_CODES.length)
      .describe('One entry for each role'),
  }),
  answer: accountMap,
  changes: true,
  versioned: true,
});
