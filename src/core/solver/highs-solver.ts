import type { Highs } from 'highs';
import type { LinearProgram, LinearProgramAnswer, SolveLinearProgram } from './linear-program.js';

/** Time limit of one search; a ration of a hundred lots takes a small part of it. */
const TIME_LIMIT_SECONDS = 20;

/**
 * Turns a loaded HiGHS runtime into this room's solver function. Loading is asynchronous and happens outside; solving
 * is synchronous. Every call builds its own model and frees it.
 */
export function solveWithHighs(highs: Highs): SolveLinearProgram {
  return (program) =>
    highs.withModel((model): LinearProgramAnswer => {
      // Integer searches run until the optimum is proven: a ration that costs a cent too much is not the cheapest.
      model.options.set({ output_flag: false, mip_rel_gap: 1e-9, mip_abs_gap: 1e-9, time_limit: TIME_LIMIT_SECONDS });
      model.passModel(modelData(program, highs));
      model.run();
      const status = model.getModelStatus();
      const { optimal, infeasible, unbounded, unboundedOrInfeasible } = highs.constants.modelStatus;
      // Prices are never negative here, so "infeasible or unbounded" means infeasible.
      if (status === infeasible || status === unboundedOrInfeasible) return { status: 'infeasible' };
      if (status === unbounded) return { status: 'unbounded' };
      if (status !== optimal) return { status: 'failed', detail: `HiGHS model status ${String(status)}` };
      const { colValue, colDual, rowDual } = model.getSolution();
      return {
        status: 'optimal',
        objective: model.getObjectiveValue(),
        columnValues: [...colValue],
        reducedCosts: [...colDual],
        rowDuals: [...rowDual],
      };
    });
}

function modelData({ columns, rows }: LinearProgram, { infinity, constants }: Pick<Highs, 'infinity' | 'constants'>) {
  const starts = [0];
  const indices: number[] = [];
  const values: number[] = [];
  for (const { terms } of rows) {
    for (const { column, coefficient } of terms) {
      if (coefficient === 0) continue;
      indices.push(column);
      values.push(coefficient);
    }
    starts.push(indices.length);
  }
  return {
    numCols: columns.length,
    numRows: rows.length,
    colCost: columns.map(({ cost }) => cost),
    colLower: columns.map(({ lower }) => lower),
    colUpper: columns.map(({ upper }) => upper ?? infinity),
    rowLower: rows.map(({ lower }) => lower ?? -infinity),
    rowUpper: rows.map(({ upper }) => upper ?? infinity),
    ...(columns.some(({ whole }) => whole === true)
      ? {
          integrality: columns.map(({ whole }) =>
            whole === true ? constants.variableType.integer : constants.variableType.continuous,
          ),
        }
      : {}),
    matrix: { format: 'csr' as const, numRows: rows.length, numCols: columns.length, starts, indices, values },
  };
}
