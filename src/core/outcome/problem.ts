/**
 * What is wrong with something a person entered, as data: the edge of the program turns `code` into a problem
 * document, a page puts `message` beside `field`.
 */
export interface Problem {
  /** Stable machine code in kebab-case, for example `adf-not-below-ndf`. */
  readonly code: string;
  /** Name of the field that was given, for example `acidDetergentFiberPercent` or `lots[0].seasonLoss`. */
  readonly field: string;
  /** The value as given; `null` when nothing was given. */
  readonly given: number | string | boolean | null;
  /** What would have been accepted, in words with its unit. */
  readonly allowed: string;
  /** One sentence for people. */
  readonly message: string;
}

export function problem(code: string, field: string, given: string, allowed: string, message: string): Problem {
  return { code, field, given, allowed, message };
}
