import type { Highs } from 'highs';
import type { LinearProgram, LinearProgramAnswer, SolveLinearProgram } from './linear-program.js';

/** Time limit of one search; a ration of a hundred lots takes a small part of it. */
const TIME_LIMIT_SECONDS = 20;

/** One way to put a program to the solver. */
interface Attempt {
  /** Each row is divided by its largest coefficient, and coefficients that are dust beside it are left out. */
  readonly scaled: boolean;
  readonly options: Readonly<Record<string, string | number>>;
}

/**
 * Ways to ask, the usual one first. Now and then the solver gives up on a small program (model status "unknown", or an
 * error) because two rows are nearly parallel or a coefficient is nearly nothing; put another way it answers. The
 * others are its own alternatives: no presolve, the interior point method, the primal simplex.
 */
const ATTEMPTS: readonly Attempt[] = [
  { scaled: false, options: {} },
  { scaled: true, options: {} },
  { scaled: true, options: { presolve: 'off' } },
  { scaled: true, options: { solver: 'ipm' } },
  { scaled: true, options: { simplex_strategy: 4 } },
];

/** A coefficient that is this small a part of the largest of its row moves nothing: the solver's tolerance is 1e-7. */
const DUST = 1e-8;

/**
 * Turns a loaded HiGHS runtime into this room's solver function. Loading is asynchronous and happens outside; solving
 * is synchronous. Every call builds its own model and frees it. `failed` only where every way to ask has failed, or
 * where time ran out.
 */
export function solveWithHighs(highs: Highs): SolveLinearProgram {
  return (program) => {
    const details: string[] = [];
    for (const attempt of ATTEMPTS) {
      const answer = attempted(highs, program, attempt);
      if (answer.status !== 'failed') return answer;
      details.push(answer.detail);
      if (answer.detail === OUT_OF_TIME) break;
    }
    return { status: 'failed', detail: [...new Set(details)].join('; ') };
  };
}

const OUT_OF_TIME = `no answer within ${TIME_LIMIT_SECONDS} s`;

function attempted(highs: Highs, program: LinearProgram, { scaled, options }: Attempt): LinearProgramAnswer {
  const { optimal, infeasible, unbounded, unboundedOrInfeasible, timeLimit } = highs.constants.modelStatus;
  const factors = program.rows.map((row) => (scaled ? rowFactor(row) : 1));
  try {
    return highs.withModel((model): LinearProgramAnswer => {
      // Integer searches run until the optimum is proven: a ration that costs a cent too much is not the cheapest.
      model.options.set({
        output_flag: false,
        mip_rel_gap: 1e-9,
        mip_abs_gap: 1e-9,
        time_limit: TIME_LIMIT_SECONDS,
        ...options,
      });
      model.passModel(modelData(program, factors, scaled ? DUST : 0, highs));
      model.run();
      const status = model.getModelStatus();
      // Prices are never negative here, so "infeasible or unbounded" means infeasible.
      if (status === infeasible || status === unboundedOrInfeasible) return { status: 'infeasible' };
      if (status === unbounded) return { status: 'unbounded' };
      if (status === timeLimit) return { status: 'failed', detail: OUT_OF_TIME };
      if (status !== optimal) return { status: 'failed', detail: `HiGHS model status ${String(status)}` };
      const { colValue, colDual, rowDual } = model.getSolution();
      return {
        status: 'optimal',
        objective: model.getObjectiveValue(),
        columnValues: [...colValue],
        reducedCosts: [...colDual],
        rowDuals: [...rowDual].map((dual, row) => dual * (factors[row] ?? 1)),
      };
    });
  } catch (error) {
    return { status: 'failed', detail: error instanceof Error ? error.message : String(error) };
  }
}

/** What brings the largest coefficient of a row to 1. */
function rowFactor({ terms }: LinearProgram['rows'][number]): number {
  const largest = terms.reduce((most, { coefficient }) => Math.max(most, Math.abs(coefficient)), 0);
  return largest > 0 ? 1 / largest : 1;
}

function modelData(
  { columns, rows }: LinearProgram,
  factors: readonly number[],
  dust: number,
  { infinity, constants }: Pick<Highs, 'infinity' | 'constants'>,
) {
  const starts = [0];
  const indices: number[] = [];
  const values: number[] = [];
  const bound = (value: number | null, row: number, none: number): number =>
    value === null ? none : value * (factors[row] ?? 1);
  for (const [row, { terms }] of rows.entries()) {
    for (const { column, coefficient } of terms) {
      const value = coefficient * (factors[row] ?? 1);
      if (Math.abs(value) <= dust) continue;
      indices.push(column);
      values.push(value);
    }
    starts.push(indices.length);
  }
  return {
    numCols: columns.length,
    numRows: rows.length,
    colCost: columns.map(({ cost }) => cost),
    colLower: columns.map(({ lower }) => lower),
    colUpper: columns.map(({ upper }) => upper ?? infinity),
    rowLower: rows.map(({ lower }, row) => bound(lower, row, -infinity)),
    rowUpper: rows.map(({ upper }, row) => bound(upper, row, infinity)),
    ...(columns.some(({ whole, orZero }) => whole === true || orZero === true)
      ? {
          integrality: columns.map(({ whole, orZero }) =>
            whole === true
              ? constants.variableType.integer
              : orZero === true
                ? constants.variableType.semiContinuous
                : constants.variableType.continuous,
          ),
        }
      : {}),
    matrix: { format: 'csr' as const, numRows: rows.length, numCols: columns.length, starts, indices, values },
  };
}
