import type { Problem } from './problem.js';

/** What was asked cannot be computed; lists everything that is wrong, not just the first. */
export interface Refusal {
  readonly ok: false;
  readonly problems: readonly Problem[];
}

/** Either a value or the reasons why there is none, never both. */
export type Outcome<Value> = { readonly ok: true; readonly value: Value } | Refusal;

export function succeeded<Value>(value: Value): Outcome<Value> {
  return { ok: true, value };
}

/** @throws RangeError if no problem is given: a refusal must say why. */
export function refused(problems: Problem | readonly Problem[]): Refusal {
  const all = 'code' in problems ? [problems] : problems;
  if (all.length === 0) throw new RangeError('A refusal needs at least one problem');
  return { ok: false, problems: all };
}

/** For answers that carry no `ok: true` of their own. */
export function isRefusal<Answer extends object>(answer: Answer | Refusal): answer is Refusal {
  return 'ok' in answer && answer.ok === false && 'problems' in answer;
}
