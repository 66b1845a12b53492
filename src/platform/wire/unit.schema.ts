import { z } from 'zod';
import { codesInWords, type Dimension, namesInWords, unitsOf, type UnitSize } from '../../core/units/unit.js';

/** The units in which a request may give, or an answer show, one dimension; from the table of units. */
export function unitOf<Of extends Dimension>(dimension: Of, size?: UnitSize) {
  const units = unitsOf(dimension, size);
  const names = namesInWords(units);
  return z.enum(units).describe(names.charAt(0).toUpperCase() + names.slice(1));
}

export const massUnit = z.enum(unitsOf('mass')).meta({ id: 'MassUnit', description: codesInWords(unitsOf('mass')) });
