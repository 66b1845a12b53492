import { z } from 'zod';
import { ROLL_UP_LINES } from '../../core/season/roll-up.js';
import { figure, text } from '../../platform/http/columns.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { day, id } from '../../platform/wire/common.schema.js';
import { currency, massOut, moneyOut, unitsQuery, unitSystem } from '../../platform/wire/quantity.schema.js';
import { period, reportHead } from '../report.schema.js';

const line = z.object({
  line: z.enum(ROLL_UP_LINES).describe('Line of season cost, of cattle, or feed-on-hand: hay and feed in the books'),
  amount: moneyOut,
});
const operation = z
  .object({
    operationId: id,
    operation: z.string().describe('Name of the operation'),
    invented: z.boolean().describe('True where the books are invented demo data'),
    currency,
    units: unitSystem,
    costingMethod: z.string().describe('How hay that left was valued'),
    flags: reportHead.flags,
    lines: z.array(line),
    hayFed: massOut.describe('Hay fed on these days, without other feed'),
    onHand: massOut.describe('Hay and other feed on hand at the end of the last day'),
  })
  .meta({ id: 'RollUpOperation', description: 'The books of one operation in a roll-up, in its own currency' });

const report = z
  .object({
    from: period.from,
    until: period.until,
    currency: currency.nullable().describe('Only operations with this currency; null for all, side by side'),
    onDay: day.describe('Day on which hay and feed on hand are told: the last one'),
    method: z.string().describe('How the figures were worked out'),
    operations: z.array(operation).describe('Those in which the person asking may see prices, by name'),
    sums: z
      .array(
        z.object({
          currency,
          operations: z.number().int().describe('How many operations have this currency'),
          lines: z.array(line),
        }),
      )
      .describe('Summed apart for each currency: two currencies are never added'),
  })
  .meta({ id: 'RollUp', description: 'The books of several operations side by side' });

function table(answer: z.output<typeof report>): Table {
  return {
    columns: [text('operation'), text('operation_id'), text('currency'), text('line'), figure('amount')],
    rows: [
      ...answer.operations.flatMap((one) =>
        one.lines.map(({ line: name, amount }) => [one.operation, one.operationId, one.currency, name, amount.amount]),
      ),
      ...answer.sums.flatMap((sum) =>
        sum.lines.map(({ line: name, amount }) => [`Total ${sum.currency}`, null, sum.currency, name, amount.amount]),
      ),
    ],
  };
}

export const getRollUp = endpoint({
  method: 'GET',
  path: '/v1/accounting/roll-up',
  operationId: 'getRollUp',
  transaction: 'own',
  tag: 'Accounting',
  access: 'signed-in',
  summary: 'The books of all your operations, side by side',
  description:
    'Season cost, other costs of herds, cattle at money, and hay and feed on hand, of every operation in which you ' +
    'may see prices at this moment, each in its own currency; sums apart for each currency. An engagement that ended ' +
    'shows nothing. Each operation is entered as by itself, and answers as its own reports do.',
  query: z.strictObject({
    ...period,
    ...unitsQuery,
    currency: currency.optional().describe('Only operations with this currency'),
  }),
  answer: report,
  table,
});
