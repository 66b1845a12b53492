/*
 * Programs on which the solver gave up when asked in the usual way: rations of a random yard (RICKYARD_SEED=77) over a
 * narrow range of energy, where a coefficient is all but nothing. What is true of them is found here by trying every
 * corner, which needs no solver.
 */
import loadHighs, { type Highs } from 'highs';
import hardPrograms from './hard-programs.json';
import { solveWithHighs } from '../../../src/core/solver/highs-solver';
import type { LinearProgram, SolveLinearProgram } from '../../../src/core/solver/linear-program';

let highs: Highs;
let solve: SolveLinearProgram;
beforeAll(async () => {
  highs = await loadHighs();
  solve = solveWithHighs(highs);
});

type Hard = (typeof hardPrograms)[number];
const programOf = ({ costs, rows }: Pick<Hard, 'costs' | 'rows'>): LinearProgram => ({
  columns: costs.map((cost, index) => ({ name: String(index), cost, lower: 0, upper: null })),
  rows: rows.map(({ name, lower, upper, coefficients }) => ({
    name,
    lower,
    upper,
    terms: coefficients.map((coefficient, column) => ({ column, coefficient })),
  })),
});

/** `a·x ≤ b`, each with its largest coefficient 1. */
interface Side {
  readonly a: readonly number[];
  readonly b: number;
}
function sidesOf({ costs, rows }: Pick<Hard, 'costs' | 'rows'>): Side[] {
  const scaled = (a: readonly number[], b: number): Side => {
    const largest = Math.max(...a.map(Math.abs));
    return { a: a.map((value) => value / largest), b: b / largest };
  };
  return [
    ...costs.map((_cost, column) =>
      scaled(
        costs.map((_other, index) => (index === column ? -1 : 0)),
        0,
      ),
    ),
    ...rows.flatMap(({ lower, upper, coefficients }) => [
      ...(upper === null ? [] : [scaled(coefficients, upper)]),
      ...(lower === null
        ? []
        : [
            scaled(
              coefficients.map((value) => -value),
              -lower,
            ),
          ]),
    ]),
  ];
}

/** Gauss with the largest pivot; `null` where the planes do not meet in one point. */
function meetingOf(sides: readonly Side[]): number[] | null {
  const grid = sides.map(({ a, b }) => [...a, b]);
  const size = grid.length;
  for (let column = 0; column < size; column += 1) {
    const below = grid.slice(column).map((row) => Math.abs(row[column] ?? 0));
    const pivot = column + below.indexOf(Math.max(...below));
    const [one, other] = [grid[column] ?? [], grid[pivot] ?? []];
    [grid[column], grid[pivot]] = [other, one];
    if (Math.abs(other[column] ?? 0) < 1e-12) return null;
    for (const row of grid) {
      if (row === other) continue;
      const factor = (row[column] ?? 0) / (other[column] ?? 1);
      for (let at = column; at <= size; at += 1) row[at] = (row[at] ?? 0) - factor * (other[at] ?? 0);
    }
  }
  return grid.map((row, index) => (row[size] ?? 0) / (row[index] ?? 1));
}

/** The least cost at any corner that keeps every side; `null`: no corner does. */
function cheapestCorner(program: Pick<Hard, 'costs' | 'rows'>): number | null {
  const sides = sidesOf(program);
  const size = program.costs.length;
  let best: number | null = null;
  const visit = (chosen: readonly Side[], next: number): void => {
    if (chosen.length === size) {
      const point = meetingOf(chosen);
      if (point === null) return;
      const kept = sides.every(
        ({ a, b }) => a.reduce((sum, value, at) => sum + value * (point[at] ?? 0), 0) <= b + 1e-7,
      );
      const cost = point.reduce((sum, value, at) => sum + value * (program.costs[at] ?? 0), 0);
      if (kept && (best === null || cost < best)) best = cost;
      return;
    }
    for (let at = next; at < sides.length; at += 1) visit([...chosen, sides[at] as Side], at + 1);
  };
  visit([], 0);
  return best;
}

describe('a program that the solver gives up on', () => {
  test.each(hardPrograms)('$gaveUpWith: is answered when it is put another way, and truly', (hard) => {
    expect(cheapestCorner(hard)).toBeNull();
    expect(solve(programOf(hard)).status).toBe('infeasible');
  });
  test.each(hardPrograms)(
    '$gaveUpWith: without its energy band it has the cost and the prices of its cheapest corner',
    (hard) => {
      const rows = hard.rows.filter(({ name }) => !name.startsWith('diet-energy'));
      const answer = solve(programOf({ costs: hard.costs, rows }));
      const corner = cheapestCorner({ costs: hard.costs, rows });
      if (answer.status !== 'optimal') {
        expect(corner).toBeNull();
        return;
      }
      expect(answer.objective).toBeCloseTo(corner ?? Number.NaN, 6);
    },
  );
});

describe('the ways to ask', () => {
  /** The solver gives up so many times before it answers. */
  const givesUp = (times: number, status: number = highs.constants.modelStatus.unknown) => {
    const model = highs.withModel((one) => Object.getPrototypeOf(one) as { getModelStatus: () => number });
    const asked = jest.spyOn(model, 'getModelStatus');
    for (let time = 0; time < times; time += 1) asked.mockReturnValueOnce(status);
    return asked;
  };
  afterEach(() => jest.restoreAllMocks());
  const program: LinearProgram = {
    columns: [
      { name: 'hay', cost: 3, lower: 0, upper: null },
      { name: 'straw', cost: 1, lower: 0, upper: 4 },
    ],
    rows: [
      {
        name: 'need',
        lower: 200,
        upper: null,
        terms: [
          { column: 0, coefficient: 20 },
          { column: 1, coefficient: 10 },
        ],
      },
    ],
  };
  // By hand: 4 of straw give 40 of 200, 8 of hay the rest: 4 + 24; one more of the need costs 3/20.
  test.each([0, 1, 2, 3, 4])('after %i refusals the answer and its prices are the same', (times) => {
    const asked = givesUp(times);
    const answer = solve(program);
    if (answer.status !== 'optimal') throw new Error(JSON.stringify(answer));
    expect(answer.objective).toBeCloseTo(28, 6);
    expect(answer.rowDuals[0]).toBeCloseTo(3 / 20, 6);
    expect(asked).toHaveBeenCalledTimes(times + 1);
  });
  test('five refusals are a failure with the reason; where time ran out it is not tried again', () => {
    givesUp(5);
    expect(solve(program)).toMatchObject({ status: 'failed', detail: 'HiGHS model status 15' });
    jest.restoreAllMocks();
    const slow = givesUp(1, highs.constants.modelStatus.timeLimit);
    expect(solve(program).status).toBe('failed');
    expect(slow).toHaveBeenCalledTimes(1);
  });
});
