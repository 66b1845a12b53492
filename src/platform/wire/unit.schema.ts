import { z } from 'zod';
import {
  codesInWords,
  type Dimension,
  namesInWords,
  unitsOf,
  type UnitOf,
  type UnitSize,
} from '../../core/units/unit.js';

type UnitSchema<Of extends Dimension> = z.ZodEnum<{ [Code in UnitOf<Of>]: Code }>;

export const massUnit = z.enum(unitsOf('mass')).meta({ id: 'MassUnit', description: codesInWords(unitsOf('mass')) });

const NAMED = new Map<string, unknown>([['MassUnit', massUnit]]);

/**
 * The units in which a request may give, or an answer show, one dimension; from the table of units. Each list is one
 * component of the description: `TemperatureUnit`, `SmallLengthUnit`.
 */
export function unitOf<Of extends Dimension>(dimension: Of, size?: UnitSize): UnitSchema<Of> {
  const id = `${size ?? ''} ${dimension} unit`
    .trim()
    .replaceAll(/(?:^| )([a-z])/g, (_, letter: string) => letter.toUpperCase());
  const known = NAMED.get(id) as UnitSchema<Of> | undefined;
  if (known !== undefined) return known;
  const units = unitsOf(dimension, size);
  const names = namesInWords(units);
  const made = z.enum(units).meta({ id, description: names.charAt(0).toUpperCase() + names.slice(1) });
  NAMED.set(id, made);
  return made;
}
