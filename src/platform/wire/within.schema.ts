import type { z } from 'zod';
import { signOf } from '../../core/units/wording.js';
import { convertDecimal, type Dimension, type UnitOf } from '../../core/units/unit.js';

/**
 * A check of a figure with its unit: within two bounds, which are told in the unit that was asked in, in whole figures
 * rounded inward, so that whatever is said to be allowed is taken.
 * @param of the unit of the bounds
 */
export function within<Of extends Dimension>(
  [from, to]: readonly [from: number, to: number, ...unknown[]],
  of: UnitOf<Of>,
  path: readonly string[] = [],
): (given: { value: string | number; unit: UnitOf<Of> }, context: z.RefinementCtx) => void {
  return ({ value, unit }, context) => {
    const converted = convertDecimal<Of>(String(value), unit, of);
    if (converted.gte(from) && converted.lte(to)) return;
    const least = convertDecimal<Of>(String(from), of, unit).ceil().toFixed();
    const most = convertDecimal<Of>(String(to), of, unit).floor().toFixed();
    const sign = signOf(unit);
    context.addIssue({
      code: 'custom',
      path: [...path, 'value'],
      message: `must be between ${least} and ${most} ${sign}`,
      params: { code: 'out-of-range', allowed: `${least} to ${most} ${sign}` },
    });
  };
}
