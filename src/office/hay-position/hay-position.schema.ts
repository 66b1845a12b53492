import { z } from 'zod';
import { figure, text } from '../../platform/http/columns.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { day, id, instantIn, instantOut, operationParams } from '../../platform/wire/common.schema.js';
import { massOut, moneyOut, pricePerMassOut, unitsQuery } from '../../platform/wire/quantity.schema.js';
import { frozenHead, NOT_IN_OLDER } from '../report.schema.js';

const line = {
  quantity: massOut.describe('How much is left, as fed'),
  value: moneyOut,
  unitCost: pricePerMassOut.nullable(),
};
const sum = z.object(line).meta({ id: 'HayPositionSum', description: 'How much is on hand, and what it is worth' });
const lot = z
  .object({
    hayLotId: id,
    hayLot: z.string().describe('Name of the hay lot'),
    ranch: z.string().describe('Name of the ranch where the hay is'),
    hayKind: z.string().describe('Kind of hay, by its code'),
    ...line,
  })
  .meta({ id: 'HayPositionLot', description: 'One lot in the yard' });

export const hayPositionReport = z
  .object({
    ...frozenHead,
    onDay: day,
    knownAt: instantOut
      .nullable()
      .describe('Only what was known at this instant is included; null if all that is known now is'),
    costingMethod: z.string().describe('Costing method by which hay was valued'),
    lots: z.array(lot).describe('Lots with hay left'),
    kinds: z.array(z.object({ hayKind: z.string().describe('Kind of hay, by its code'), ...line })),
    hay: sum.optional().describe('All hay; left out of reports stored before hay and other feed were told apart'),
    otherFeed: sum.optional().describe('All feed other than hay: grain, cubes, mineral; left out as `hay` is'),
    total: sum.describe('Hay and other feed'),
    reconciliation: z
      .object({
        received: massOut,
        drawn: massOut,
        onHand: massOut,
        valueReceived: moneyOut,
        valueDrawn: moneyOut,
        valueOfMethodChanges: moneyOut
          .optional()
          .describe(`What changes of the costing method made of the hay on hand; ${NOT_IN_OLDER}`),
        valueOnHand: moneyOut,
      })
      .describe(
        'Check since the books began: received less drawn equals on hand, in mass and, with what changes of the ' +
          'costing method made of it, in money',
      ),
  })
  .meta({ id: 'HayPosition', description: 'Hay on hand at the end of a day, and what it is worth in the books' });

function table(answer: z.output<typeof hayPositionReport>): Table {
  const unit = answer.total.quantity.unit;
  return {
    columns: [
      text('hay_lot'),
      text('hay_lot_id'),
      text('ranch'),
      text('hay_kind'),
      figure(`quantity_${unit}`),
      figure(`value_${answer.currency}`),
      figure(`unit_cost_${answer.currency}_per_${unit}`),
    ],
    rows: [
      ...answer.lots.map((one) => [
        one.hayLot,
        one.hayLotId,
        one.ranch,
        one.hayKind,
        one.quantity.value,
        one.value.amount,
        one.unitCost?.amount ?? null,
      ]),
      ...sumRow('Hay', answer.hay),
      ...sumRow('Other feed', answer.otherFeed),
      ...sumRow('Total', answer.total),
    ],
  };
}

function sumRow(label: string, one: z.output<typeof sum> | undefined): Table['rows'] {
  return one === undefined
    ? []
    : [[label, null, null, null, one.quantity.value, one.value.amount, one.unitCost?.amount ?? null]];
}

export const getHayPosition = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/reports/hay-position',
  operationId: 'getHayPosition',
  inThread: 'long-ledger',
  tag: 'Reports',
  access: 'prices',
  summary: 'Hay position',
  description:
    'Hay on hand at the end of a day by lot and kind, with its value, reconciled to the ledger; as known now or ' +
    'at an instant. On the last day of a closed period, the report that was stored at closing. As JSON or CSV.',
  params: operationParams,
  query: z.strictObject({
    on: day.describe('Day of the report; its movements are included'),
    knownAt: instantIn.optional().describe('Only what was known at this instant; left out, all that is known now'),
    ...unitsQuery,
  }),
  answer: hayPositionReport,
  table,
});
