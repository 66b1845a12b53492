import { z } from 'zod';
import { MOVEMENT_KIND_CODES } from '../../core/stock/movement-kinds.data.js';
import { calendarDay, figure, text } from '../../platform/http/columns.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { day, id, instantIn, instantOut, operationParams } from '../../platform/wire/common.schema.js';
import { massOut, moneyOut, pricePerMassOut, typedMassOut, unitsQuery } from '../../platform/wire/quantity.schema.js';
import { pageAnswer } from '../../platform/http/cursor.js';
import { eventQuery } from '../../records/kit/day-range.js';
import { reportHead } from '../report.schema.js';

const BALANCE_GROUPS = ['lot', 'place', 'ranch', 'kind'] as const;
const { currency: _currency, ...head } = reportHead;

const balanceRow = z
  .object({
    key: z.string().describe('Id of the lot, place or ranch, or kind of hay; empty where the hay is at no named place'),
    label: z.string().describe('Name of the row as a report prints it'),
    ranchId: id.nullable(),
    balance: massOut,
  })
  .meta({ id: 'HayBalance', description: 'Hay on hand in one lot, place or ranch, or of one kind' });
const balances = z
  .object({
    ...head,
    at: instantOut.describe('The instant of the balances'),
    knownAt: instantOut
      .nullable()
      .describe('Only what was known at this instant is included; null if all that is known now is'),
    by: z.enum(BALANCE_GROUPS).describe('What the rows are'),
    rows: z.array(balanceRow),
    total: massOut,
  })
  .meta({ id: 'HayBalances', description: 'Hay on hand at an instant, by lot, place, ranch or kind' });

export const getHayBalances = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/reports/hay-balances',
  operationId: 'getHayBalances',
  inThread: 'long-ledger',
  tag: 'Reports',
  access: 'read',
  summary: 'Hay on hand at any instant',
  description:
    "Quantities only, for every member. At an instant, or at the end of a day in the operation's zone; as known " +
    'now or then.',
  params: operationParams,
  query: z.strictObject({
    ...unitsQuery,
    at: instantIn.optional().describe('The instant of the balances; now if neither it nor a day is given'),
    on: day.optional().describe('Balances as of the end of this day'),
    knownAt: instantIn.optional().describe('Only what was known at this instant'),
    by: z.enum(BALANCE_GROUPS).default('lot').describe('What the rows are'),
  }),
  answer: balances,
  table: (answer) => ({
    columns: [text(answer.by), text('key'), text('ranch_id'), figure(`balance_${answer.total.unit}`)],
    rows: [
      ...answer.rows.map((row) => [row.label, row.key, row.ranchId, row.balance.value]),
      ['Total', null, null, answer.total.value],
    ],
  }),
});

const cardLine = z
  .object({
    movementId: id,
    kind: z
      .enum([...MOVEMENT_KIND_CODES, 'late-cost', 'costing-method-change'])
      .describe('What moved the hay; a later bill and a change of the costing method moved none'),
    effectiveOn: day,
    effectiveAt: instantOut,
    change: typedMassOut.nullable().describe('Change of the balance: in above zero, out below; null for a bill'),
    balanceAfter: massOut,
    source: z.object({ kind: z.string().describe('What record caused it'), id }),
    herdId: id.nullable(),
    reversesId: id.nullable(),
    reason: z.string().describe('Why it was done, in the words of the person').nullable(),
    recordedAt: instantOut,
    recordedBy: id.nullable(),
    cost: moneyOut
      .describe(
        'Change of the inventory in money; null for readers without prices, and for what has ' + 'no cost of its own',
      )
      .nullable(),
    unitCost: pricePerMassOut
      .describe('Cost per unit at which the hay came or went; null where there is none to show')
      .nullable(),
  })
  .meta({ id: 'LotCardLine', description: 'One movement of a lot' });
export const lotCard = z
  .object({
    ...reportHead,
    hayLotId: id,
    hayLot: z.string().describe('Name of the hay lot'),
    hayKind: z.string().describe('Kind of hay or feed'),
    until: day,
    costingMethod: z.string().describe('Costing method by which hay was valued').nullable(),
    lines: z.array(cardLine),
    received: massOut,
    drawn: massOut,
    balance: massOut,
    value: moneyOut.describe('Value in the books at the end of that day; null for readers without prices').nullable(),
  })
  .meta({ id: 'LotCard', description: 'Every movement of one lot, oldest first, with its running balance' });

export function lotCardTable(answer: z.output<typeof lotCard>): Table {
  return {
    columns: [
      calendarDay('effective_on'),
      text('effective_at'),
      text('kind'),
      figure(`change_${answer.balance.unit}`),
      figure(`balance_${answer.balance.unit}`),
      figure(`cost_${answer.currency}`),
      text('source_kind'),
      text('source_id'),
      text('herd_id'),
      text('reverses_id'),
      text('reason'),
      text('movement_id'),
    ],
    rows: answer.lines.map((line) => [
      line.effectiveOn,
      line.effectiveAt,
      line.kind,
      line.change?.value ?? null,
      line.balanceAfter.value,
      line.cost?.amount ?? null,
      line.source.kind,
      line.source.id,
      line.herdId,
      line.reversesId,
      line.reason,
      line.movementId,
    ]),
  };
}

export const getLotCard = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-lots/:hayLotId/card',
  operationId: 'getLotCard',
  inThread: 'long-ledger',
  tag: 'Reports',
  access: 'read',
  summary: 'Lot card',
  description: 'Every movement of one lot with the running balance, and its cost where the reader sees prices.',
  params: operationParams.extend({ hayLotId: id }),
  query: z.strictObject({ ...unitsQuery, until: day.describe('Last day, included') }),
  answer: lotCard,
  table: lotCardTable,
});

const movement = z
  .object({
    sequence: z.string().describe('Place in the order of entry; numbers that are missing were never given to an entry'),
    id,
    effectiveOn: day,
    effectiveAt: instantOut,
    kind: z.enum(MOVEMENT_KIND_CODES).describe('What moved the hay'),
    hayLotId: id,
    hayLot: z.string().describe('Name of the hay lot'),
    hayKind: z.string().describe('Kind of hay or feed'),
    change: typedMassOut.describe('Change of the balance: in above zero, out below'),
    ranchId: id,
    placeId: id.nullable(),
    herdId: id.nullable(),
    source: z.object({ kind: z.string().describe('What record caused it'), id }),
    reversesId: id.nullable(),
    reason: z.string().describe('Reason of a correction; null for other movements').nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'LedgerMovement', description: 'One line of the hay ledger of all lots; never edited' });

export const listHayMovements = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-movements',
  operationId: 'listHayMovements',
  tag: 'Reports',
  access: 'read',
  summary: 'The whole hay ledger, in the order of entry',
  description: 'One movement after the other, of all lots or of one.',
  params: operationParams,
  query: z.strictObject({
    ...eventQuery,
    ...unitsQuery,
    hayLotId: id.optional().describe('Only those of this lot'),
  }),
  answer: pageAnswer(movement),
  paged: true,
  register: {},
});
