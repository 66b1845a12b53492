import { Decimal } from '../units/decimal.js';
import { fromBaseUnit } from '../units/unit.js';

/** Whether weights and gains are shown in pounds or kilograms. */
export type WordUnit = 'lb' | 'kg';

/** @param kg a mass or a rate per day in kilograms */
export function shown(kg: number, unit: WordUnit): number {
  return fromBaseUnit(kg, unit);
}

const MOST_PLACES = 8;

/** Rounds so that a printed interval is never narrower than the true one and never loses the sign of a bound. */
export function roundedOutward({ low, high, places }: { low: number; high: number; places: number }): {
  low: string;
  high: string;
} {
  const bound = (value: number, toward: 'down' | 'up'): string => {
    const round = toward === 'down' ? Math.floor : Math.ceil;
    for (let digits = places; digits <= MOST_PLACES; digits += 1) {
      const text = (round(value * 10 ** digits) / 10 ** digits).toFixed(digits);
      if (value === 0 || Number(text) !== 0) return text;
    }
    // Too small for the places there are: two digits, rounded the same way.
    return Number(
      new Decimal(value).toSignificantDigits(2, toward === 'down' ? Decimal.ROUND_FLOOR : Decimal.ROUND_CEIL),
    ).toPrecision(2);
  };
  return { low: bound(low, 'down'), high: bound(high, 'up') };
}

export function roundedUp(value: number, places: number): string {
  return (Math.ceil(value * 10 ** places - 1e-9) / 10 ** places).toFixed(places);
}

export function percent(share: number, places = 0): string {
  return `${(share * 100).toFixed(places)} %`;
}

/** A confidence, rounded down: what is printed is never surer than what was computed. */
export function confidenceText(confidence: number): string {
  const tenths = Math.floor(confidence * 1000 + 1e-9) / 10;
  return `${Number.isInteger(tenths) ? tenths.toFixed(0) : tenths.toFixed(1)} %`;
}
