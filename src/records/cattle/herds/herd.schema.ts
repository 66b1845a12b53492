import { z } from 'zod';
import { ANIMAL_CLASSES, ANIMAL_SEXES, BREED_TYPES } from '../../../core/requirements/requirement-set.js';
import { pageAnswer, pageQuery } from '../../../platform/http/cursor.js';
import { calendarDay, figure } from '../../../platform/http/columns.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import {
  day,
  id,
  instantOut,
  name,
  note,
  operationParams,
  reason,
  version,
} from '../../../platform/wire/common.schema.js';
import { confirmedOut, entryQuery } from '../../../platform/wire/confirm.schema.js';
import {
  decimalOut,
  massIn,
  massInOrZero,
  typedMassOut,
  unitsQuery,
  unitSystem,
} from '../../../platform/wire/quantity.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import {
  CORRECTION_WORDS,
  correctionIn,
  correctionOut,
  correctionQuery,
  herdItBelongsTo,
} from '../../kit/correction.schema.js';
import { postedLateOut, postingFields } from '../../kit/posting.schema.js';
import { condition } from './body-condition.schema.js';
import { headChangePriceIn, headChangePriceOut } from './head-change-price.schema.js';
import { HEAD_CHANGE_KINDS, RECORDED_HEAD_CHANGES } from '../../../platform/wire/words.data.js';

const cattleClass = z.enum(ANIMAL_CLASSES).describe('Class of cattle, for the requirement equations');
const sex = z.enum(ANIMAL_SEXES).describe('Sex of the cattle, for the requirement equations');
const breedType = z.enum(BREED_TYPES).describe('Breed type, as far as it changes maintenance');

const fields = {
  name,
  ranchId: id,
  placeId: id.nullable().optional().describe('Id of the place where the herd is; null if none is given'),
  cattleClass,
  sex,
  breedType: breedType.default('bos-taurus-beef'),
  bodyWeight: massIn.describe('Mean full body weight, as it was on the day it was taken, until another is entered'),
  matureWeight: massIn.nullable().optional().describe('Full weight when mature'),
  bodyCondition: condition.nullable().optional(),
  bredOn: day
    .nullable()
    .optional()
    .describe('Mean day of conception of the last breeding; first and last day are entered as an event'),
  calvedOn: day
    .nullable()
    .optional()
    .describe('Mean day of the last calving; first, middle and last day are entered as an event'),
  peakMilk: massIn.nullable().optional().describe('Milk per day at the peak'),
  targetDailyGain: massInOrZero.nullable().optional().describe('Target gain per head per day'),
  note: note.nullable().optional(),
};

const herd = z
  .object({
    id,
    ranchId: id,
    placeId: id.nullable(),
    name: z.string().describe('Name of the herd'),
    cattleClass: cattleClass.describe('Class of most of the herd today, breeding and calving counted'),
    sex,
    breedType,
    bodyWeight: typedMassOut.describe('Mean full weight as last estimated without a scale'),
    matureWeight: typedMassOut.nullable(),
    bodyCondition: decimalOut.nullable(),
    bredOn: day.nullable(),
    calvedOn: day.nullable(),
    peakMilk: typedMassOut.nullable(),
    targetDailyGain: typedMassOut.nullable(),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    head: z.number().int().describe('Head today, from the head history'),
    units: unitSystem.describe('Units of this answer'),
    createdAt: instantOut,
    version,
  })
  .meta({ id: 'Herd', description: 'Animals fed together, as they are known today' });

const params = operationParams.extend({ herdId: id });
const tag = 'Herds';

export const createHerd = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/herds',
  operationId: 'createHerd',
  tag,
  access: 'records',
  summary: 'Add a herd',
  description:
    'Its head count begins with a head change. Class, place, condition, target gain, breeding and calving become its ' +
    'first events.',
  params: operationParams,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    ...fields,
    takenOn: day
      .optional()
      .describe('Day on which the body weight and the condition score given here were taken; today if left out'),
  }),
  answer: herd,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/herds/${created.id}`,
  versioned: true,
});
export const listHerds = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds',
  operationId: 'listHerds',
  tag,
  access: 'read',
  summary: 'Herds',
  params: operationParams,
  query: z.strictObject({ ...pageQuery, ...unitsQuery, ranchId: id.optional().describe('Only those of this ranch') }),
  answer: pageAnswer(herd),
  paged: true,
  register: {},
});
export const getHerd = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId',
  operationId: 'getHerd',
  tag,
  access: 'read',
  summary: 'One herd',
  params,
  query: z.strictObject(unitsQuery),
  answer: herd,
  versioned: true,
});
const {
  name: _name,
  ranchId: _ranchId,
  cattleClass: _class,
  sex: _sex,
  breedType: _breed,
  bodyWeight: _weight,
  ...loose
} = fields;
export const changeHerd = endpoint({
  method: 'PATCH',
  path: '/v1/operations/:operationId/herds/:herdId',
  operationId: 'changeHerd',
  tag,
  access: 'records',
  summary: 'Change a herd',
  description:
    'Fields left out stay as they are; null takes a value away. Class, place, condition, gain wanted and body weight ' +
    'hold from today on, and breeding and calving are added to those of the years before: earlier days stay as they ' +
    'were. Correct what was wrong from the start by reversing its event.',
  params,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    ...loose,
    name: name.optional(),
    cattleClass: cattleClass.optional(),
    sex: sex.optional(),
    breedType: breedType.optional(),
    bodyWeight: massIn.optional(),
  }),
  answer: herd,
  changes: true,
  versioned: true,
});

const written = z
  .object({
    id,
    herdId: id,
    kind: z.enum(RECORDED_HEAD_CHANGES).describe('What happened, by its code'),
    head: z.number().int().describe('Change of the head count: in above zero, out below'),
    happenedOn: day,
    otherHerdId: id.nullable().describe('The other herd of a move; null for other changes'),
    meanWeight: typedMassOut.nullable(),
    price: headChangePriceOut.nullable().describe('Null where none was entered, and for readers without prices'),
    note: z.string().describe('Free text, or the reason; null if nothing was noted').nullable(),
    postedLate: postedLateOut.nullable(),
    confirmed: confirmedOut,
    reversesId: id.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'HeadChange', description: "A change of a herd's head count; never edited, only reversed" });
const changeParams = params.extend({ headChangeId: id });

const headChangeBody = z.strictObject({
  kind: z.enum(HEAD_CHANGE_KINDS).describe('in, out, death, sale, or move to another herd'),
  head: z.number().int().min(1).max(100_000).describe('Number of head that come or go'),
  happenedOn: day,
  toHerdId: id.optional().describe('For a move: the herd they go to'),
  meanWeight: massIn.optional().describe('Mean weight of these animals; needed to compute gain across the change'),
  price: headChangePriceIn
    .optional()
    .describe(
      'What they were bought or sold for, what a dead animal brought, or the value at which they move; can be ' +
        'entered later',
    ),
  note: note.optional(),
  ...postingFields,
});

export const createHeadChange = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/herds/:herdId/head-changes',
  operationId: 'createHeadChange',
  tag,
  access: 'records',
  summary: 'Record cattle that came, left, died, were sold or moved',
  description:
    'A move to another herd is one request and records both sides. Refused where the herd would have fewer than ' +
    'no animals on that day or a later one.',
  params,
  query: z.strictObject(entryQuery),
  body: headChangeBody,
  answer: written,
  creates: (created, { operationId, herdId }) =>
    `/v1/operations/${operationId}/herds/${herdId}/head-changes/${created.id}`,
  problems: ['herd-short', 'period-closed', 'conflict'],
});
export const listHeadChanges = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/head-changes',
  operationId: 'listHeadChanges',
  tag,
  access: 'read',
  summary: 'The head history of a herd, newest first',
  params,
  query: z.strictObject({ ...eventQuery, ...unitsQuery }),
  answer: pageAnswer(written),
  paged: true,
  register: {},
});
export const listAllHeadChanges = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/head-changes',
  operationId: 'listAllHeadChanges',
  tag,
  access: 'read',
  summary: 'The head register of all herds, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery, herdId: id.optional().describe('Only those of this herd') }),
  answer: pageAnswer(written),
  paged: true,
  register: {},
});
export const getHeadChange = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/head-changes/:headChangeId',
  operationId: 'getHeadChange',
  tag,
  access: 'read',
  summary: 'One head change',
  params: changeParams,
  query: z.strictObject(unitsQuery),
  answer: written,
});
export const correctHeadChange = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/herds/:herdId/head-changes/:headChangeId/correction',
  operationId: 'correctHeadChange',
  tag,
  access: 'records',
  summary: 'Correct a head change in one call',
  description: CORRECTION_WORDS,
  params: changeParams,
  query: correctionQuery,
  body: correctionIn(headChangeBody).extend({ herdId: herdItBelongsTo }),
  answer: correctionOut(written, written),
  creates: (made, { operationId }) =>
    `/v1/operations/${operationId}/herds/${made.entry.herdId}/head-changes/${made.entry.id}`,
  problems: ['herd-short', 'period-closed', 'conflict'],
});
export const reverseHeadChange = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/herds/:herdId/head-changes/:headChangeId/reversal',
  operationId: 'reverseHeadChange',
  tag,
  access: 'records',
  summary: 'Reverse a head change',
  description: 'Adds a reversing row on the day of the mistake, or a later one. Both sides of a move are reversed.',
  params: changeParams,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    reason,
    effectiveOn: day
      .optional()
      .describe('Day on which the reversal takes effect; left out, the day of the mistake, never before it'),
    postTo: postingFields.postTo,
  }),
  answer: written,
  creates: (created, { operationId, herdId }) =>
    `/v1/operations/${operationId}/herds/${herdId}/head-changes/${created.id}`,
  problems: ['herd-short'],
});

export const priceHeadChange = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/herds/:herdId/head-changes/:headChangeId/price',
  operationId: 'priceHeadChange',
  tag,
  access: 'records',
  summary: 'Say what cattle that came or went were bought or sold for',
  description:
    'For a head change that was entered before the money was known. Once: a wrong price is corrected with the ' +
    'head change, at …/correction. Both sides of a move get the value.',
  params: changeParams,
  query: z.strictObject(entryQuery),
  body: z.strictObject({ price: headChangePriceIn }),
  answer: written,
  creates: (created, { operationId, herdId }) =>
    `/v1/operations/${operationId}/herds/${herdId}/head-changes/${created.id}`,
  problems: ['period-closed', 'conflict'],
});

const headDaysOut = z
  .object({
    herdId: id,
    from: day.describe('First day, included'),
    until: day.describe('Last day, included'),
    days: z.number().int().describe('Days in the period'),
    openingHead: z.number().int().describe('Head on the first day'),
    closingHead: z.number().int().describe('Head on the last day'),
    headDays: z.number().int().describe('Head-days: the head of each day, added up'),
    meanHead: decimalOut.describe('Head-days over the days'),
    steps: z
      .array(
        z.object({
          from: day,
          until: day.describe('Last day with this head'),
          head: z.number().int().describe('Number of head'),
          headDays: z.number().int().describe('Head-days of the step'),
        }),
      )
      .describe('The head count, step by step'),
    byMonth: z.array(
      z.object({
        month: z.string().describe('Calendar month, YYYY-MM'),
        days: z.number().int().describe('Days of the month in the period'),
        headDays: z.number().int().describe('Head-days: a head that stood for a day counts one'),
      }),
    ),
    method: z.string().describe('How the days are counted'),
  })
  .meta({ id: 'HeadDays', description: 'Head-days integrated from the head history' });

export const getHeadDays = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/head-days',
  operationId: 'getHeadDays',
  tag,
  access: 'read',
  summary: 'Head-days of a herd',
  description: "Added up from the head history, never today's count times the days.",
  params,
  query: z.strictObject({ from: day.describe('First day, included'), until: day.describe('Last day, included') }),
  answer: headDaysOut,
  table: (answer) => ({
    columns: [calendarDay('from'), calendarDay('until'), figure('head'), figure('head_days')],
    rows: answer.steps.map((step) => [step.from, step.until, String(step.head), String(step.headDays)]),
  }),
});
