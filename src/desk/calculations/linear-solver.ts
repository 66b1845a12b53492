import loadHighs from 'highs';
import { solveWithHighs } from '../../core/solver/highs-solver.js';
import type { SolveLinearProgram } from '../../core/solver/linear-program.js';

let loading: Promise<SolveLinearProgram> | undefined;

/**
 * The linear solver; its WebAssembly is loaded when it is first needed and then kept: most requests never ask for it.
 */
export function linearSolver(): Promise<SolveLinearProgram> {
  loading ??= loadHighs()
    .then(solveWithHighs)
    .catch((error: unknown) => {
      // A failed load must not stand for ever.
      loading = undefined;
      throw error;
    });
  return loading;
}
