import type { MassUnit } from '../../core/units/mass.js';
import { shownUnit, unitRow } from '../../core/units/unit.js';
import { UNIT_SYSTEMS } from '../../core/units/units.data.js';

/** A column of a file: its name, which carries the unit, and what it may hold. */
export interface Column {
  readonly name: string;
  readonly required: boolean;
  readonly what: string;
  readonly allowed: string;
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

export const needed = (name: string, what: string, allowed: string): Column => ({
  name,
  required: true,
  what,
  allowed,
});
export const optional = (name: string, what: string, allowed: string): Column => ({
  name,
  required: false,
  what,
  allowed,
});

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
    })),
  };
}
