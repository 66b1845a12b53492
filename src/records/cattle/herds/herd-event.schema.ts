import { z } from 'zod';
import { ANIMAL_CLASSES } from '../../../core/requirements/requirement-set.js';
import { BREEDING_SERVICES, HERD_FACT_KINDS } from '../../../core/standing/herd-on-file.js';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, note, operationParams } from '../../../platform/wire/common.schema.js';
import { confirmedOut, entryQuery } from '../../../platform/wire/confirm.schema.js';
import { decimalOut, massIn, massInOrZero, typedMassOut, unitsQuery } from '../../../platform/wire/quantity.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { entryWarnings } from '../../kit/entry-warning.schema.js';
import { correctionIn, correctionOut, correctionQuery, herdItBelongsTo } from '../../kit/correction.schema.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { condition } from './body-condition.schema.js';

const service = z.enum(BREEDING_SERVICES).describe('By bulls or by artificial insemination');
const head = z.number().int().min(1).max(100_000);

const body = z.discriminatedUnion('kind', [
  z
    .strictObject({
      kind: z.literal('bred'),
      happenedOn: day.describe('First day of exposure'),
      lastOn: day.optional().describe('Last day of exposure; the first day if left out'),
      service,
      note: note.optional(),
    })
    .describe('Exposed to bulls or artificially inseminated'),
  z
    .strictObject({
      kind: z.literal('pregnancy-check'),
      happenedOn: day,
      headChecked: head.describe('Number of head checked'),
      headOpen: z.number().int().min(0).max(100_000).describe('Number of head found open that stay in the herd'),
      note: note.optional(),
    })
    .describe('Checked for pregnancy'),
  z
    .strictObject({
      kind: z.literal('calved'),
      happenedOn: day.describe('Day the first calf was born'),
      medianOn: day.optional().describe('Day by which half of them had calved; if left out, the expected day'),
      lastOn: day.optional().describe('Day the last calf was born; if left out, the expected day'),
      note: note.optional(),
    })
    .describe('Calved; replaces the expected calving'),
  z.strictObject({ kind: z.literal('weaned'), happenedOn: day, note: note.optional() }).describe('Calves weaned'),
  z
    .strictObject({ kind: z.literal('condition'), happenedOn: day, score: condition, note: note.optional() })
    .describe('Body condition scored: the mean of the herd'),
  z
    .strictObject({
      kind: z.literal('weight'),
      happenedOn: day,
      weight: massIn.describe('Mean full weight, by eye or tape; for a weight over a scale, enter a weigh-in'),
      note: note.optional(),
    })
    .describe('Weight estimated without a scale'),
  z
    .strictObject({
      kind: z.literal('class'),
      happenedOn: day,
      cattleClass: z.enum(ANIMAL_CLASSES).describe('Class of cattle from that day on'),
      note: note.optional(),
    })
    .describe(
      'Class of cattle changed. Breeding, pregnancy checks, calving and weaning come before it: cows are in milk ' +
        'from a calving until weaning, and in calf from a breeding, until a class of a later day says that they are ' +
        'open or dry. A class that by these none of them is of changes nothing, and a warning says why and what would',
    ),
  z
    .strictObject({
      kind: z.literal('target-gain'),
      happenedOn: day,
      dailyGain: massInOrZero
        .nullable()
        .describe('Target gain per day, shrunk weight; null: no target from that day on'),
      note: note.optional(),
    })
    .describe('Target gain changed'),
  z
    .strictObject({
      kind: z.literal('place'),
      happenedOn: day,
      placeId: id.nullable().describe('Where the herd is from that day on; null: at none of the recorded places'),
      note: note.optional(),
    })
    .describe('Moved to another place'),
]);

const event = z
  .object({
    id,
    herdId: id,
    kind: z.enum(HERD_FACT_KINDS).describe('What happened; it determines which of the other fields are filled in'),
    happenedOn: day.describe('Day it happened; for a breeding or calving, the first day'),
    medianOn: day.nullable(),
    lastOn: day.nullable(),
    service: service.nullable(),
    headChecked: z.number().int().describe('Number of head checked').nullable(),
    headOpen: z.number().int().describe('Number of head found open that stay in the herd').nullable(),
    score: decimalOut.nullable(),
    weight: typedMassOut.nullable(),
    cattleClass: z.enum(ANIMAL_CLASSES).describe('Class of cattle from that day on').nullable(),
    dailyGain: typedMassOut.nullable(),
    placeId: id.nullable(),
    opening: z.boolean().describe('True of what the herd was entered with'),
    warnings: entryWarnings,
    confirmed: confirmedOut,
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'HerdEvent', description: 'Something that happened to a herd on a day; never edited, only reversed' });

const herdParams = operationParams.extend({ herdId: id });
const params = herdParams.extend({ herdEventId: id });
const tag = 'Herds';

const CORRECTION_OF_EVENT =
  'Reverses it and records what is right, both or neither, so that a herd is never without its class in between. ' +
  'Afterward the herd is on every day as if the mistake had never been typed.';

export const createHerdEvent = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/herds/:herdId/events',
  operationId: 'createHerdEvent',
  tag,
  access: 'daily',
  summary: 'Record what happened to a herd',
  description:
    'Bred, checked for pregnancy, calved, weaned, condition scored, weighed by eye, or changed in class, target gain ' +
    'or place. The state of the herd on any day is worked out from these; see its state.',
  params: herdParams,
  query: z.strictObject(entryQuery),
  body,
  answer: event,
  creates: (created, { operationId, herdId }) => `/v1/operations/${operationId}/herds/${herdId}/events/${created.id}`,
});
export const listHerdEvents = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/events',
  operationId: 'listHerdEvents',
  tag,
  access: 'read',
  summary: 'What happened to a herd, newest first',
  params: herdParams,
  query: z.strictObject({
    ...eventQuery,
    ...unitsQuery,
    kind: z.enum(HERD_FACT_KINDS).optional().describe('Only events of this kind'),
  }),
  answer: pageAnswer(event),
  paged: true,
  register: {},
});
export const getHerdEvent = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/events/:herdEventId',
  operationId: 'getHerdEvent',
  tag,
  access: 'read',
  summary: 'One event of a herd',
  params,
  query: z.strictObject(unitsQuery),
  answer: event,
});
export const correctHerdEvent = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/herds/:herdId/events/:herdEventId/correction',
  operationId: 'correctHerdEvent',
  tag,
  access: 'daily',
  summary: 'Correct an event of a herd in one call',
  description: CORRECTION_OF_EVENT,
  params,
  query: correctionQuery,
  body: correctionIn(body).extend({ herdId: herdItBelongsTo }),
  answer: correctionOut(event),
  creates: (made, { operationId }) =>
    `/v1/operations/${operationId}/herds/${made.entry.herdId}/events/${made.entry.id}`,
  problems: ['conflict'],
});
export const reverseHerdEvent = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/herds/:herdId/events/:herdEventId/reversal',
  operationId: 'reverseHerdEvent',
  tag,
  access: 'daily',
  summary: 'Reverse an event of a herd',
  description: 'It no longer counts on any day, as if it had never been entered.',
  params,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, herdId, herdEventId }) =>
    `/v1/operations/${operationId}/herds/${herdId}/events/${herdEventId}`,
});
