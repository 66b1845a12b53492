import { z } from 'zod';
import { figureText } from '../../core/units/decimal.js';
import { LAYING_WEATHER } from '../../core/laying/layer.js';
import { pageAnswer } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import type { FiledUnder } from '../../platform/http/file-name.js';
import { day, id, instantIn, instantOut, note, operationParams } from '../../platform/wire/common.schema.js';
import { entryQuery } from '../../platform/wire/confirm.schema.js';
import {
  decimalIn,
  massInOrZero,
  massOut,
  typedMassOut,
  unitsQuery,
  unitSystem,
} from '../../platform/wire/quantity.schema.js';
import { BALE_ROUNDINGS } from '../../core/laying/whole-bales.js';
import { cautionOut } from '../../records/kit/caution.schema.js';
import { eventQuery } from '../../records/kit/day-range.js';
import { reversalOut } from '../../records/kit/reversal.schema.js';
import { role } from '../rations/ration.schema.js';
import { FEEDING_METHODS, WATER_STATES } from '../../platform/wire/words.data.js';

const waterAmount = z.object({
  value: z.number().describe('Amount of water'),
  unit: z.enum(['gal', 'L']).describe('US gallons or liters'),
});
const balesOut = z.object({
  open: z.number().int().describe('Bales to open today'),
  weight: massOut.describe('Mean weight of one bale'),
  carriedIn: massOut.describe(
    'What the day starts with: hay in opened bales, or, where the ration is fed in whole bales, how far the lot is ' +
      'ahead of its need (below zero: behind it)',
  ),
  carriedOut: massOut.describe('The same when the sheet is fed'),
  lastsDays: z
    .number()
    .describe(
      "Days that a bale lasts at the day's need of this line, once it is opened; null where the ration is fed in " +
        'whole bales',
    )
    .nullable(),
});
const lineOut = z.object({
  hayLotId: id,
  hayLot: z.string().describe('Name of the hay lot'),
  liesAt: z.string().describe('Name of the place where the lot is kept; null where none is recorded').nullable(),
  need: massOut.describe("What the ration calls for, for today's head"),
  lay: massOut.describe('What to lay, in whole pounds or kilograms'),
  bales: balesOut.nullable(),
});
const sheetLayer = z.object({
  step: z.number().int().describe('Number of the step; 1 is laid first, at the bottom'),
  role,
  lay: massOut.describe('Weight of the whole layer, for all head'),
  dryMatterSharePercent: z.number().describe("Share of the ration's dry matter in this layer, %"),
  lines: z.array(lineOut),
});

const carried = z.object({
  rounding: z
    .enum(BALE_ROUNDINGS)
    .describe('`open-enough`: bales are opened as needed; `nearest-whole`: whole bales are laid by a plan over days'),
  since: day.describe('The last confirmed feeding that is counted from; null where none is').nullable(),
  countedAsPlanned: z
    .array(day)
    .describe('Days since then that nobody confirmed: what was planned for them is counted'),
  countedAsFed: z.array(day).describe('Days since then that were fed without a sheet: what was fed is counted'),
  notTakenOff: massOut
    .describe('Fed above the need before, and not taken off the days to come, which would be short for it')
    .nullable(),
});
const planOut = z
  .object({
    need: massOut.describe("What the ration asks for the herd's day"),
    band: z
      .object({
        fromPercent: z.number().describe('Least of a day, % of the need'),
        toPercent: z.number().describe('Most of a day, % of the need'),
      })
      .describe('Every day of the plan is between these; each lot stays less than one bale from its need throughout'),
    widerThanAsked: z
      .boolean()
      .describe('True where no whole number of bales keeps to 15 % either way; the band is the narrowest one then'),
    days: z
      .array(
        z.object({
          onDay: day,
          lay: massOut.describe('All lots together'),
          percentOfNeed: z.number().describe('What is laid, % of the need of the day'),
          dangers: z
            .array(
              z.object({
                code: z.string().describe('Code that stays the same between releases'),
                title: z.string().describe('What it is about'),
                subject: z.string().describe('What it is about by name; null where it is about the whole').nullable(),
              }),
            )
            .describe(
              'Cautions of danger that what is laid on this day raises, for the herd as it is now; empty where there ' +
                'is none. The sheet of that day tells each in full',
            ),
          lots: z.array(
            z.object({
              hayLotId: id,
              hayLot: z.string().describe('Name of the hay lot'),
              bales: z.number().int().describe('Whole bales of the lot'),
            }),
          ),
        }),
      )
      .describe('This day and those after it, as long as head and ration stay as they are'),
    daysOfCoarseHayAlone: z.number().int().describe('Days of the plan on which bales allow nothing but coarse hay'),
  })
  .describe('Which whole bales to lay on which day');
const fedThatDay = z.object({
  feedingId: id,
  fedAt: instantOut.nullable(),
  fedAtRanch: z.string().describe('The same by the clock of the ranch, HH:MM').nullable(),
  enteredBy: z.string().describe('Name of the person who entered it, where the reader may know it').nullable(),
  headFed: z.number().int().describe('Head that were fed'),
  total: massOut,
  fromTheSheet: z.boolean().describe('False: entered as a feeding, without the sheet'),
});

const herdSheet = z.object({
  herdId: id,
  herd: z.string().describe('Name of the herd'),
  head: z.number().int().describe('Number of head in the herd today'),
  ration: z
    .object({ id, name: z.string().describe('Name of the ration') })
    .describe('The ration in use on the day; null if none is')
    .nullable(),
  layers: z.array(sheetLayer).describe('In build order, bottom first'),
  freeChoice: z
    .array(
      z.object({
        hayLotId: id,
        hayLot: z.string().describe('Name of the hay lot'),
        liesAt: z.string().describe('Name of the place where the lot is kept; null where none is recorded').nullable(),
        intake: typedMassOut.describe('Intake stated in the ration, per head per day, and as it was typed'),
        forTheHerd: massOut.describe('What all head eat of it in a day, by the stated intake'),
      }),
    )
    .describe(
      'What to keep in front of the cattle, beside what is laid. It counts in needs, cautions and cost by its stated ' +
        'intake, and confirming the sheet draws that much of it',
    ),
  total: massOut.nullable(),
  perHead: massOut.describe('As fed, per head per day; null where there is nothing to lay').nullable(),
  dryMatterPerHead: massOut.nullable(),
  leftovers: z
    .array(z.object({ hayLotId: id, hayLot: z.string().describe('Name of the hay lot'), carriedOut: massOut }))
    .describe('What is left over for the next feeding, lot by lot'),
  behind: z
    .array(z.object({ hayLotId: id, hayLot: z.string().describe('Name of the hay lot'), behindBy: massOut }))
    .describe('Lots that whole bales leave behind their need for now; later days make it good'),
  carried: carried.describe('What the sheet starts from').nullable(),
  plan: planOut.nullable().describe('Only where the ration is fed in whole bales'),
  fedThatDay: z.array(fedThatDay).describe('Feedings of the herd on this day that stand, oldest first'),
  shortLots: z
    .array(z.object({ hayLotId: id, hayLot: z.string().describe('Name of the hay lot'), shortBy: massOut }))
    .describe('Lots with less hay than the sheet calls for'),
  likelyEatenFirst: z
    .array(z.number().int())
    .describe('Steps in the order in which cattle likely eat them; common practice, no source'),
  water: waterAmount
    .describe('What the whole herd needs to drink today; null where it cannot be worked out')
    .nullable(),
  cautions: z.array(cautionOut),
  nothingBecause: z.string().describe('Why there is nothing to lay; null where there is').nullable(),
  notJudgedBecause: z
    .array(z.string())
    .describe('Why the needs and cautions of the ration could not be worked out; empty where they could'),
  confirmation: z.object({ id, feedingId: id }).describe('The confirmation, if this sheet was fed already').nullable(),
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
          liesAt: z
            .string()
            .describe('Name of the place where the lot is kept; null where none is recorded')
            .nullable(),
          lay: massOut.describe('Weight to load for all herds here'),
          open: z
            .number()
            .int()
            .describe('Bales to open if each herd opens its own, added up; null where the lot is not counted in bales')
            .nullable(),
          openIfShared: z
            .number()
            .int()
            .describe('Bales that are enough if the herds share open bales; null where that is not known')
            .nullable(),
        }),
      )
      .describe('What to load of each lot for all herds here not fed yet; empty where fewer than two are left to feed'),
    water: z.object({
      need: waterAmount
        .describe('Need of all herds here for which it is known; null where it is known for none')
        .nullable(),
      needUnknownFor: z.array(z.string()).describe('Herds whose need for water is not known'),
      sources: z
        .array(
          z.object({
            source: z.string().describe('Name of the water source'),
            state: z.enum(WATER_STATES).describe('State of the water at the last check'),
            checkedOn: day,
            givesADay: waterAmount
              .describe('How much water it gives per day; null where it was not measured')
              .nullable(),
          }),
        )
        .describe('Water sources of the place, as last checked'),
      cautions: z.array(cautionOut),
    }),
    madeAt: instantOut,
    madeAtRanch: z.string().describe('The same moment by the clock at the ranch, YYYY-MM-DD HH:MM'),
  })
  .meta({
    id: 'FeedSheet',
    description:
      "What to lay at one place on one day: build order, lots, weight and bales for today's head, water, " +
      'cautions. No money',
  });
export type FeedSheetAnswer = z.output<typeof feedSheetOut>;

/** Under what a sheet is saved as a file: the place and its day. */
export function sheetFiledUnder({ place, onDay }: FeedSheetAnswer): FiledUnder {
  return { of: place, onDay };
}

const tag = 'Feed sheets';

export const feedSheetFor = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/places/:placeId/feed-sheet',
  operationId: 'getFeedSheet',
  tag,
  access: 'read',
  summary: 'The feed sheet of a place and a day',
  description:
    "Made from the ration in use and today's head of each herd there. As JSON, as a page to print in " +
    'large type, or as PDF.',
  params: operationParams.extend({ placeId: id }),
  query: z.strictObject({
    ...unitsQuery,
    on: day.optional().describe('Day of the sheet; today at the ranch if left out'),
  }),
  answer: feedSheetOut,
  filedUnder: sheetFiledUnder,
  alsoAs: ['html', 'pdf'],
});

const bales = decimalIn
  .refine(
    (value) => figureText({ digits: 5, places: 3 }).test(value),
    'must be 0 or more bales, with at most three decimal places',
  )
  .describe('Number of bales; fractions are allowed');
const difference = z.union([
  z
    .strictObject({
      step: z.number().int().min(1).max(12).describe('Number of the step on the sheet'),
      hayLotId: id,
      weight: massInOrZero.describe('What was laid instead; 0 if none of it was'),
    })
    .describe('A difference given by weight, as fed'),
  z
    .strictObject({
      step: z.number().int().min(1).max(12).describe('Number of the step on the sheet'),
      hayLotId: id,
      bales,
    })
    .describe("A difference given in bales, at the lot's mean bale weight"),
]);
const confirmation = z
  .object({
    id,
    herdId: id,
    rationId: id,
    feedingId: id,
    placeId: id.nullable(),
    fedOn: day,
    asOnTheSheet: z.boolean().describe('True if all was fed as on the sheet'),
    additional: z.boolean().describe('True for a second feeding of that day'),
    lots: z.array(
      z.object({
        hayLotId: id,
        hayLot: z.string().describe('Name of the hay lot'),
        fed: massOut,
        balesOpened: z
          .number()
          .describe('Bales that were opened; null where the lot is not counted in bales')
          .nullable(),
        carriedOut: massOut.describe('Left over for the next feeding'),
      }),
    ),
    cautions: z
      .array(cautionOut)
      .describe('What to beware of in what the herd was fed on that day, the worst first; empty once it is reversed'),
    reversal: reversalOut
      .describe('The reversal of its feeding, after which the sheet is open again; null if it was not reversed')
      .nullable(),
    units: unitSystem.describe('Units of this answer'),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({
    id: 'FeedSheetConfirmation',
    description: 'Confirms that a feed sheet was fed; its feeding is listed with the feedings and is reversed there',
  });

const listedConfirmation = confirmation.omit({ cautions: true }).meta({
  id: 'ListedFeedSheetConfirmation',
  description: 'A confirmation as in a list; read it by itself to see its cautions',
});

export const confirmFeedSheet = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/feed-sheet-confirmations',
  operationId: 'confirmFeedSheet',
  tag,
  access: 'daily',
  summary: 'Confirm that a sheet was fed, with any differences',
  description:
    'Records the feeding and draws the hay from its lots in one transaction, once per herd and day. Refused with ' +
    '`conflict` where the herd was fed on that day before, from its sheet or without it, unless it is said to be a ' +
    'second feeding.',
  params: operationParams,
  query: z.strictObject(entryQuery),
  body: z.strictObject({
    herdId: id,
    fedOn: day,
    fedAt: instantIn.optional().describe('Time of the feeding, if it was noted'),
    headFed: z.number().int().min(1).max(100_000).optional().describe('Head fed; the head on the sheet if left out'),
    method: z
      .enum(FEEDING_METHODS)
      .optional()
      .describe(
        'How it was offered; if left out, as the herd was last fed forage by that day, and where it never was, ' +
          'windrow-on-ground on a pasture and bunk elsewhere',
      ),
    weather: z.enum(LAYING_WEATHER).default('dry').describe('Weather or state of the hay while laying'),
    blended: z.boolean().default(false).describe('True if the layers were mixed when they were fed'),
    additional: z
      .boolean()
      .default(false)
      .describe('True: the herd was fed on that day before, and this is a second feeding on top of it'),
    differences: z
      .array(difference)
      .max(60)
      .default([])
      .describe('Only what differed from the sheet; a lot that is not on the sheet is added to the step'),
    balesOpened: z
      .array(z.strictObject({ hayLotId: id, bales }))
      .max(30)
      .default([])
      .describe('Bales opened of each lot, where the number differed from the sheet'),
    refused: massInOrZero.optional().describe('Hay left uneaten and taken up'),
    wasted: massInOrZero.optional().describe('Hay trampled or soiled, as measured'),
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
  query: z.strictObject({ ...eventQuery, ...unitsQuery, herdId: id.optional().describe('Only those of this herd') }),
  answer: pageAnswer(listedConfirmation),
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
