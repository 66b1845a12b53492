import { z } from 'zod';
import { COSTING_METHODS } from '../../core/stock/costing-entries.js';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { calendarDay, figure, text } from '../../platform/http/columns.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, operationParams } from '../../platform/wire/common.schema.js';
import { moneyOut, unitsQuery } from '../../platform/wire/quantity.schema.js';
import { frozenHead, NOT_IN_OLDER, period } from '../report.schema.js';

const side = moneyOut.describe('Amount on this side; 0.00 where the entry is on the other side');
const line = z.object({
  account: z.string().describe('Role of the account'),
  accountNumber: z.string().describe("The operation's own number"),
  accountName: z.string().describe("The operation's own name"),
  debit: side,
  credit: side,
  hayKind: z.string().describe('Kind of hay or feed'),
  hayLotId: id,
  herdId: id.nullable().describe('Herd of a feed expense; null for other lines'),
});
const entry = z
  .object({
    entryId: id.describe('Id of the ledger entry'),
    on: day,
    kind: z.string().describe('What happened, by its code'),
    source: z.object({ kind: z.string().describe('What record caused it'), id }),
    reversesId: id.nullable().describe('Id of the entry that it reverses; null if it reverses none'),
    lines: z.array(line),
  })
  .meta({ id: 'JournalEntry', description: 'One double entry: its debits and credits are equal' });

/** Beside what the books hold, what people wrote. */
const entryInWords = entry
  .extend({
    vendor: z.string().nullable().describe('Who sold the hay or sent the bill; null where nobody did'),
    buyer: z.string().nullable().describe('Who bought hay; null where none was sold'),
    memo: z.string().nullable().describe('The note or reason written with the record; null where there is none'),
  })
  .meta({ id: 'JournalEntryInWords', description: 'A double entry, with what was written with its record' });

export const journalReport = z
  .object({
    ...frozenHead,
    from: period.from,
    until: period.until,
    costingMethod: z.string().describe('Costing method by which hay was valued'),
    entries: z.array(entry),
    totalDebit: moneyOut,
    totalCredit: moneyOut,
  })
  .meta({ id: 'Journal', description: 'Balanced double entries of the hay books, as a closing stores them' });

const { units: _units, method: _method, inputs: _inputs, ...pageHead } = frozenHead;
export const journalPage = z
  .object({
    ...pageHead,
    from: day.nullable().describe('First day; the beginning of the books if left out'),
    until: period.until,
    costingMethod: z.enum(COSTING_METHODS).describe('Costing method by which hay was valued'),
    ...pageAnswer(entryInWords).shape,
  })
  .meta({ id: 'JournalPage', description: 'One page of the double entries of the hay books' });

const trialRow = z.object({
  accountNumber: z.string().describe('Number of the account in the chart of accounts'),
  accountName: z.string().describe('Name of the account, as the accountant knows it'),
  debit: side,
  credit: side,
});
export const trialBalanceReport = z
  .object({
    ...frozenHead,
    from: day.nullable().describe('First day; the beginning of the books if left out'),
    until: period.until,
    costingMethod: z.string().describe('Costing method by which hay was valued'),
    rows: z.array(trialRow),
    totalDebit: moneyOut,
    totalCredit: moneyOut,
  })
  .meta({ id: 'TrialBalance', description: 'Net balance of each account; the two totals are equal' });

const herdShare = z
  .object({ herdId: id, herd: z.string().describe('Name of the herd'), amount: moneyOut })
  .meta({ id: 'HerdShareOfVariance', description: "A herd's part of a cost that came late, by the hay it ate" });
const varianceRow = z.object({
  entryId: id,
  on: day,
  amount: moneyOut.describe('Above zero: the hay that was already fed or sold cost more than it was charged at'),
  cause: z.enum(['late-cost', 'reversal']).describe('Whether a later bill or a reversed receipt caused it'),
  source: z.object({ kind: z.string().describe('What record caused it'), id }),
  hayKind: z.string().describe('Kind of hay or feed'),
  hayLotId: id,
  herds: z
    .array(herdShare)
    .optional()
    .describe(`Shared by who ate of the lot between its receipt and this day; ${NOT_IN_OLDER}`),
  notEaten: moneyOut.optional().describe(`The part of hay that was sold or lost; ${NOT_IN_OLDER}`),
});
export const varianceReport = z
  .object({
    ...frozenHead,
    from: period.from,
    until: period.until,
    costingMethod: z.string().describe('Costing method by which hay was valued'),
    variances: z.array(varianceRow),
    byHerd: z.array(herdShare).optional().describe(`The late costs of each herd; ${NOT_IN_OLDER}`),
    notEaten: moneyOut.optional().describe(`The part of hay that was sold or lost; ${NOT_IN_OLDER}`),
    total: moneyOut,
  })
  .meta({ id: 'CostVariances', description: 'Cost that changed after the hay it belongs to was fed or sold' });

const tag = 'Accounting';
const money = (one: { amount: string }): string => one.amount;

export const getJournal = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/journal',
  operationId: 'getJournal',
  inThread: 'long-ledger',
  tag,
  access: 'prices',
  summary: 'Journal, oldest first',
  description:
    "Balanced double entry of every ledger entry that moved money, with the operation's own accounts, for any " +
    'period. Entries reversed at their own instant have no posting. The totals of a period are in its trial balance.',
  params: operationParams,
  query: z.strictObject({
    ...pageQuery,
    from: day.optional().describe('First day; the beginning of the books if left out'),
    until: period.until,
  }),
  answer: journalPage,
  paged: true,
  register: { lines: ['lines'] },
});
export const getTrialBalance = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/reports/trial-balance',
  operationId: 'getTrialBalance',
  inThread: 'long-ledger',
  tag,
  access: 'prices',
  summary: 'Trial balance',
  description:
    'Of the postings of the hay books from a day, or from their beginning, to another: the totals of that journal.',
  params: operationParams,
  query: z.strictObject({
    from: day.optional().describe('First day; the beginning of the books if left out'),
    until: period.until,
    ...unitsQuery,
  }),
  answer: trialBalanceReport,
  table: (answer) => ({
    columns: [
      text('account_number'),
      text('account_name'),
      figure(`debit_${answer.currency}`),
      figure(`credit_${answer.currency}`),
    ],
    rows: [
      ...answer.rows.map((row) => [row.accountNumber, row.accountName, money(row.debit), money(row.credit)]),
      ['Total', null, money(answer.totalDebit), money(answer.totalCredit)],
    ],
  }),
});
export const getCostVariances = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/reports/cost-variances',
  operationId: 'getCostVariances',
  inThread: 'long-ledger',
  tag,
  access: 'prices',
  summary: 'Cost variances',
  description: 'Later bills and reversed receipts, for the part of their hay that was already fed or sold.',
  params: operationParams,
  query: z.strictObject({ ...period, ...unitsQuery }),
  answer: varianceReport,
  table: (answer) => ({
    columns: [
      calendarDay('on'),
      text('entry_id'),
      text('cause'),
      text('source_kind'),
      text('source_id'),
      text('hay_kind'),
      text('hay_lot_id'),
      figure(`amount_${answer.currency}`),
      figure(`of_which_not_eaten_${answer.currency}`),
    ],
    rows: [
      ...answer.variances.map((row) => [
        row.on,
        row.entryId,
        row.cause,
        row.source.kind,
        row.source.id,
        row.hayKind,
        row.hayLotId,
        money(row.amount),
        row.notEaten?.amount ?? null,
      ]),
      ['Total', null, null, null, null, null, null, money(answer.total), answer.notEaten?.amount ?? null],
    ],
  }),
});
