import type { Doubt } from '../../platform/database/doubts.js';
import type { FieldProblem } from '../../platform/http/problem.js';
import { shortened } from './listed.js';
import { LISTED } from './reading/file-bounds.data.js';

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

/** As an answer lists it: each of its texts is cut, since a cell may be long. */
export function shortProblem<One extends Pick<RowProblem, 'given' | 'allowed' | 'message'>>(problem: One): One {
  return {
    ...problem,
    given: problem.given === null ? null : shortened(problem.given),
    allowed: shortened(problem.allowed, LISTED.wordsLetters),
    message: shortened(problem.message, LISTED.wordsLetters),
  };
}

export function asFieldProblem(problem: RowProblem): FieldProblem {
  const { row, column, pointer, code, given, allowed, message } = shortProblem(problem);
  return {
    ...(pointer === undefined ? {} : { pointer }),
    parameter: column === null ? `row ${row}` : `row ${row}, column ${column}`,
    code,
    ...(given === null ? {} : { given }),
    allowed,
    message,
  };
}
