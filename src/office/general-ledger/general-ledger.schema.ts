import { z } from 'zod';
import { ACCOUNT_ROLE_CODES, type AccountRole } from '../../core/stock/accounts.data.js';
import { LEDGER_DETAILS } from '../../core/stock/general-ledger.js';
import { calendarDay, figure, text } from '../../platform/http/columns.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { day, id, operationParams } from '../../platform/wire/common.schema.js';
import { moneyOut } from '../../platform/wire/quantity.schema.js';
import { frozenHead, NOT_IN_OLDER, period } from '../report.schema.js';

const words = (what: string): z.ZodNullable<z.ZodString> => z.string().nullable().describe(what);
const ledgerLine = z
  .object({
    on: day.describe('Day of the entry; of a month, its last day'),
    entryId: id.nullable().describe('Entry that the line belongs to; null in a summary'),
    kind: words('What happened, by its code; null in a summary'),
    account: z.enum(ACCOUNT_ROLE_CODES as [AccountRole, ...AccountRole[]]).describe('Role of the account'),
    accountNumber: z.string().describe("The operation's own number"),
    accountName: z.string().describe("The operation's own name"),
    enterprise: z.string().describe('What the amount is of: hay, or the class of the cattle'),
    debit: moneyOut,
    credit: moneyOut,
    vendor: words('Who sold the hay or the cattle, or sent the bill'),
    buyer: words('Who bought hay or cattle'),
    memo: words('What was written with the record'),
    hayKind: words('Kind of hay or feed'),
    hayLotId: id.nullable(),
    hayLot: words('Name of the hay lot'),
    herdId: id.nullable(),
    herd: words('Name of the herd; of a late bill, the herd that ate that part of the hay'),
    source: z
      .object({ kind: z.string().describe('What record caused it'), id })
      .nullable()
      .describe('Null for yardage, which no single record causes, and in a summary'),
    reversesId: id.nullable().describe('Entry that it reverses'),
    lines: z.number().int().describe('How many lines of entries it sums; 1 for an entry'),
  })
  .meta({ id: 'GeneralLedgerLine', description: 'One side of an entry, or of a day or month in sum' });
export type LedgerLine = z.input<typeof ledgerLine>;

const { units: _units, ...head } = frozenHead;
export const generalLedgerReport = z
  .object({
    ...head,
    from: period.from,
    until: period.until,
    detail: z
      .enum(LEDGER_DETAILS)
      .describe(
        'Entry by entry, or in sum by account and enterprise: day by day, month by month, or over all the days',
      ),
    costingMethod: z.string().describe('Costing method by which hay was valued'),
    batchId: id
      .nullable()
      .describe('Of a closed period: the same batch reads the same again; null where days are open'),
    openAccounts: z
      .enum(['yes', 'no'])
      .optional()
      .describe(`Whether the plain text opens the accounts; ${NOT_IN_OLDER}`),
    accounts: z
      .array(ledgerLine.pick({ account: true, accountNumber: true, accountName: true }))
      .optional()
      .describe(`Every account of the map, whether something was posted to it or not; ${NOT_IN_OLDER}`),
    lines: z.array(ledgerLine),
    totalDebit: moneyOut,
    totalCredit: moneyOut,
  })
  .meta({
    id: 'GeneralLedger',
    description: 'Balanced postings to the accounts: the hay books, yardage, cattle and other costs of herds',
  });

function table(answer: z.output<typeof generalLedgerReport>): Table {
  return {
    columns: [
      text('batch_id'),
      calendarDay('on'),
      text('entry_id'),
      text('kind'),
      text('account_number'),
      text('account_name'),
      text('enterprise'),
      figure(`debit_${answer.currency}`),
      figure(`credit_${answer.currency}`),
      text('vendor'),
      text('buyer'),
      text('memo'),
      text('hay_kind'),
      text('hay_lot'),
      text('herd'),
      text('hay_lot_id'),
      text('herd_id'),
      text('source_kind'),
      text('source_id'),
      text('reverses_id'),
    ],
    rows: answer.lines.map((line) => [
      answer.batchId,
      line.on,
      line.entryId,
      line.kind,
      line.accountNumber,
      line.accountName,
      line.enterprise,
      line.debit.amount,
      line.credit.amount,
      line.vendor,
      line.buyer,
      line.memo,
      line.hayKind,
      line.hayLot,
      line.herd,
      line.hayLotId,
      line.herdId,
      line.source?.kind ?? null,
      line.source?.id ?? null,
      line.reversesId,
    ]),
  };
}

export const getGeneralLedger = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/general-ledger',
  operationId: 'getGeneralLedger',
  inThread: 'long-ledger',
  tag: 'Accounting',
  access: 'prices',
  summary: 'General ledger for the accountant',
  description:
    'The journal of the hay books, the yardage of each herd and month, and the journal of cattle and of other costs ' +
    'of herds, entry by entry or in sum by day or month, account and enterprise. What a closeout is made of stands ' +
    'with its herd here: feed, yardage, cattle, other costs, and the part of late bills by who ate; interest on ' +
    'stated terms is posted nowhere. ' +
    'Over exactly a closed period it is the batch that was stored at closing and reads the ' +
    'same again. As JSON, CSV, workbook, or as double entry in plain text (`format=beancount`).',
  params: operationParams,
  query: z.strictObject({
    ...period,
    detail: z
      .enum(LEDGER_DETAILS)
      .default('entry')
      .describe('How finely it is told; period: one balance of each account and enterprise over all the days'),
    openAccounts: z
      .enum(['yes', 'no'])
      .default('yes')
      .describe(
        'For format=beancount. no: without the lines that open the accounts, for a file that is joined to an earlier ' +
          'one that has them. A file opens all accounts of the map on its first day',
      ),
  }),
  answer: generalLedgerReport,
  table,
  alsoAs: ['beancount'],
});
