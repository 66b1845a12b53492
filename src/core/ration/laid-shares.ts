import type { LinearProgram, LinearProgramAnswer, SolveLinearProgram } from '../solver/linear-program.js';
import { quantity, sentence } from '../units/wording.js';
import type { Candidate, RowWords } from './ration-row.js';
import { SAFE_LIMITS } from './safe-limits.data.js';

/** The least of a feed that is laid at all, kg as fed a head a day; 0 lets any amount be laid. */
export interface LeastLaid {
  readonly forageKg?: number | undefined;
  readonly otherKg?: number | undefined;
}

/** The demand that a feed is laid in an amount that can be laid, or not at all; it is no row of its own. */
export const LEAST_LAID = 'least-laid';

/** Amounts below this many kg per head are solver noise. */
const DUST_KG = 1e-7;
/** The tolerance of the solver. */
const KEPT = 1e-6;
/** Nothing is laid in more than this many times the dry matter that an animal eats: a bound that the search needs. */
const MOST_TIMES_INTAKE = 10;

export function withLeast(
  candidates: readonly Candidate[],
  { forageKg = SAFE_LIMITS.leastForageKg.value, otherKg = SAFE_LIMITS.leastOtherKg.value }: LeastLaid = {},
): Candidate[] {
  return candidates.map((candidate) => ({ ...candidate, leastKg: candidate.lot.isForage ? forageKg : otherKg }));
}

/** What is fed in a fixed amount is fed in that. */
const leastOf = ({ leastKg = 0, fixedKg }: Candidate): number => (fixedKg === undefined ? leastKg : 0);

export function leastWords(candidates: readonly Candidate[]): RowWords {
  const least = Math.max(0, ...candidates.map(leastOf));
  return {
    of: 'feed',
    words: sentence`each feed in an amount that can be laid, ${quantity(least, 'kg', 2)} of hay a head a day, or none`,
  };
}

export function amountsOf(candidates: readonly Candidate[], values: readonly number[]): number[] {
  return candidates.map((_candidate, index) => {
    const kg = values[index] ?? 0;
    return kg < DUST_KG ? 0 : kg;
  });
}

/** By how much a mixture misses the least of a feed that it holds, kg; 0 where all of it can be laid. */
export function tooLittleLaid(candidates: readonly Candidate[], kilograms: readonly number[]): number {
  return candidates.reduce((most, candidate, index) => {
    const kg = kilograms[index] ?? 0;
    const least = leastOf(candidate);
    return kg > 0 && kg < least * (1 - KEPT) ? Math.max(most, least - kg) : most;
  }, 0);
}

/** The lots with what of them is laid settled by a mixture. */
export function settledBy(candidates: readonly Candidate[], kilograms: readonly number[]): Candidate[] {
  return candidates.map((candidate, index) => {
    const least = leastOf(candidate);
    if (least === 0) return candidate;
    return { ...candidate, settled: (kilograms[index] ?? 0) > least / 2 ? 'laid' : 'not-laid' };
  });
}

/** Bounds of the column of a lot, kg as fed a head a day. */
export function columnBounds(candidate: Candidate): { readonly lower: number; readonly upper: number | null } {
  const { settled } = candidate;
  return { lower: settled === 'laid' ? leastOf(candidate) : 0, upper: settled === 'not-laid' ? 0 : null };
}

/** The column of a lot that is laid in at least its least or not at all. */
export function laidOrNot(
  candidate: Candidate,
  intakeKgPerDay: number,
): Pick<LinearProgram['columns'][number], 'lower' | 'upper' | 'orZero'> {
  const lower = leastOf(candidate);
  return lower === 0
    ? { lower, upper: null }
    : { lower, upper: Math.max(intakeKgPerDay * MOST_TIMES_INTAKE, lower), orZero: true };
}

/**
 * Solves a program whose first columns are the lots, each laid in at least its least or not at all. Most mixtures hold
 * no share too small to lay, and then are the answer; only where one does, the solver searches over columns that are 0
 * or at least the least (HiGHS: semi-continuous). What is laid is then settled, and the amounts are solved for once
 * more, free of the tolerance of that search.
 */
export function solveLaid(
  program: LinearProgram,
  candidates: readonly Candidate[],
  intakeKgPerDay: number,
  solve: SolveLinearProgram,
): LinearProgramAnswer {
  const withColumns = (own: (candidate: Candidate) => Partial<LinearProgram['columns'][number]>, of = candidates) =>
    solve({
      ...program,
      columns: program.columns.map((column, index) => {
        const candidate = of[index];
        return candidate === undefined ? column : { ...column, ...own(candidate) };
      }),
    });
  const free = solve(program);
  if (free.status !== 'optimal' || tooLittleLaid(candidates, amountsOf(candidates, free.columnValues)) === 0)
    return free;
  const searched = withColumns((candidate) => laidOrNot(candidate, intakeKgPerDay));
  return searched.status === 'optimal'
    ? withColumns(columnBounds, settledBy(candidates, searched.columnValues))
    : searched;
}
