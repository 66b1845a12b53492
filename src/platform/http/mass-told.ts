import { Decimal } from '../../core/units/decimal.js';
import type { Mass, MassUnit } from '../../core/units/mass.js';

/** For words: in tenths, or thousandths of a ton; down what may be drawn, so that it really can be. */
export function massToldIn(mass: Mass, unit: MassUnit, toward: 'up' | 'down'): string {
  const places = unit === 'ton' || unit === 't' ? 3 : 1;
  const rounding = toward === 'up' ? Decimal.ROUND_UP : Decimal.ROUND_DOWN;
  return `${mass.in(unit).toDecimalPlaces(places, rounding).toFixed()} ${unit}`;
}
