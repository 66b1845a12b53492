import { noun } from '../../core/units/counted.js';
import type { Column } from '../document/document.js';

/** 1234 as 1,234. */
export function grouped(value: string | number, places = 0): string {
  return Number(value).toLocaleString('en-US', { minimumFractionDigits: places, maximumFractionDigits: places });
}

/** What is small in its unit (mineral in tons) keeps two digits that say something, and never reads 0. */
const SMALL = { below: 1, digits: 2 } as const;

export function shown(mass: { value: string; unit: string } | null, places = 0): string {
  if (mass === null) return '';
  const size = Math.abs(Number(mass.value));
  const small = size > 0 && size < SMALL.below;
  const needed = small ? Math.min(MOST_PLACES, SMALL.digits - 1 - Math.floor(Math.log10(size))) : 0;
  return `${grouped(mass.value, Math.max(places, needed))} ${mass.unit}`;
}
/** As many as an answer gives. */
const MOST_PLACES = 6;

/** A feed's amount per head: mineral and salt in ounces or grams, as they are weighed out. */
export function perHeadShown(mass: { value: string; unit: string }): string {
  const value = Number(mass.value);
  if (value >= 1 || (mass.unit !== 'lb' && mass.unit !== 'kg')) return shown(mass, 1);
  const [fine, unit] = mass.unit === 'lb' ? [value * 16, 'oz'] : [value * 1000, 'g'];
  return `${String(Number(fine.toFixed(1)))} ${unit}`;
}

/** Money keeps its cents. */
export function paid(money: { amount: string; currency: string } | null): string {
  return money === null ? '' : `${grouped(money.amount, 2)} ${money.currency}`;
}

/** "1 day", "1,200 days". */
export function daysSaid(days: number): string {
  return `${grouped(days)} ${noun(days, 'day')}`;
}

/** "1 head-day", "1,200 head-days". */
export function headDaysSaid(days: number): string {
  return `${grouped(days)} ${noun(days, 'head-day')}`;
}

export function priced(price: { amount: string; currency: string; per: string } | null): string {
  return price === null ? '' : `${grouped(price.amount, 2)} ${price.currency} per ${price.per}`;
}

/** 'native-grass' as people write it. */
export function spelled(word: string): string {
  return word.replaceAll('-', ' ');
}

export const right = (title: string, width = 1): Column => ({ title, numbers: true, width });
export const left = (title: string, width = 1): Column => ({ title, width });
