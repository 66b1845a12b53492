import { z } from 'zod';
import { BUDGET_LINES } from '../../core/season/money-budget.js';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { figure, text } from '../../platform/http/columns.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { day, id, instantOut, note, operationParams } from '../../platform/wire/common.schema.js';
import { amountIn, decimalOut, moneyOut, unitsQuery } from '../../platform/wire/quantity.schema.js';
import { reportHead } from '../report.schema.js';

export const budgetMonth = z
  .string()
  .regex(/^(199\d|20\d\d|2100)-(0[1-9]|1[0-2])$/, 'must be a month such as 2026-11')
  .describe('Calendar month, YYYY-MM');
const line = z.enum(BUDGET_LINES).describe('Line of the budget; all but cattle-sold are costs');

const budgetEntry = z
  .object({
    id,
    herdId: id,
    beginsOn: day.describe('First day of the month'),
    month: budgetMonth,
    line,
    amount: moneyOut.nullable().describe('Null where the plan was taken back'),
    amountTyped: decimalOut.nullable().describe('As it was typed, digit for digit; null where the plan was taken back'),
    revision: z.number().int().describe('1 for the first plan of this month, herd and line; each later one counts on'),
    isCurrent: z.boolean().describe('Whether this is the latest revision, which the report goes by'),
    note: z.string().nullable().describe('Free text; null if nothing was noted'),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'BudgetEntry', description: 'Money planned for a line, herd and month; a later entry revises it' });

const tag = 'Costs';
const params = operationParams.extend({ budgetEntryId: id });

export const createBudgetEntry = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/budget-entries',
  operationId: 'createBudgetEntry',
  tag,
  access: 'office',
  summary: 'Plan money for a month, a herd and a line',
  description:
    'Another entry of the same month, herd and line revises it; null takes it back. The earlier ones stay on file.',
  params: operationParams,
  body: z.strictObject({
    herdId: id,
    month: budgetMonth,
    line,
    amount: amountIn
      .refine((value) => !value.startsWith('-'), 'must be 0 or more')
      .nullable()
      .describe("In the operation's currency; null takes the plan back"),
    note: note.optional(),
  }),
  answer: budgetEntry,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/budget-entries/${created.id}`,
});
export const listBudgetEntries = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/budget-entries',
  operationId: 'listBudgetEntries',
  tag,
  access: 'prices',
  summary: 'Money planned, by month, with its revisions',
  params: operationParams,
  query: z.strictObject({
    ...pageQuery,
    herdId: id.optional().describe('Only those of this herd'),
    current: z.enum(['true', 'false']).default('false').describe('true: only the latest revisions'),
  }),
  answer: pageAnswer(budgetEntry),
  paged: true,
  register: {},
});
export const getBudgetEntry = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/budget-entries/:budgetEntryId',
  operationId: 'getBudgetEntry',
  tag,
  access: 'prices',
  summary: 'Money planned once',
  params,
  answer: budgetEntry,
});

const held = {
  budget: moneyOut.nullable().describe('Null where nothing was planned'),
  actual: moneyOut.describe('From the books'),
  unplanned: moneyOut.describe('The part of the actual that came in months and herds without a plan for the line'),
  variance: moneyOut
    .nullable()
    .describe('Actual less what came without a plan, less budget; null where nothing was planned'),
  variancePercent: decimalOut.nullable().describe('The variance over the budget; null where that is nothing'),
  favorable: z.boolean().nullable().describe('Whether the variance is to the good; null where nothing was planned'),
};
const row = z
  .object({ month: budgetMonth, herdId: id, herd: z.string().describe('Name of the herd'), line, ...held })
  .meta({
    id: 'BudgetAgainstActualRow',
    description: 'Money planned and money that came, of one month, herd and line',
  });
const lineSum = z
  .object({ line, ...held })
  .meta({ id: 'BudgetAgainstActualLine', description: 'A line of all months and herds' });

export const budgetAgainstActualReport = z
  .object({
    ...reportHead,
    from: budgetMonth.describe('First month, included'),
    until: budgetMonth.describe('Last month, included'),
    costingMethod: z.string().describe('How hay that left was valued'),
    rows: z.array(row),
    lines: z.array(lineSum),
    costs: z.object(held).describe('All lines but cattle'),
    correctionsOfEarlier: z
      .array(z.object({ line, amount: moneyOut }))
      .describe('What reversals of these months change of earlier ones, by line; in no row'),
  })
  .meta({ id: 'BudgetAgainstActual', description: 'Money planned against the books, by month, herd and line' });

export function budgetAgainstActualTable(answer: z.output<typeof budgetAgainstActualReport>): Table {
  type Cells = Pick<
    z.output<typeof row>,
    'budget' | 'actual' | 'unplanned' | 'variance' | 'variancePercent' | 'favorable'
  >;
  const cells = (one: Cells): (string | null)[] => [
    one.budget?.amount ?? null,
    one.actual.amount,
    one.unplanned.amount,
    one.variance?.amount ?? null,
    one.variancePercent,
    one.favorable === null ? null : one.favorable ? 'yes' : 'no',
  ];
  return {
    columns: [
      text('month'),
      text('herd'),
      text('herd_id'),
      text('line'),
      figure(`budget_${answer.currency}`),
      figure(`actual_${answer.currency}`),
      figure(`not_planned_${answer.currency}`),
      figure(`variance_${answer.currency}`),
      figure('variance_percent'),
      text('favorable'),
    ],
    rows: [
      ...answer.rows.map((one) => [one.month, one.herd, one.herdId, one.line, ...cells(one)]),
      ...answer.lines.map((one) => ['Total', null, null, one.line, ...cells(one)]),
      ['Total', null, null, 'all costs', ...cells(answer.costs)],
      ...answer.correctionsOfEarlier.map((one) => [
        ...['Correction of earlier months', null, null, one.line],
        ...[null, one.amount.amount, null, null, null, null],
      ]),
    ],
  };
}

export const getBudgetAgainstActual = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/reports/budget-against-actual',
  operationId: 'getBudgetAgainstActual',
  inThread: 'long-ledger',
  tag: 'Reports',
  access: 'prices',
  summary: 'Money budget against actual',
  description:
    'By month, herd and line: what was planned, what the books say, and the difference in money and percent. Hay, ' +
    'other feed and yardage are those of season cost; cattle and other costs are those of the closeout.',
  params: operationParams,
  query: z.strictObject({
    from: budgetMonth.describe('First month, included'),
    until: budgetMonth.describe('Last month, included'),
    herdId: id.optional().describe('Only this herd; all herds if left out'),
    ...unitsQuery,
  }),
  answer: budgetAgainstActualReport,
  table: budgetAgainstActualTable,
});
