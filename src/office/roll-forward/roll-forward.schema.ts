import { z } from 'zod';
import { ROLL_FLOWS, type RollFlow } from '../../core/stock/roll-forward.js';
import { calendarDay, type Column, figure, text } from '../../platform/http/columns.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { day, operationParams } from '../../platform/wire/common.schema.js';
import { massOut, moneyOut, pricePerMassOut, unitsQuery } from '../../platform/wire/quantity.schema.js';
import { period, reportHead } from '../report.schema.js';

export const ROLL_GROUPS = ['kind', 'lot', 'ranch'] as const;

const WORDS: Readonly<Record<RollFlow, string>> = {
  bought: 'Bought, with freight and charges known when it came',
  raised: 'Harvested, at the cost of raising it',
  'transferred-in': 'From another row: within a kind or a ranch a transfer is none',
  'transferred-out': 'To another row; below zero',
  fed: 'Put in front of cattle, at cost; below zero',
  sold: 'At what it cost, not what it brought; below zero',
  shrink: 'Lost in storage; normal shrink takes no money; below zero',
  counted: 'What counts found more (above zero) or less',
  'late-cost': 'The part of later bills whose hay was still here; the rest is a cost variance',
  correction:
    'What reversals of these days, and what was posted late in place of what they took back, change of earlier ones; ' +
    'or of hay that had left',
  'costing-method': 'What a change of the costing method makes of the hay on hand; in money alone',
};

const worth = z
  .object({ quantity: massOut, value: moneyOut })
  .meta({ id: 'QuantityAndValue', description: 'So much hay or feed, and its money in the books; signed' });
const rollRow = z
  .object({
    key: z.string().describe('Kind of hay or feed, or id of the lot or ranch'),
    label: z.string().describe('Name of the row as a report prints it'),
    opening: worth.describe('At the end of the day before the first'),
    flows: z
      .object(
        Object.fromEntries(ROLL_FLOWS.map((flow) => [flow, worth.describe(WORDS[flow])])) as Record<
          RollFlow,
          typeof worth
        >,
      )
      .describe('What changed it, one by one; what adds is above zero'),
    betweenLots: moneyOut.describe(
      'Money that the lots of a kind share under an average or layers, or that a bill spread over several lots; ' +
        'zero for a kind and in the total',
    ),
    closing: worth.describe('At the end of the last day: opening and all that changed it'),
  })
  .meta({ id: 'RollForwardRow', description: 'From the opening inventory of a kind, lot or ranch to the closing one' });
type Row = z.output<typeof rollRow>;

export const rollForwardReport = z
  .object({
    ...reportHead,
    from: period.from,
    until: period.until,
    by: z.enum(ROLL_GROUPS).describe('What the rows are'),
    costingMethod: z.string().describe('How hay that left was valued'),
    rows: z.array(rollRow),
    total: rollRow,
    variances: moneyOut.describe(
      'The part of later bills and reversed receipts whose hay had left: not in the inventory',
    ),
  })
  .meta({ id: 'RollForward', description: 'The inventory of hay and feed from one day to another, in mass and money' });

const snake = (flow: string): string => flow.replaceAll('-', '_');

export function rollTable(answer: z.output<typeof rollForwardReport>): Table {
  const { unit } = answer.total.opening.quantity;
  const two = (name: string): Column[] => [figure(`${name}_${unit}`), figure(`${name}_${answer.currency}`)];
  const cells = (row: Row): (string | null)[] => [
    row.label,
    row.key,
    ...[row.opening, ...ROLL_FLOWS.map((flow) => row.flows[flow])].flatMap((one) => [
      one.quantity.value,
      one.value.amount,
    ]),
    row.betweenLots.amount,
    row.closing.quantity.value,
    row.closing.value.amount,
  ];
  return {
    columns: [
      text(answer.by),
      text('key'),
      ...['opening', ...ROLL_FLOWS.map(snake)].flatMap(two),
      figure(`between_lots_${answer.currency}`),
      ...two('closing'),
    ],
    rows: [...answer.rows, answer.total].map(cells),
  };
}

export const getRollForward = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/reports/inventory-roll-forward',
  operationId: 'getInventoryRollForward',
  inThread: 'long-ledger',
  tag: 'Reports',
  access: 'prices',
  summary: 'Inventory roll-forward',
  description:
    'Opening, bought, raised, transferred, fed, sold, shrink, counts, late costs, corrections and closing, in mass ' +
    'and money, by kind, lot or ranch, over any days. Ties to the hay position at both ends and to the hay inventory ' +
    'account of the journal between them.',
  params: operationParams,
  query: z.strictObject({
    ...period,
    ...unitsQuery,
    by: z.enum(ROLL_GROUPS).default('kind').describe('What the rows are'),
  }),
  answer: rollForwardReport,
  table: rollTable,
});

const PRICE = String.raw`[a-z-]+:\d{1,9}(\.\d{1,4})?`;
const pricesByKind = z
  .string()
  .max(1000)
  .regex(new RegExp(`^${PRICE}(,${PRICE})*$`), 'must be kinds with their prices, such as meadow:150,alfalfa:210.50');
const farmPrice = z
  .object({
    price: pricePerMassOut,
    basis: z
      .enum(['stated', 'last-sale'])
      .describe("Given in the request, or the operation's own last sale of the kind"),
    soldOn: day.nullable().describe('Day of that sale; null for a stated price'),
    grossValue: moneyOut,
    disposition: moneyOut.describe(
      'Direct cost of disposition: what selling it would cost; it carries the odd cent, so that gross value less ' +
        'disposition is the value',
    ),
    value: moneyOut.describe('Quantity times the price less the cost of disposition, rounded once'),
  })
  .meta({ id: 'FarmPriceValue', description: 'Market price less the direct cost of disposition, 26 CFR 1.471-6(d)' });
const yearEndRow = z.object({
  hayKind: z.string().describe('Kind of hay or feed, by its code'),
  label: z.string().describe('Name of the kind'),
  quantity: massOut,
  atCost: moneyOut.describe('In the books, under their costing method'),
  atFarmPrice: farmPrice.nullable().describe('Null where no price is known'),
});
const yearEndReport = z
  .object({
    ...reportHead,
    onDay: day,
    costingMethod: z.string().describe('How hay was valued at cost'),
    rows: z.array(yearEndRow),
    totalAtCost: moneyOut,
    totalGrossValue: moneyOut.nullable().describe('Sum of the gross values; null where a kind has no price'),
    totalDisposition: moneyOut.nullable().describe('Sum of the costs of disposition; null likewise'),
    totalAtFarmPrice: moneyOut.nullable().describe('Null where a kind has no price'),
    source: z.string().describe('Of the farm-price method'),
  })
  .meta({ id: 'YearEndInventory', description: 'Hay and feed on hand at cost and at farm price, side by side' });

export const getYearEndInventory = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/reports/year-end-inventory',
  operationId: 'getYearEndInventory',
  inThread: 'long-ledger',
  tag: 'Reports',
  access: 'prices',
  summary: 'Year-end inventory',
  description:
    'Hay and feed on hand at the end of a day, at cost in the books and by the farm-price method (26 CFR 1.471-6(d)) ' +
    "beside it. Prices by kind are given in the request or taken from the operation's own last sale within a year. " +
    'A valuation beside the books, never a posting in them; which method a return may use is for a tax adviser.',
  params: operationParams,
  query: z.strictObject({
    on: day.describe('Day of the inventory; its movements are included'),
    farmPrices: pricesByKind.optional().describe('Market price per ton (us) or metric ton, by kind: meadow:150'),
    disposition: pricesByKind.optional().describe('Direct cost of disposition per ton or metric ton, by kind'),
    ...unitsQuery,
  }),
  answer: yearEndReport,
  table: (answer) => {
    const unit = answer.rows[0]?.quantity.unit ?? 'ton';
    const { currency } = answer;
    return {
      columns: [
        text('kind'),
        text('hay_kind'),
        figure(`quantity_${unit}`),
        figure(`at_cost_${currency}`),
        figure(`farm_price_${currency}_per_${unit}`),
        text('price_basis'),
        calendarDay('sold_on'),
        figure(`gross_${currency}`),
        figure(`disposition_${currency}`),
        figure(`at_farm_price_${currency}`),
      ],
      rows: [
        ...answer.rows.map(({ label, hayKind, quantity, atCost, atFarmPrice: farm }) => [
          label,
          hayKind,
          quantity.value,
          atCost.amount,
          farm?.price.amount ?? null,
          farm?.basis ?? null,
          farm?.soldOn ?? null,
          farm?.grossValue.amount ?? null,
          farm?.disposition.amount ?? null,
          farm?.value.amount ?? null,
        ]),
        [
          'Total',
          null,
          null,
          answer.totalAtCost.amount,
          null,
          null,
          null,
          answer.totalGrossValue?.amount ?? null,
          answer.totalDisposition?.amount ?? null,
          answer.totalAtFarmPrice?.amount ?? null,
        ],
      ],
    };
  },
});
