import type { MassUnit } from '../../core/units/mass.js';
import { shownUnit, unitRow } from '../../core/units/unit.js';
import { UNIT_SYSTEMS } from '../../core/units/units.data.js';

/** What the cells of a column are read as: one of some words, or what is named. */
export type Holds = 'day' | 'number' | 'whole' | 'yes-no' | 'text' | readonly string[];

/** What is allowed in a cell, in words, and what it is read as. */
export interface Allowed {
  readonly text: string;
  readonly holds: Holds;
}

/** A column of a file: its name, which carries the unit, and what it may hold. */
export interface Column {
  readonly name: string;
  readonly required: boolean;
  readonly what: string;
  readonly allowed: string;
  readonly holds: Holds;
}

/** Group of columns that give one quantity in several units; a row fills at most one of them. Null if in no group. */
export interface ColumnFamily {
  readonly stem: string;
  readonly what: string;
  readonly required: boolean;
  readonly columns: readonly (Column & { readonly unit: string })[];
}

export interface ColumnSet {
  readonly plain: readonly Column[];
  readonly families: readonly ColumnFamily[];
}

export function allColumns(set: ColumnSet): Column[] {
  return [...set.plain, ...set.families.flatMap((family) => family.columns)];
}

const columnOf = (name: string, required: boolean, what: string, allowed: string | Allowed): Column => ({
  name,
  required,
  what,
  ...(typeof allowed === 'string' ? { allowed, holds: 'text' } : { allowed: allowed.text, holds: allowed.holds }),
});
export const needed = (name: string, what: string, allowed: string | Allowed): Column =>
  columnOf(name, true, what, allowed);
export const optional = (name: string, what: string, allowed: string | Allowed): Column =>
  columnOf(name, false, what, allowed);

export const aNumber = (text: string): Allowed => ({ text, holds: 'number' });
export const aWhole = (text: string): Allowed => ({ text, holds: 'whole' });
export const oneOf = (words: readonly string[]): Allowed => ({ text: `one of ${words.join(', ')}`, holds: words });
export const YES_OR_NO: Allowed = { text: 'yes or no', holds: 'yes-no' };

/** lb, kg, ton, t: the units that answers use are those a file may use. */
const COLUMN_UNITS: readonly MassUnit[] = (['small', 'large'] as const).flatMap((size) =>
  UNIT_SYSTEMS.map((system) => shownUnit('mass', system, size)),
);
const POSITIVE = 'a decimal above 0, with a point and no thousands separator';

/** A mass in pounds, kilograms, short tons or metric tons, by the ending of the column's name. */
export function massFamily(stem: string, what: string, required = false): ColumnFamily {
  return {
    stem,
    what,
    required,
    columns: COLUMN_UNITS.map((unit) => ({
      name: `${stem}_${unit}`,
      unit,
      required: false,
      what: `${what}, in ${unitRow(unit).plural}`,
      allowed: POSITIVE,
      holds: 'number' as const,
    })),
  };
}
