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
