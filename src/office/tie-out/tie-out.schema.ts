import { z } from 'zod';
import { TIE_FIGURES } from '../../core/stock/tie-out.js';
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
    closeoutFeed: moneyOut.describe("Feed of every herd's closeout of the month, with what it corrects of earlier"),
    ledgerYardage: moneyOut.describe('Yardage posted to the general ledger'),
    seasonYardage: moneyOut.describe('Yardage by season cost, with what it corrects of earlier head'),
    closeoutYardage: moneyOut.describe('Yardage of the closeouts, with what they correct of earlier head'),
    ledgerLateCosts: moneyOut.describe(
      'Late bills and corrections of the cost of hay in the general ledger, as far as herds ate it',
    ),
    seasonLateCosts: moneyOut.describe(
      'The same by season cost. A closeout has bills with the hay, whenever they came',
    ),
    ledgerOtherCosts: moneyOut.describe('Other costs of herds posted to the general ledger'),
    closeoutOtherCosts: moneyOut.describe('Other costs of the closeouts, with what they correct of earlier ones'),
    ledgerCattle: moneyOut.describe('Cattle bought less cattle sold, at money or value, in the general ledger'),
    closeoutCattle: moneyOut.describe('The same by the closeouts, with what they correct of earlier cattle'),
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
    description: 'Ledger, journal, position, roll-forward, season cost and closeouts held together by month',
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
      money('closeout_feed'),
      money('ledger_yardage'),
      money('season_yardage'),
      money('closeout_yardage'),
      money('ledger_late_costs'),
      money('season_late_costs'),
      money('ledger_other_costs'),
      money('closeout_other_costs'),
      money('ledger_cattle'),
      money('closeout_cattle'),
      text('ties'),
    ],
    rows: answer.months.map((one) => [
      one.month,
      one.ledgerQuantity.value,
      one.positionQuantity.value,
      one.rolledQuantity.value,
      ...TIE_FIGURES.map((name) => one[name].amount),
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
    'and roll-forward, what was fed and what yardage came to by journal, general ledger, season cost and the ' +
    'closeouts of all herds, and other costs and cattle at money by general ledger and closeouts. Worked out from ' +
    'the books as they are now, by the method in force for each month.',
  params: operationParams,
  query: z.strictObject({ ...period, ...unitsQuery }),
  answer: tieOutReport,
  table,
});
