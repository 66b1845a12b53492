import { z } from 'zod';
import { MOISTURE_PERCENT } from '../../../core/cautions/hay-observation.data.js';
import { DECIMAL_TEXT } from '../../../core/units/decimal.js';
import { line } from '../../../platform/wire/common.schema.js';
import {
  amountIn,
  decimalIn,
  decimalOut,
  massAsTypedOut,
  massIn,
  massOut,
  massUnit,
} from '../../../platform/wire/quantity.schema.js';
import { WEIGHT_BASES } from '../../../platform/wire/words.data.js';

/** What all tickets for hay share, whether bought, raised or offered: how the weight is known and how it is priced. */
export const positiveAmount = amountIn.refine((value) => !value.startsWith('-'), 'must be 0 or more');

export const receivedWeight = z
  .discriminatedUnion('basis', [
    z
      .strictObject({ basis: z.literal('scale-ticket'), gross: massIn, tare: massIn })
      .describe('Truck weighed full and empty'),
    z.strictObject({ basis: z.literal('net'), net: massIn }).describe('Net weight as the ticket prints it'),
    z
      .strictObject({
        basis: z.literal('weighed-bales'),
        meanBaleWeight: massIn,
        balesWeighed: z.number().int().min(1).max(10_000).describe('How many bales were weighed'),
        standardDeviation: massIn
          .optional()
          .describe('Standard deviation of the weighed bales; needed to say how sure the total is'),
      })
      .describe('Some bales weighed, all counted'),
  ])
  .meta({ id: 'TicketWeight', description: 'How the weight is known' });

/** The weight of a ticket as typed, digit for digit. */
export const receivedWeightOut = z
  .discriminatedUnion('basis', [
    z
      .object({ basis: z.literal('scale-ticket'), gross: massAsTypedOut, tare: massAsTypedOut })
      .describe('Truck weighed full and empty'),
    z.object({ basis: z.literal('net'), net: massAsTypedOut }).describe('Net weight as the ticket prints it'),
    z
      .object({
        basis: z.literal('weighed-bales'),
        meanBaleWeight: massAsTypedOut,
        balesWeighed: z.number().int().describe('How many bales were weighed'),
        standardDeviation: massAsTypedOut.describe('Standard deviation of the weighed bales').optional(),
      })
      .describe('Some bales weighed, all counted'),
  ])
  .meta({ id: 'ReceivedWeight', description: 'How the weight was given, digit for digit' })
  .nullable()
  .describe('How the weight was given, digit for digit; null in entries made before this was kept');

export const ticketPrice = z
  .discriminatedUnion('basis', [
    z
      .strictObject({ basis: z.literal('per-mass'), amount: positiveAmount, per: massUnit })
      .describe('Priced per ton or another unit of mass'),
    z.strictObject({ basis: z.literal('per-bale'), amount: positiveAmount }).describe('Priced per bale'),
    z.strictObject({ basis: z.literal('lump-sum'), amount: positiveAmount }).describe('One price for all of it'),
  ])
  .meta({ id: 'TicketPrice', description: "How it was priced; in the operation's currency" });

/** What hay, by a probe or on a ticket, can hold of water. A figure that is none has its own finding. */
export const isMoisture = (value: string): boolean =>
  !DECIMAL_TEXT.test(value) || (Number(value) >= MOISTURE_PERCENT.lowest && Number(value) <= MOISTURE_PERCENT.highest);
export const MOISTURE_ALLOWED = `must lie between ${MOISTURE_PERCENT.lowest} and ${MOISTURE_PERCENT.highest} %`;
export const moisturePercent = decimalIn.refine(isMoisture, MOISTURE_ALLOWED);

/** As it stands on the scale ticket. */
export const ticketNumber = line(60).describe('Number of the scale ticket, as it stands there');
export const ticketNumberOut = z.string().nullable().describe('Number of the scale ticket; null if none was given');

export const baleCount = z.number().int().min(1).max(100_000).describe('Number of bales on the ticket');
export const weightBasis = z.enum(WEIGHT_BASES).describe('How the weight is known');

export const weighingOut = z
  .object({
    meanBaleWeight: massAsTypedOut,
    balesWeighed: z.number().int().describe('How many bales were weighed'),
    standardDeviation: decimalOut.describe('Standard deviation of the weighed bales, in the same unit').nullable(),
    balesWanted: z.number().int().describe('Bales to weigh for a total within 5 % at 95 % confidence').nullable(),
    likelyWeight: z
      .object({ low: massOut, high: massOut })
      .describe('95 % interval of the weight of the load')
      .nullable(),
    warnings: z
      .array(
        z.object({
          code: z.string().describe('Code that stays the same between releases'),
          message: z.string().describe('What is doubtful about the weight'),
        }),
      )
      .describe('Doubts about the weight; empty if there are none'),
  })
  .describe('How sure the weight is; null unless bales were weighed');
