import { nameKey } from '../../../core/units/name-key.js';
import type { Column, ColumnFamily } from '../columns.js';
import { columnOfUnit } from './column-mapping.js';
import { CELL_SYNONYMS, NO, YES } from './cell-words.data.js';
import { dayInCell, type DayOrder, dayUnder } from './read-day.js';
import { type DecimalMark, markShownBy, type NumberInCell, numberInCell, plainDecimal } from './read-number.js';
import { COUNTED_WORDS, unitOfWord } from './unit-words.data.js';

/** How the figures and days of a file are written; null: the file shows both ways, or does not show which. */
export interface Writing {
  readonly decimals: DecimalMark | null;
  readonly days: DayOrder | null;
  readonly currency: string;
}

/** What a cell means: its text for a column, or why nobody can tell. */
export type CellRead =
  | { readonly column: string; readonly text: string; readonly unit: string | null }
  | { readonly code: string; readonly allowed: string; readonly message: string };

const DOLLARS = new Set(['USD', 'CAD', 'AUD', 'NZD']);
const SIGNS: Readonly<Record<string, (currency: string) => boolean>> = {
  $: (currency) => DOLLARS.has(currency),
  '€': (currency) => currency === 'EUR',
  '£': (currency) => currency === 'GBP',
  US$: (currency) => currency === 'USD',
  CA$: (currency) => currency === 'CAD',
  C$: (currency) => currency === 'CAD',
  A$: (currency) => currency === 'AUD',
  AU$: (currency) => currency === 'AUD',
  NZ$: (currency) => currency === 'NZD',
};

/** A cell under a column. What is not understood stays as it is: the rules of the API refuse it with their reason. */
export function cellOfColumn(text: string, column: Column & { unit?: string }, writing: Writing): CellRead {
  const as = (value: string): CellRead => ({ column: column.name, text: value, unit: column.unit ?? null });
  switch (column.holds) {
    case 'text':
      return as(text);
    case 'yes-no': {
      const word = nameKey(text);
      return as(YES.has(word) ? 'yes' : NO.has(word) ? 'no' : text);
    }
    case 'day':
      return dayOf(text, as, writing);
    case 'number':
    case 'whole':
      return numberOf(text, column, as, writing);
    default:
      return as(wordOf(text, column.holds));
  }
}

/** A cell under a group of columns: its own unit says which of them is meant. */
export function cellOfFamily(text: string, family: ColumnFamily, writing: Writing): CellRead {
  const found = numberInCell(text);
  const column = found === undefined || found.unit === '' ? undefined : columnOfUnit(family, found.unit);
  if (column === undefined)
    return {
      code: 'unit-missing',
      allowed: `a unit beside the figure, or a header with one: ${family.columns.map(({ name }) => name).join(', ')}`,
      message: `${family.what} is given without a unit that is known here.`,
    };
  return cellOfColumn(text, column, writing);
}

function dayOf(text: string, as: (value: string) => CellRead, { days }: Writing): CellRead {
  const day = dayInCell(text);
  if (day === undefined) return as(text);
  if (typeof day === 'string') return as(day);
  if (days === null)
    return {
      code: 'day-unclear',
      allowed: 'dates=month-first or dates=day-first with the request, or days written YYYY-MM-DD',
      message: 'The file does not show whether the month or the day comes first.',
    };
  return as(dayUnder(day, days) ?? text);
}

function numberOf(
  text: string,
  column: Column & { unit?: string },
  as: (value: string) => CellRead,
  { decimals, currency }: Writing,
): CellRead {
  const found = numberInCell(text);
  if (found === undefined) return as(text);
  const misfit = misfitOf(found, column, currency);
  if (misfit !== undefined) return misfit;
  if (decimals === null && markShownBy(found.digits) === 'either')
    return {
      code: 'number-unclear',
      allowed: 'decimals=point or decimals=comma with the request, or figures without marks between thousands',
      message: 'The file does not show whether this mark stands before decimals or between thousands.',
    };
  const plain = plainDecimal(found.digits, decimals ?? markOf(found));
  if (plain === undefined) return as(text);
  const figure = column.holds === 'whole' ? plain.replace(/\.0+$/, '') : plain;
  return as(found.negative ? `-${figure}` : figure);
}

/** Where the file does not say, and the figure is the same under both or shows its own. */
function markOf({ digits }: NumberInCell): DecimalMark {
  return markShownBy(digits) === 'comma' ? 'comma' : 'point';
}

/** A unit or a currency in a cell that is not that of its column. */
function misfitOf(
  { unit, currency: sign }: NumberInCell,
  column: Column & { unit?: string },
  currency: string,
): CellRead | undefined {
  const money = column.name.split('_').includes(currency.toLowerCase());
  if (sign !== '' && !(money && (sign === currency || SIGNS[sign]?.(currency) === true)))
    return {
      code: 'other-currency',
      allowed: money ? `an amount in ${currency}` : column.allowed,
      message: money ? `The prices of this operation are in ${currency}.` : 'This column holds no money.',
    };
  if (unit === '' || unitFits(unit, column)) return undefined;
  return {
    code: 'unit-differs',
    allowed: column.unit === undefined ? column.allowed : `figures in ${column.unit}, as the header says`,
    message: `"${unit}" is not what the column ${column.name} is in.`,
  };
}

function unitFits(written: string, column: Column & { unit?: string }): boolean {
  const unit = unitOfWord(written) ?? written;
  if (column.unit !== undefined) return unit.toLowerCase() === column.unit.toLowerCase();
  if (column.name.endsWith('_percent')) return unit === '%';
  return (
    (column.holds === 'whole' || column.name === 'bales' || column.name === 'hours_off_feed') &&
    COUNTED_WORDS.test(written)
  );
}

function wordOf(text: string, words: readonly string[]): string {
  const written = nameKey(text.replaceAll(/[_-]+/g, ' '));
  const direct = words.find((word) => nameKey(word.replaceAll('-', ' ')) === written);
  const other = Object.hasOwn(CELL_SYNONYMS, written) ? CELL_SYNONYMS[written] : undefined;
  return direct ?? (other !== undefined && words.includes(other) ? other : text);
}
