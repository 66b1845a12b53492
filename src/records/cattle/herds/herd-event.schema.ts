import { z } from 'zod';
import { ANIMAL_CLASSES } from '../../../core/requirements/requirement-set.js';
import { BREEDING_SERVICES, HERD_FACT_KINDS } from '../../../core/standing/herd-on-file.js';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, note, operationParams } from '../../../platform/wire/common.schema.js';
import { decimalOut, massIn, massInOrZero, typedMassOut, unitsQuery } from '../../../platform/wire/quantity.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { weightWarnings } from '../../kit/weight-warning.schema.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { condition } from './body-condition.schema.js';

const service = z.enum(BREEDING_SERVICES).describe('By bulls or by insemination');
const head = z.number().int().min(1).max(100_000);

const body = z.discriminatedUnion('kind', [
  z
    .strictObject({
      kind: z.literal('bred'),
      happenedOn: day.describe('First day of exposure'),
      lastOn: day.optional().describe('Last day of exposure; the first one if absent'),
      service,
      note: note.optional(),
    })
    .describe('Exposed to bulls, or inseminated'),
  z
    .strictObject({
      kind: z.literal('pregnancy-check'),
      happenedOn: day,
      headChecked: head.describe('Head that were checked'),
      headOpen: z.number().int().min(0).max(100_000).describe('Head of them that were open and stay in the herd'),
      note: note.optional(),
    })
    .describe('Checked for pregnancy'),
  z
    .strictObject({
      kind: z.literal('calved'),
      happenedOn: day.describe('Day of the first calf'),
      medianOn: day.optional().describe('Day by which half of them had calved; as expected if absent'),
      lastOn: day.optional().describe('Day of the last calf; as expected if absent'),
      note: note.optional(),
    })
    .describe('Calved; takes the place of the calving that was expected'),
  z.strictObject({ kind: z.literal('weaned'), happenedOn: day, note: note.optional() }).describe('Calves weaned'),
  z
    .strictObject({ kind: z.literal('condition'), happenedOn: day, score: condition, note: note.optional() })
    .describe('Condition scored: the mean of the herd'),
  z
    .strictObject({
      kind: z.literal('weight'),
      happenedOn: day,
      weight: massIn.describe('Mean full weight, by eye or tape; over a scale it is a weigh-in'),
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
    .describe('Class changed'),
  z
    .strictObject({
      kind: z.literal('target-gain'),
      happenedOn: day,
      dailyGain: massInOrZero.nullable().describe('Gain wanted, a day, as shrunk weight; null: none any more'),
      note: note.optional(),
    })
    .describe('Another gain wanted'),
  z
    .strictObject({
      kind: z.literal('place'),
      happenedOn: day,
      placeId: id.nullable().describe('Where the herd is from that day on; null: at none of the places'),
      note: note.optional(),
    })
    .describe('Moved to another place'),
]);

const event = z
  .object({
    id,
    herdId: id,
    kind: z.enum(HERD_FACT_KINDS).describe('What happened; which of the other fields are filled follows from it'),
    happenedOn: day.describe('Its day; of a breeding or a calving the first'),
    medianOn: day.nullable(),
    lastOn: day.nullable(),
    service: service.nullable(),
    headChecked: z.number().int().describe('Head that were checked').nullable(),
    headOpen: z.number().int().describe('Head of them that were open and stay in the herd').nullable(),
    score: decimalOut.nullable(),
    weight: typedMassOut.nullable(),
    cattleClass: z.enum(ANIMAL_CLASSES).describe('Class of cattle from that day on').nullable(),
    dailyGain: typedMassOut.nullable(),
    placeId: id.nullable(),
    warnings: weightWarnings,
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'HerdEvent', description: 'What happened to a herd on a day; never edited, only reversed' });

const herdParams = operationParams.extend({ herdId: id });
const params = herdParams.extend({ herdEventId: id });
const tag = 'Herds';

export const createHerdEvent = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/herds/:herdId/events',
  operationId: 'createHerdEvent',
  tag,
  access: 'daily',
  summary: 'Write down what happened to a herd',
  description:
    'Bred, checked for pregnancy, calved, weaned, scored, weighed by eye, changed in class, gain wanted or place. ' +
    'What the herd is on any day is read from these; see its state.',
  params: herdParams,
  query: z.strictObject(unitsQuery),
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
    kind: z.enum(HERD_FACT_KINDS).optional().describe('Only of this kind'),
  }),
  answer: pageAnswer(event),
  paged: true,
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
export const reverseHerdEvent = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/herds/:herdId/events/:herdEventId/reversal',
  operationId: 'reverseHerdEvent',
  tag,
  access: 'daily',
  summary: 'Reverse an event of a herd',
  description: 'It counts on no day any more, as if it had not been written down.',
  params,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, herdId, herdEventId }) =>
    `/v1/operations/${operationId}/herds/${herdId}/events/${herdEventId}`,
});
