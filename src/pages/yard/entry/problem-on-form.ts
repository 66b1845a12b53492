import { Problem } from '../../../platform/http/problem.js';

/** A problem with what was sent by a form, and the form once more: with what was typed, each finding at its field. */
export class ProblemOnForm extends Problem {
  constructor(
    problem: Problem,
    /** The whole page. */
    readonly page: string,
  ) {
    super(problem.code, problem.detail, problem.errors, problem.headers);
  }
}
