import { z } from 'zod';
import { LAYING_WEATHER } from '../../core/laying/layer.js';
import { pageAnswer } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, instantIn, instantOut, note, operationParams } from '../../platform/wire/common.schema.js';
import { decimalIn, massInOrZero, massOut, unitsQuery, unitSystem } from '../../platform/wire/quantity.schema.js';
import { cautionOut } from '../../records/kit/caution.schema.js';
import { eventQuery } from '../../records/kit/day-range.js';
import { reversalOut } from '../../records/kit/reversal.schema.js';
import { role } from '../rations/ration.schema.js';
import { FEEDING_METHODS, WATER_STATES } from '../../platform/wire/words.data.js';

const waterAmount = z.object({
  value: z.number().describe('Number of whole bales'),
  unit: z.enum(['gal', 'L']).describe('US gallons or litres'),
});
const balesOut = z.object({
  open: z.number().int().describe('Bales to open today'),
  weight: massOut.describe('Mean weight of one'),
  carriedIn: massOut.describe('Over from the feeding before'),
  carriedOut: massOut.describe('Over after this one; below zero where whole bales fed less than the need'),
});
const lineOut = z.object({
  hayLotId: id,
  hayLot: z.string().describe('Name of the hay lot'),
  liesAt: z.string().describe('Where the lot lies').nullable(),
  need: massOut.describe("What the ration asks for today's head"),
  lay: massOut.describe('What goes out, in whole pounds or kilograms'),
  bales: balesOut.nullable(),
});
const sheetLayer = z.object({
  step: z.number().int().describe('1 is laid first and lies at the bottom'),
  role,
  lay: massOut.describe('Weight of the whole layer, for all head'),
  dryMatterSharePercent: z.number().describe('Of the dry matter'),
  lines: z.array(lineOut),
});

const herdSheet = z.object({
  herdId: id,
  herd: z.string().describe('Name of the herd'),
  head: z.number().int().describe('Number of head in the herd today'),
  ration: z
    .object({ id, name: z.string().describe('Name of the place') })
    .describe('In use today; absent where none is')
    .nullable(),
  layers: z.array(sheetLayer).describe('In build order, bottom first'),
  total: massOut.nullable(),
  perHead: massOut.describe('As fed, per head per day; null where no head is known').nullable(),
  dryMatterPerHead: massOut.nullable(),
  leftovers: z
    .array(z.object({ hayLotId: id, hayLot: z.string().describe('Name of the hay lot'), carriedOut: massOut }))
    .describe('What the next feeding starts from'),
  shortLots: z
    .array(z.object({ hayLotId: id, hayLot: z.string().describe('Name of the hay lot'), shortBy: massOut }))
    .describe('Lots that do not hold what the sheet takes'),
  likelyEatenFirst: z
    .array(z.number().int())
    .describe('Steps in the order in which cattle likely reach them; common practice, no source'),
  water: waterAmount.describe('What the herd drinks today').nullable(),
  cautions: z.array(cautionOut),
  nothingBecause: z.string().describe('Why there is nothing to lay').nullable(),
  notJudgedBecause: z
    .array(z.string())
    .describe('Why need and cautions of the ration could not be worked out; empty where they were'),
  confirmation: z.object({ id, feedingId: id }).describe('Where this sheet was fed already').nullable(),
});

export const feedSheetOut = z
  .object({
    placeId: id,
    place: z.string().describe('Name of the place'),
    ranch: z.string().describe('Name of the ranch'),
    onDay: day,
    units: unitSystem.describe('Units of this answer'),
    herds: z.array(herdSheet),
    toBring: z
      .array(
        z.object({
          hayLotId: id,
          hayLot: z.string().describe('Name of the hay lot'),
          liesAt: z.string().describe('Where the lot lies').nullable(),
          lay: massOut.describe('For all herds here'),
          open: z.number().int().describe('Bales to open, herd by herd; absent for loose hay').nullable(),
          openIfShared: z
            .number()
            .int()
            .describe('Bales that are enough where the herds are fed from the same open bale')
            .nullable(),
        }),
      )
      .describe('Of each lot, for all herds here that were not fed yet; empty where there is one herd'),
    water: z.object({
      need: waterAmount.describe('All herds here of which it is known').nullable(),
      needUnknownFor: z.array(z.string()).describe('Herds whose need of water is not known'),
      sources: z
        .array(
          z.object({
            source: z.string().describe('Name of the water source'),
            state: z.enum(WATER_STATES).describe('How it was found'),
            checkedOn: day,
            givesADay: waterAmount.describe('What it gives in a day').nullable(),
          }),
        )
        .describe('Water sources of the place, as last checked'),
      cautions: z.array(cautionOut),
    }),
    madeAt: instantOut,
    madeAtRanch: z.string().describe('The same by the clock of the ranch, YYYY-MM-DD HH:MM'),
  })
  .meta({
    id: 'FeedSheet',
    description:
      "What to lay at one place on one day: build order, lots, weight and bales for today's head, water, " +
      'cautions. No money',
  });
export type FeedSheetAnswer = z.output<typeof feedSheetOut>;

const tag = 'Feed sheets';

export const feedSheetFor = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/places/:placeId/feed-sheet',
  operationId: 'getFeedSheet',
  tag,
  access: 'read',
  summary: 'The feed sheet of a place and a day',
  description:
    "From the ration in use and today's head of each herd there. As JSON, as a page to print in large type, or as PDF.",
  params: operationParams.extend({ placeId: id }),
  query: z.strictObject({ ...unitsQuery, on: day.optional().describe('The day; today at the ranch if absent') }),
  answer: feedSheetOut,
  alsoAs: ['html', 'pdf'],
});

const bales = decimalIn
  .refine((value) => /^\d{1,5}(\.\d{1,3})?$/.test(value), 'must be 0 or more bales, with at most three decimal places')
  .describe('Number of bales, parts allowed');
const difference = z.union([
  z
    .strictObject({
      step: z.number().int().min(1).max(12).describe('Which step of the sheet'),
      hayLotId: id,
      weight: massInOrZero.describe('What was laid instead; 0 if none of it was'),
    })
    .describe('Told as a weight, as fed'),
  z
    .strictObject({ step: z.number().int().min(1).max(12).describe('Which step of the sheet'), hayLotId: id, bales })
    .describe('Told in bales, weighed by the mean bale of the lot'),
]);
const confirmation = z
  .object({
    id,
    herdId: id,
    rationId: id,
    feedingId: id,
    placeId: id.nullable(),
    fedOn: day,
    asOnTheSheet: z.boolean().describe('True if nothing was different'),
    lots: z.array(
      z.object({
        hayLotId: id,
        hayLot: z.string().describe('Name of the hay lot'),
        fed: massOut,
        balesOpened: z.number().describe('Bales that were opened').nullable(),
        carriedOut: massOut.describe('Over for the next feeding'),
      }),
    ),
    reversal: reversalOut.describe('Where the feeding was reversed, so that the sheet is open again').nullable(),
    units: unitSystem.describe('Units of this answer'),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({
    id: 'FeedSheetConfirmation',
    description: 'That a feed sheet was fed; its feeding is among the feedings and is reversed there',
  });

export const confirmFeedSheet = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/feed-sheet-confirmations',
  operationId: 'confirmFeedSheet',
  tag,
  access: 'daily',
  summary: 'Confirm that a sheet was fed, with what was different',
  description: 'Writes the feeding and draws the lots in the same transaction; once for a herd and day.',
  params: operationParams,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    herdId: id,
    fedOn: day,
    fedAt: instantIn.optional().describe('If the time was noted'),
    headFed: z.number().int().min(1).max(100_000).optional().describe('The head on the sheet if absent'),
    method: z.enum(FEEDING_METHODS).default('bunk').describe('How it was offered'),
    weather: z.enum(LAYING_WEATHER).default('dry').describe('Weather or state of the hay while laying'),
    blended: z.boolean().default(false).describe('True if the layers were in truth mixed'),
    differences: z
      .array(difference)
      .max(60)
      .default([])
      .describe('Only what was not as on the sheet; a lot that is not on the sheet is added to the step'),
    balesOpened: z
      .array(z.strictObject({ hayLotId: id, bales }))
      .max(30)
      .default([])
      .describe('Where other than the sheet said'),
    refused: massInOrZero.optional().describe('Left uneaten and taken up'),
    wasted: massInOrZero.optional().describe('Trampled or soiled, as measured'),
    note: note.optional(),
  }),
  answer: confirmation,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/feed-sheet-confirmations/${created.id}`,
  problems: ['lot-short'],
});
export const listFeedSheetConfirmations = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/feed-sheet-confirmations',
  operationId: 'listFeedSheetConfirmations',
  tag,
  access: 'read',
  summary: 'Confirmed feed sheets, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery, herdId: id.optional().describe('Only of this herd') }),
  answer: pageAnswer(confirmation),
  paged: true,
});
export const getFeedSheetConfirmation = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/feed-sheet-confirmations/:confirmationId',
  operationId: 'getFeedSheetConfirmation',
  tag,
  access: 'read',
  summary: 'One confirmed feed sheet',
  params: operationParams.extend({ confirmationId: id }),
  query: z.strictObject(unitsQuery),
  answer: confirmation,
});
