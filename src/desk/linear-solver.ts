import type HighsLoader from 'highs';
import { solveWithHighs } from '../core/solver/highs-solver.js';
import type { SolveLinearProgram } from '../core/solver/linear-program.js';

let loading: Promise<SolveLinearProgram> | undefined;

/**
 * The linear solver. HiGHS and its WebAssembly are loaded at first use and kept for the life of the process; most
 * processes never need them.
 */
export function linearSolver(): Promise<SolveLinearProgram> {
  loading ??= load().catch((error: unknown) => {
    // A failed load may be tried again at the next use.
    loading = undefined;
    throw error;
  });
  return loading;
}

async function load(): Promise<SolveLinearProgram> {
  // The package's types describe its CommonJS build, where the loader is one `default` deeper than in the ES build that
  // import() finds.
  const { default: loadHighs } = (await import('highs')) as unknown as { default: typeof HighsLoader };
  return solveWithHighs(await loadHighs());
}
