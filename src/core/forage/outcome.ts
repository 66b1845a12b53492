/**
 * What is wrong with something a person told us, as data: the edge of the program turns `code` into a problem
 * document, the page puts `message` beside `field`.
 */
export interface Problem {
  /** Stable machine code in kebab-case, for example `adf-not-below-ndf`. */
  readonly code: string;
  /** Name of the field that was given, for example `acidDetergentFiberPercent`. */
  readonly field: string;
  /** The value as given; `null` when nothing was given. */
  readonly given: number | string | boolean | null;
  /** What would have been accepted, in words with its unit. */
  readonly allowed: string;
  readonly message: string;
}

/** Either a value or the list of all that is wrong, never both. */
export type Outcome<Value> =
  { readonly ok: true; readonly value: Value } | { readonly ok: false; readonly problems: readonly Problem[] };

export function succeeded<Value>(value: Value): Outcome<Value> {
  return { ok: true, value };
}

/** @throws RangeError if no problem is given: a refusal must say why. */
export function refused(problems: readonly Problem[]): { readonly ok: false; readonly problems: readonly Problem[] } {
  if (problems.length === 0) throw new RangeError('A refusal needs at least one problem');
  return { ok: false, problems };
}

/** A finding that does not stop the work, with the number that raised it and where the threshold comes from. */
export interface Caution {
  readonly code: string;
  readonly message: string;
  /** The number that raised the caution. */
  readonly given: number;
  /** The threshold that it passed. */
  readonly threshold: number;
  readonly unit: string;
  readonly source: string;
  /** Whom to ask before acting on it. */
  readonly advice: string;
}
