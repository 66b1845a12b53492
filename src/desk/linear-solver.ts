import type HighsLoader from 'highs';
import { solveWithHighs } from '../core/solver/highs-solver.js';
import type { SolveLinearProgram } from '../core/solver/linear-program.js';

let loading: Promise<SolveLinearProgram> | undefined;

/**
 * The linear solver. HiGHS and its WebAssembly are loaded by the first question that needs them and kept for the life
 * of the process; most processes never ask.
 */
export function linearSolver(): Promise<SolveLinearProgram> {
  loading ??= load().catch((error: unknown) => {
    // A load that failed may be tried again by the next question.
    loading = undefined;
    throw error;
  });
  return loading;
}

async function load(): Promise<SolveLinearProgram> {
  // The package's types describe its CommonJS build, where the loader lies one `default` deeper than in the ES build
  // that import() finds.
  const { default: loadHighs } = (await import('highs')) as unknown as { default: typeof HighsLoader };
  return solveWithHighs(await loadHighs());
}
