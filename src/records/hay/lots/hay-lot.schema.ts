import { z } from 'zod';
import { MOVEMENT_KIND_CODES } from '../../../core/stock/movement-kinds.data.js';
import { HAY_KIND_CODES, type HayKindCode } from '../../../core/feeds/hay-kinds.data.js';
import { OTHER_FEED_CODES, type OtherFeedCode } from '../../../core/feeds/other-feeds.data.js';
import { pageAnswer, pageQuery } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, name, operationParams, version } from '../../../platform/wire/common.schema.js';
import { massOut, typedMassOut, unitsQuery, unitSystem } from '../../../platform/wire/quantity.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { testTakenFromOut } from '../lab-tests/lab-test.schema.js';
import { BALE_FORMS, FEED_CATEGORIES, LOT_ORIGINS, STORAGE_METHODS } from '../../../platform/wire/words.data.js';

export const hayKind = z
  .enum(HAY_KIND_CODES as [HayKindCode, ...HayKindCode[]])
  .meta({ id: 'HayKind', description: 'Kind of hay, by its code' });
/** Whatever a lot can hold: hay of a kind, or another feed. */
export const feedKind = z
  .enum([...HAY_KIND_CODES, ...OTHER_FEED_CODES] as [HayKindCode | OtherFeedCode, ...(HayKindCode | OtherFeedCode)[]])
  .meta({ id: 'FeedKind', description: 'Kind of hay, or the name of another feed' });
export const baleForm = z
  .enum(BALE_FORMS)
  .meta({ id: 'BaleForm', description: 'Form in which the hay is kept: kind of bale, or loose' });
export const storageMethod = z
  .enum(STORAGE_METHODS)
  .meta({ id: 'StorageMethod', description: 'How the hay is stored; the loss in storage follows from it' });

export const lotFields = {
  name,
  ranchId: id,
  placeId: id.nullable().optional().describe('Stackyard, barn or field where it is kept'),
  hayKind: feedKind,
  cutting: z.number().int().min(1).max(9).nullable().optional().describe('Which cutting of the year'),
  harvestedOn: day.nullable().optional().describe('Day it was baled'),
  baleForm,
  storageMethod,
  storedSince: day.nullable().optional().describe('Day from which it has been stored this way; null if not known'),
};

export const hayLotOut = z
  .object({
    id,
    name: z.string().describe('Name of the hay lot'),
    ranchId: id,
    placeId: id.nullable(),
    hayKind: feedKind,
    category: z.enum(FEED_CATEGORIES).describe('Hay, or another feed'),
    cutting: z.number().int().describe('Which cutting of the year, 1 to 9; null if not known').nullable(),
    harvestedOn: day.nullable(),
    origin: z.enum(LOT_ORIGINS).describe('Whether the hay was bought or raised on the ranch'),
    vendors: z.array(z.string()).describe('Who sold it, by the tickets that stand; empty for hay raised here'),
    baleForm,
    storageMethod,
    storedSince: day.nullable(),
    splitFromId: id.nullable().describe('Id of the lot that it was hauled from; null unless a transfer created it'),
    balance: massOut.describe('Hay left now, as fed'),
    baleWeight: massOut.describe('Mean weight of a bale; null where no bales were counted').nullable(),
    labTest: z
      .object({ id, sampledOn: day.describe('Day on which the sample was taken'), takenFrom: testTakenFromOut })
      .nullable()
      .describe('The test in force; null if there is none and figures rest on book values'),
    units: unitSystem.describe('Units of this answer'),
    createdAt: instantOut,
    version,
  })
  .meta({ id: 'HayLot', description: 'Hay of one kind, cutting and source that is kept together' });

const params = operationParams.extend({ hayLotId: id });
const tag = 'Hay';

export const listHayLots = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-lots',
  operationId: 'listHayLots',
  tag,
  access: 'read',
  summary: 'Hay lots with what is left',
  params: operationParams,
  query: z.strictObject({
    ...pageQuery,
    ...unitsQuery,
    ranchId: id.optional().describe('Only those of this ranch'),
    onHand: z.enum(['true', 'false']).optional().describe('true: only lots with hay left'),
    reversed: z
      .enum(['true', 'false'])
      .default('false')
      .describe('true: only lots whose every entry was reversed, which the list leaves out otherwise'),
  }),
  answer: pageAnswer(hayLotOut),
  paged: true,
  register: {},
});
export const getHayLot = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-lots/:hayLotId',
  operationId: 'getHayLot',
  tag,
  access: 'read',
  summary: 'One hay lot',
  params,
  query: z.strictObject(unitsQuery),
  answer: hayLotOut,
  versioned: true,
});
export const changeHayLot = endpoint({
  method: 'PATCH',
  path: '/v1/operations/:operationId/hay-lots/:hayLotId',
  operationId: 'changeHayLot',
  tag,
  access: 'records',
  summary: 'Change the details of a lot',
  description:
    'The kind and the place are fixed: costing rests on the kind, and hay that goes elsewhere is a transfer.',
  params,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    name: name.optional(),
    cutting: lotFields.cutting,
    harvestedOn: lotFields.harvestedOn,
    baleForm: baleForm.optional(),
    storageMethod: storageMethod.optional(),
    storedSince: lotFields.storedSince,
  }),
  answer: hayLotOut,
  problems: ['lot-name-in-use'],
  changes: true,
  versioned: true,
});

const movementOut = z
  .object({
    id,
    hayLotId: id,
    kind: z.enum(MOVEMENT_KIND_CODES).describe('What moved the hay'),
    change: typedMassOut.describe('Change of the balance: in above zero, out below'),
    balanceAfter: massOut.describe("The lot's balance after the movement"),
    effectiveOn: day,
    effectiveAt: instantOut,
    ranchId: id,
    placeId: id.nullable(),
    herdId: id.nullable(),
    source: z.object({ kind: z.string().describe('What record caused it'), id }),
    reversesId: id.nullable(),
    reason: z.string().describe('Reason of a correction; null for other movements').nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'StockMovement', description: 'One line of the hay ledger; never edited' });

export const listMovements = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-lots/:hayLotId/movements',
  operationId: 'listHayLotMovements',
  tag,
  access: 'read',
  summary: 'Every movement of a lot, newest first',
  params,
  query: z.strictObject({ ...eventQuery, ...unitsQuery }),
  answer: pageAnswer(movementOut),
  paged: true,
  register: {},
});
