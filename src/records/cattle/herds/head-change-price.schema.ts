import { z } from 'zod';
import { CATTLE_MASS_UNITS, CATTLE_PRICE_UNITS, HEAD_PRICE_BASES } from '../../../core/gain/cattle-price.js';
import { DECIMAL_TEXT } from '../../../core/units/decimal.js';
import { line } from '../../../platform/wire/common.schema.js';
import { amountIn, decimalIn, decimalOut, massOut, moneyOut } from '../../../platform/wire/quantity.schema.js';
import { HEAD_MONEY } from '../../../platform/wire/words.data.js';

const amount = amountIn
  .refine((value) => !value.startsWith('-'), 'must be 0 or more')
  .describe("In the operation's currency");
const how = z
  .enum(HEAD_MONEY)
  .describe('paid: money changed hands; valued: a value was stated, as for raised cattle. A move is always valued');
const shares = {
  how: how.optional(),
  party: line(200).optional().describe('Whom they were bought from, or sold to'),
};
/** A figure that is none has its own finding. */
const isShrink = (value: string): boolean => !DECIMAL_TEXT.test(value) || (Number(value) >= 0 && Number(value) < 20);

/** What cattle that came or went were priced at. */
export const headChangePriceIn = z
  .discriminatedUnion('basis', [
    z.strictObject({ basis: z.literal('per-head'), amount, ...shares }).describe('Priced by the head'),
    z
      .strictObject({
        basis: z.literal('per-mass'),
        amount,
        per: z.enum(CATTLE_MASS_UNITS).describe('A hundredweight (cwt) is 100 lb'),
        pencilShrinkPercent: decimalIn
          .refine(isShrink, 'must be 0 to below 20 %')
          .optional()
          .describe('Percent taken off the weight on paper before it is paid; none if left out'),
        ...shares,
      })
      .describe('Priced by weight; needs the mean weight of these cattle'),
    z.strictObject({ basis: z.literal('lump-sum'), amount, ...shares }).describe('One sum for all of them'),
  ])
  .meta({ id: 'HeadChangePriceInput', description: 'What cattle that came or went were bought, sold or valued at' });

export const headChangePriceOut = z
  .object({
    how,
    basis: z.enum(HEAD_PRICE_BASES).describe('How they were priced'),
    amount: decimalOut.describe('The figure as it was typed, digit for digit'),
    per: z.enum(CATTLE_PRICE_UNITS).describe('What the figure is for'),
    pencilShrinkPercent: decimalOut.nullable().describe('Percent taken off the weight on paper; null for none'),
    payWeight: massOut.nullable().describe('Weight of all of them that was paid for; null where they were not weighed'),
    worth: moneyOut.describe('What it comes to for all of them'),
    party: z.string().nullable().describe('Whom they were bought from, or sold to; null if not said'),
  })
  .meta({ id: 'HeadChangePrice', description: 'What cattle that came or went were bought, sold or valued at' });
