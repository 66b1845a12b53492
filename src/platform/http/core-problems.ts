import type { Problem as CoreProblem } from '../../core/outcome/problem.js';
import { type FieldProblem, Problem } from './problem.js';

/**
 * The core's findings as one rule-broken problem; `pointerOf` says which place in the body a field of the core came
 * from.
 */
export function problemOfCore(problems: readonly CoreProblem[], pointerOf: (field: string) => string): Problem {
  const errors: FieldProblem[] = problems.map(({ code, field, given, allowed, message }) => ({
    pointer: pointerOf(field),
    code,
    given,
    allowed,
    message,
  }));
  return new Problem('rule-broken', problems.map((one) => one.message).join(' '), errors);
}
