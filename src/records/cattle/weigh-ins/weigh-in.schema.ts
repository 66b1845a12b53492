import { z } from 'zod';
import { readTagNumber } from '../../../core/gain/tag-number.js';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { calendarDay, figure, text } from '../../../platform/http/columns.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantIn, instantOut, line, note, operationParams } from '../../../platform/wire/common.schema.js';
import { confirmedOut, entryQuery } from '../../../platform/wire/confirm.schema.js';
import {
  decimalIn,
  decimalOut,
  massIn,
  massOut,
  typedMassOut,
  unitsQuery,
} from '../../../platform/wire/quantity.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { CORRECTION_WORDS, correctionIn, correctionOut, correctionQuery } from '../../kit/correction.schema.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { entryWarnings } from '../../kit/entry-warning.schema.js';
import { WEIGH_IN_SCOPES, WEIGHED_MEASURES, WEIGHING_FILLS } from '../../../platform/wire/words.data.js';

const fill = z.enum(WEIGHING_FILLS).describe('Weighed full, or shrunk after a stand off feed and water');
const shrink = decimalIn
  .refine((value) => Number(value) >= 0 && Number(value) < 20, 'must be 0 to below 20')
  .describe('Shrink applied to the weights as read, %');
const hours = decimalIn
  .refine((value) => Number(value) >= 0 && Number(value) <= 72, 'must be 0 to 72')
  .describe('Hours off feed and water before weighing');
const tag = z
  .string()
  .trim()
  .min(1)
  .max(40)
  .regex(/^[A-Za-z0-9 ./-]+$/, 'letters, digits, blank, dot, slash and dash')
  .describe('Tag as read by eye');
/**
 * Parsed as a number here, so that the API, a file and a dry run all report a bad one together with whatever else is
 * wrong.
 */
const electronicId = z
  .string()
  .trim()
  .min(1)
  .max(40)
  .transform((text, context) => {
    const number = readTagNumber(text);
    if (number.ok) return number.digits;
    for (const { code, allowed, message } of number.problems)
      context.addIssue({ code: 'custom', message, params: { code, allowed } });
    return z.NEVER;
  })
  .describe('Electronic number as in ISO 11784: 15 digits, the first three for a country or manufacturer');

const animal = z
  .strictObject({ visualTag: tag.optional(), electronicId: electronicId.optional(), weight: massIn })
  .refine((one) => one.visualTag !== undefined || one.electronicId !== undefined, {
    path: ['visualTag'],
    message: 'needs a visual tag or an electronic number',
  });

const common = {
  herdId: id,
  weighedOn: day,
  weighedAt: instantIn.optional().describe('Time, if it was noted'),
  fill,
  shrinkPercent: shrink.optional(),
  hoursOffFeed: hours.optional(),
  scale: line(120).optional().describe('Scale that was used; null if not noted'),
  note: note.optional(),
};

const body = z.discriminatedUnion('scope', [
  z
    .strictObject({
      scope: z.literal('group'),
      ...common,
      head: z.number().int().min(1).max(100_000).describe('Number of head that were weighed'),
      measure: z.enum(WEIGHED_MEASURES).describe('Whether the weight is of all of them or of one'),
      weight: massIn,
    })
    .describe('A group over the scale'),
  z
    .strictObject({
      scope: z.literal('animal'),
      ...common,
      animals: z.array(animal).min(1).max(5000).describe('One entry for each animal'),
    })
    .describe('Animal by animal'),
]);

const weighIn = z
  .object({
    id,
    herdId: id,
    weighedOn: day,
    weighedAt: instantOut.nullable(),
    scope: z.enum(WEIGH_IN_SCOPES).describe('How they were weighed'),
    fill,
    shrinkPercent: decimalOut.nullable(),
    hoursOffFeed: decimalOut.nullable(),
    scale: z.string().describe('Scale that was used; null if not noted').nullable(),
    head: z.number().int().describe('Number of head that were weighed'),
    measure: z.enum(WEIGHED_MEASURES).describe('Whether the weight typed is of all of them or of one'),
    meanWeight: typedMassOut.describe('Mean weight as read, and what was typed'),
    meanAfterShrink: massOut.describe('Mean weight less the shrink applied'),
    animals: z
      .array(
        z.object({
          visualTag: z.string().describe('Tag as read by eye; null if the animal has none').nullable(),
          electronicId: z.string().describe('Electronic number (ISO 11784); null if the animal has none').nullable(),
          weight: typedMassOut,
        }),
      )
      .describe('Animals that were weighed; empty for a group'),
    warnings: entryWarnings,
    confirmed: confirmedOut,
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'WeighIn', description: 'Cattle weighed on a day; never edited, only reversed' });

const params = operationParams.extend({ weighInId: id });

export const createWeighIn = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/weigh-ins',
  operationId: 'createWeighIn',
  tag: 'Weights',
  access: 'daily',
  summary: 'Enter a weigh-in',
  description: 'Of a group, by total or mean, or animal by animal.',
  params: operationParams,
  query: z.strictObject(entryQuery),
  body,
  answer: weighIn,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/weigh-ins/${created.id}`,
});
export const listWeighIns = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/weigh-ins',
  operationId: 'listWeighIns',
  tag: 'Weights',
  access: 'read',
  summary: 'Weigh-ins, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery, herdId: id.optional().describe('Only those of this herd') }),
  answer: pageAnswer(weighIn),
  paged: true,
  register: { lines: ['animals'] },
});
export const getWeighIn = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/weigh-ins/:weighInId',
  operationId: 'getWeighIn',
  tag: 'Weights',
  access: 'read',
  summary: 'One weigh-in',
  params,
  query: z.strictObject(unitsQuery),
  answer: weighIn,
});
export const correctWeighIn = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/weigh-ins/:weighInId/correction',
  operationId: 'correctWeighIn',
  tag: 'Weights',
  access: 'daily',
  summary: 'Correct a weigh-in in one call',
  description: CORRECTION_WORDS,
  params,
  query: correctionQuery,
  body: correctionIn(body),
  answer: correctionOut(weighIn),
  creates: (made, { operationId }) => `/v1/operations/${operationId}/weigh-ins/${made.entry.id}`,
});
export const reverseWeighIn = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/weigh-ins/:weighInId/reversal',
  operationId: 'reverseWeighIn',
  tag: 'Weights',
  access: 'daily',
  summary: 'Reverse a weigh-in',
  params,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, weighInId }) => `/v1/operations/${operationId}/weigh-ins/${weighInId}`,
});

const dayWeight = z
  .object({
    day,
    fill,
    weighings: z.number().int().describe('Weigh-ins of that day that are averaged'),
    head: z.number().int().describe('Head of the largest of them'),
    meanWeight: massOut.describe('Mean over the head weighed, after the shrink applied'),
  })
  .meta({ id: 'DayWeight', description: 'Weighings of one day are one: their mean' });

export const getDayWeights = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/day-weights',
  operationId: 'getDayWeights',
  tag: 'Weights',
  access: 'read',
  summary: 'Mean weights of a herd by day',
  description:
    'Repeats of one day are averaged over the head weighed; a day is shrunk only if all its weighings were, and ' +
    "a shrunk one among full ones is put back to full by NRC's 4 %.",
  params: operationParams.extend({ herdId: id }),
  query: z.strictObject(unitsQuery),
  answer: z
    .object({ herdId: id, days: z.array(dayWeight) })
    .meta({ id: 'DayWeights', description: 'Mean weights of a herd, oldest first' }),
  table: (answer) => ({
    columns: [
      calendarDay('day'),
      text('fill'),
      figure('weighings'),
      figure('head'),
      figure(`mean_weight_${answer.days[0]?.meanWeight.unit ?? 'kg'}`),
    ],
    rows: answer.days.map((one) => [one.day, one.fill, String(one.weighings), String(one.head), one.meanWeight.value]),
  }),
});
