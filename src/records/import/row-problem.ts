import type { Doubt } from '../../platform/database/doubts.js';
import type { FieldProblem } from '../../platform/http/problem.js';

/**
 * One problem in a file: where it is, what is there and what is allowed there. Row 1 is the header, as a spreadsheet
 * counts.
 */
export interface RowProblem {
  row: number;
  column: string | null;
  /** Place in the JSON body, for what did not come as a table. */
  pointer?: string;
  code: string;
  given: string | null;
  allowed: string;
  message: string;
}

/** Something unlikely in a file: its place, what is there, and what would be usual. */
export interface RowDoubt extends Doubt {
  row: number;
  column: string | null;
}

/** At most this many are listed; the count is always of all. */
export const PROBLEMS_LISTED_MAX = 10_000;

export function asFieldProblem({ row, column, pointer, code, given, allowed, message }: RowProblem): FieldProblem {
  return {
    ...(pointer === undefined ? {} : { pointer }),
    parameter: column === null ? `row ${row}` : `row ${row}, column ${column}`,
    code,
    ...(given === null ? {} : { given }),
    allowed,
    message,
  };
}
