/** What is wrong with something a person entered, as data; `code` is stable, `message` is for people. */
export interface StockProblem {
  readonly code: string;
  readonly field: string;
  readonly given: string;
  readonly allowed: string;
  readonly message: string;
}
export type Refused = { readonly ok: false; readonly problems: readonly StockProblem[] };

export function problem(code: string, field: string, given: string, allowed: string, message: string): StockProblem {
  return { code, field, given, allowed, message };
}

export function refused(...problems: readonly StockProblem[]): Refused {
  return { ok: false, problems };
}
