import type { SolveLinearProgram } from '../solver/linear-program.js';
import { amountsOf, LEAST_LAID, solveLaid, tooLittleLaid } from './laid-shares.js';
import { eased } from './ration-row.js';
import { type Candidate, type RationRow, rationRows, type RationLimits } from './ration-rows.js';

/** Kilograms as fed per head per day of each candidate, in their order, and what they cost. */
export interface Mixture {
  readonly kilograms: readonly number[];
  readonly cost: number;
}

/** Which rows are asked for. */
export type Keep = (key: string) => boolean;

/** A row counts as kept within this share of its two sides: the tolerance of the solver. */
const KEPT = 1e-6;
const MOST_TURNS = 25;
/** Cuts nearer to a known one than this are not worth keeping for the next question. */
const APART = 0.02;
/** Shares of feed for maintenance at which the first cuts lie. */
export const FIRST_CUTS: readonly number[] = [0.15, 0.3, 0.45, 0.6, 0.75, 0.9];

interface Asked {
  readonly limits: RationLimits;
  readonly candidates: readonly Candidate[];
  readonly keep: Keep;
  /** Rows are taken for this share easier than they are; 0 where absent. */
  readonly ease?: number;
}

interface Energy {
  readonly need: number;
  readonly perKg: readonly number[];
}

/** The rows asked for; where both energies are, they are kept apart, because together they are not linear. */
function rowsAsked({ limits, candidates, keep, ease = 0 }: Asked): {
  readonly rows: readonly RationRow[];
  readonly both: { readonly maintenance: Energy; readonly gain: Energy } | null;
} {
  const { netEnergyMaintenanceTotalMcalPerDay, netEnergyGainMcalPerDay } = limits.requirement;
  const gains = netEnergyGainMcalPerDay > 0;
  const all = rationRows({ limits, candidates, feedForMaintenanceShare: gains ? 0.5 : 1 }).filter(({ key }) =>
    keep(key),
  );
  const needs: Record<string, number> = {
    'energy-maintenance': netEnergyMaintenanceTotalMcalPerDay,
    'energy-gain': netEnergyGainMcalPerDay,
  };
  const rows = all
    .map((row) => (needs[row.key] === undefined ? row : { ...row, lower: needs[row.key] ?? null }))
    .map((row) => eased(row, ease));
  const [maintenance, gain] = ['energy-maintenance', 'energy-gain'].map((key) => rows.find((row) => row.key === key));
  if (maintenance === undefined || gain === undefined) return { rows, both: null };
  return {
    rows: rows.filter(({ key }) => needs[key] === undefined),
    both: {
      maintenance: { need: maintenance.lower ?? 0, perKg: maintenance.perKg },
      gain: { need: gain.lower ?? 0, perKg: gain.perKg },
    },
  };
}

const sumOf = (perKg: readonly number[], kilograms: readonly number[]): number =>
  perKg.reduce((sum, value, index) => sum + value * (kilograms[index] ?? 0), 0);

/**
 * The cheapest mixture that keeps the rows asked for, or `null`. Both energies of one mixture are kept by cuts at
 * shares of feed for maintenance (see `wholeBaleRation`); `known` collects those that were needed, for the next
 * question.
 * @throws Error if the solver gives up.
 */
export function cheapestMixture(asked: Asked, solve: SolveLinearProgram, known: number[]): Mixture | null {
  const { candidates } = asked;
  const cuts = [...known];
  const { rows, both } = rowsAsked(asked);
  const prices = candidates.map(({ lot }) => lot.price?.in('kg').toNumber() ?? 0);
  const bacterial = candidates.length;
  for (let turn = 0; turn < MOST_TURNS; turn += 1) {
    const program = {
      columns: [...prices, 0].map((cost, index) => ({ name: String(index), cost, lower: 0, upper: null })),
      rows: [
        ...rows.map(({ key, lower, upper, perKg, perBacterialProteinG }) => ({
          name: key,
          lower,
          upper,
          terms: [
            ...perKg.map((coefficient, column) => ({ column, coefficient })),
            { column: bacterial, coefficient: perBacterialProteinG },
          ],
        })),
        ...(both === null ? [] : cuts.map((share) => cutAt(share, both))),
      ],
    };
    const { dryMatterIntakeKgPerDay } = asked.limits.requirement;
    const answer = asked.keep(LEAST_LAID)
      ? solveLaid(program, candidates, dryMatterIntakeKgPerDay, solve)
      : solve(program);
    if (answer.status === 'failed') throw new Error(answer.detail);
    if (answer.status !== 'optimal') return null;
    const kilograms = amountsOf(candidates, answer.columnValues);
    const broken = both === null ? null : brokenCut(both, kilograms);
    if (broken === null) return { kilograms, cost: sumOf(prices, kilograms) };
    cuts.push(broken);
    if (known.every((cut) => Math.abs(cut - broken) > APART)) known.push(broken);
  }
  return null;
}

type Both = NonNullable<ReturnType<typeof rowsAsked>['both']>;

function cutAt(share: number, { maintenance, gain }: Both) {
  return {
    name: `energy-at-${share}`,
    lower: 1,
    upper: null,
    terms: maintenance.perKg.map((value, column) => ({
      column,
      coefficient: (share ** 2 * value) / maintenance.need + ((1 - share) ** 2 * (gain.perKg[column] ?? 0)) / gain.need,
    })),
  };
}

function coverOf({ maintenance, gain }: Both, kilograms: readonly number[]): { a: number; b: number } {
  return {
    a: sumOf(maintenance.perKg, kilograms) / maintenance.need,
    b: sumOf(gain.perKg, kilograms) / gain.need,
  };
}

function brokenCut(both: Both, kilograms: readonly number[]): number | null {
  const { a, b } = coverOf(both, kilograms);
  return a > 0 && b > 0 && (a * b) / (a + b) < 1 - KEPT ? b / (a + b) : null;
}

/** Whether a mixture keeps every row asked for. */
export function keepsRows(asked: Asked, kilograms: readonly number[]): boolean {
  const { rows, both } = rowsAsked(asked);
  if (asked.keep(LEAST_LAID) && tooLittleLaid(asked.candidates, kilograms) > 0) return false;
  if (both !== null) {
    const { a, b } = coverOf(both, kilograms);
    if (!(a > 0 && b > 0) || (a * b) / (a + b) < 1 - 2 * KEPT) return false;
  }
  const bacterialG = rows
    .filter(({ key }) => key.startsWith('bacteria-'))
    .reduce((least, { perKg, lower }) => Math.min(least, sumOf(perKg, kilograms) - (lower ?? 0)), Infinity);
  return rows.every(({ key, perKg, perBacterialProteinG, lower, upper }) => {
    if (key.startsWith('bacteria-')) return true;
    const activity =
      sumOf(perKg, kilograms) + (perBacterialProteinG === 0 ? 0 : perBacterialProteinG * Math.max(0, bacterialG));
    const sides = perKg.reduce((sum, value, index) => sum + Math.abs(value * (kilograms[index] ?? 0)), 0);
    const dust = KEPT * Math.max(Math.abs(lower ?? upper ?? 0), sides, 1e-3);
    return (lower === null || activity >= lower - dust) && (upper === null || activity <= upper + dust);
  });
}
