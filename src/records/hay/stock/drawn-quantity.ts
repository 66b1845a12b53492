import { z } from 'zod';
import { figureText } from '../../../core/units/decimal.js';
import { KILOGRAM_PLACES, Mass } from '../../../core/units/mass.js';
import type { OperationTenant, Words } from '../../../platform/database/types.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import {
  decimalIn,
  decimalOut,
  formatDecimal,
  massAsTypedOut,
  massIn,
  massInOrZero,
  toMass,
} from '../../../platform/wire/quantity.schema.js';
import type { StockRead } from './stock.read.js';

const bales = decimalIn
  .refine(
    (value) => Number(value) > 0 && figureText({ digits: 6, places: 3 }).test(value),
    'must be a number of bales above 0, with at most three decimal places',
  )
  .describe("Bales, at the lot's mean bale weight");
const balesOrNone = decimalIn
  .refine(
    (value) => figureText({ digits: 6, places: 3 }).test(value),
    'must be a number of bales, with at most three decimal places',
  )
  .describe("Bales, at the lot's mean bale weight");

/** How much hay leaves a lot. */
export const drawnQuantity = z
  .union([
    z.strictObject({ weight: massIn }).describe('Given by weight, as fed'),
    z.strictObject({ gross: massIn, tare: massIn }).describe('Truck weighed full and empty'),
    z.strictObject({ bales }).describe("Given in bales, at the lot's mean bale weight"),
  ])
  .describe('How much hay is taken, by weight or in bales');

/** How much left, as typed, digit for digit. */
export const drawnQuantityOut = z
  .union([
    z.object({ weight: massAsTypedOut }).describe('Given by weight, as fed'),
    z.object({ gross: massAsTypedOut, tare: massAsTypedOut }).describe('Truck weighed full and empty'),
    z.object({ bales: decimalOut }).describe("Given in bales, at the lot's mean bale weight"),
  ])
  .meta({ id: 'DrawnQuantity', description: 'How the quantity was given, digit for digit' })
  .nullable()
  .describe(
    'How the quantity was given, digit for digit; null where it was worked out, or entered before this was kept',
  );

/** How much hay is in a lot, as counted. */
export const countedQuantity = z
  .union([
    z.strictObject({ weight: massInOrZero }).describe('Given by weight, as fed'),
    z.strictObject({ bales: balesOrNone }).describe("Given in bales, at the lot's mean bale weight"),
  ])
  .describe('How much was found in the count, by weight or in bales');

export interface Quantity {
  mass: Mass;
  value: string;
  unit: Words['QuantityUnit'];
  bales: string | null;
}

/** The typed quantity as a mass. @throws Problem where bales are given and the lot's bale weight is not known. */
export async function quantityOf(
  tenant: OperationTenant,
  stock: StockRead,
  lotId: string,
  given: z.output<typeof drawnQuantity> | z.output<typeof countedQuantity>,
  pointer: string,
): Promise<Quantity> {
  if ('weight' in given)
    return { mass: toMass(given.weight), value: given.weight.value, unit: given.weight.unit, bales: null };
  if ('gross' in given) {
    const mass = toMass(given.gross).minus(toMass(given.tare));
    if (!mass.isPositive())
      throw ruleBroken(
        `${pointer}/tare`,
        'tare-not-below-gross',
        given.tare.value,
        `less than ${given.gross.value} ${given.gross.unit}`,
        'The empty truck cannot weigh as much as the full one.',
      );
    return {
      mass,
      value: formatDecimal(mass.in(given.gross.unit), KILOGRAM_PLACES),
      unit: given.gross.unit,
      bales: null,
    };
  }
  const bale = (await stock.baleWeights(tenant, [lotId])).get(lotId);
  if (bale === undefined)
    throw ruleBroken(
      `${pointer}/bales`,
      'bale-weight-unknown',
      given.bales,
      'a weight',
      'No bales of this lot were counted when it came, so the weight of a bale is not known; give a weight.',
    );
  return {
    mass: Mass.kilograms(bale.times(given.bales).kilograms.toDecimalPlaces(KILOGRAM_PLACES)),
    value: given.bales,
    unit: 'bale',
    bales: given.bales,
  };
}
