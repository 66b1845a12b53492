import { z } from 'zod';
import { figure, text } from '../../platform/http/columns.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { operationParams } from '../../platform/wire/common.schema.js';
import { massOut, moneyOut, unitsQuery } from '../../platform/wire/quantity.schema.js';
import { period, reportHead } from '../report.schema.js';

const month = z
  .object({
    month: z.string().describe('The month that the figures stand at the end of, as YYYY-MM'),
    ledgerQuantity: massOut.describe('On hand at its end: the sum of every movement'),
    positionQuantity: massOut.describe('On hand by the hay position'),
    rolledQuantity: massOut.describe('On hand by the roll-forward'),
    positionValue: moneyOut.describe('Inventory by the hay position'),
    rolledValue: moneyOut.describe('Inventory by the roll-forward'),
    journalChange: moneyOut.describe('What the journal debited the hay account, less what it credited'),
    rolledChange: moneyOut.describe('Closing less opening of the roll-forward'),
    journalFeed: moneyOut.describe('Feed expense of the journal'),
    seasonFeed: moneyOut.describe('Feed cost by season cost, with what it corrects of earlier feedings'),
    rolledFeed: moneyOut.describe('Fed by the roll-forward, with what season cost corrects of earlier feedings'),
    ledgerYardage: moneyOut.describe('Yardage posted to the general ledger'),
    seasonYardage: moneyOut.describe('Yardage by season cost, with what it corrects of earlier head'),
    differences: z.array(z.string()).describe('What does not tie, in words; empty where everything does'),
  })
  .meta({ id: 'TieOutMonth', description: 'One month of the books, told by each of the reports' });
const tieOutReport = z
  .object({
    ...reportHead,
    from: period.from,
    until: period.until,
    months: z.array(month),
    ties: z.boolean().describe('Whether every figure of every month ties'),
  })
  .meta({
    id: 'TieOut',
    description: 'Ledger, journal, position, roll-forward and season cost held together by month',
  });

function table(answer: z.output<typeof tieOutReport>): Table {
  const unit = answer.months[0]?.ledgerQuantity.unit ?? 'ton';
  const money = (name: string) => figure(`${name}_${answer.currency}`);
  return {
    columns: [
      text('month'),
      figure(`ledger_${unit}`),
      figure(`position_${unit}`),
      figure(`roll_forward_${unit}`),
      money('position'),
      money('roll_forward'),
      money('journal_change'),
      money('roll_forward_change'),
      money('journal_feed'),
      money('season_feed'),
      money('roll_forward_feed'),
      money('ledger_yardage'),
      money('season_yardage'),
      text('ties'),
    ],
    rows: answer.months.map((one) => [
      one.month,
      one.ledgerQuantity.value,
      one.positionQuantity.value,
      one.rolledQuantity.value,
      one.positionValue.amount,
      one.rolledValue.amount,
      one.journalChange.amount,
      one.rolledChange.amount,
      one.journalFeed.amount,
      one.seasonFeed.amount,
      one.rolledFeed.amount,
      one.ledgerYardage.amount,
      one.seasonYardage.amount,
      one.differences.length === 0 ? 'yes' : one.differences.join('; '),
    ]),
  };
}

export const getTieOut = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/reports/tie-out',
  operationId: 'getTieOut',
  inThread: 'long-ledger',
  tag: 'Accounting',
  access: 'prices',
  summary: 'Do the books tie?',
  description:
    'One line a month: what is on hand by ledger, position and roll-forward, what the hay account changed by journal ' +
    'and roll-forward, and what was fed and what yardage came to by journal, general ledger and season cost. Worked ' +
    'out from the books as they are now, by the method in force for each month.',
  params: operationParams,
  query: z.strictObject({ ...period, ...unitsQuery }),
  answer: tieOutReport,
  table,
});
