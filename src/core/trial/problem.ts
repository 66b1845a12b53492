/** What is wrong with what was asked, as data: the code is stable, the message is for people. */
export interface TrialProblem {
  readonly code: string;
  readonly field: string;
  readonly given: string;
  readonly allowed: string;
  readonly message: string;
}

export interface TrialRefusal {
  readonly ok: false;
  readonly problems: readonly TrialProblem[];
}

export function refuse(...problems: TrialProblem[]): TrialRefusal {
  return { ok: false, problems };
}

export function trialProblem(
  code: string,
  field: string,
  given: unknown,
  allowed: string,
  message: string,
): TrialProblem {
  return { code, field, given: String(given), allowed, message };
}
