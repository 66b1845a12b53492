/**
 * A linear program: least cost, columns between bounds, rows between bounds. `null` is no bound. A column that is
 * `whole` takes whole numbers only; one that is `orZero` is 0 or between its bounds, both of which it has.
 */
export interface LinearProgram {
  readonly columns: readonly {
    readonly name: string;
    readonly cost: number;
    readonly lower: number;
    readonly upper: number | null;
    readonly whole?: boolean;
    readonly orZero?: boolean;
  }[];
  readonly rows: readonly {
    readonly name: string;
    readonly lower: number | null;
    readonly upper: number | null;
    readonly terms: readonly { readonly column: number; readonly coefficient: number }[];
  }[];
}

export type LinearProgramAnswer =
  | {
      readonly status: 'optimal';
      readonly objective: number;
      readonly columnValues: readonly number[];
      /** Change of cost per unit of a column that is at its bound (meaningless where a column is whole). */
      readonly reducedCosts: readonly number[];
      /** Change of cost per unit by which the row's binding bound is raised. */
      readonly rowDuals: readonly number[];
    }
  | { readonly status: 'infeasible' | 'unbounded' }
  | { readonly status: 'failed'; readonly detail: string };

/** A solver, loaded outside: this room only calls it. */
export type SolveLinearProgram = (program: LinearProgram) => LinearProgramAnswer;
