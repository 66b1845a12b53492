/** Why a figure is refused, as data; `code` is stable, `message` is for people. */
export interface BudgetProblem {
  readonly code: string;
  readonly field: string;
  readonly given: string;
  readonly allowed: string;
  readonly message: string;
}
export type Refused = { readonly ok: false; readonly problems: readonly BudgetProblem[] };

export function budgetProblem(
  code: string,
  field: string,
  given: string,
  allowed: string,
  message: string,
): BudgetProblem {
  return { code, field, given, allowed, message };
}
