import { decimalFromFloat } from '../units/decimal.js';
import { Money, type Currency } from '../units/money.js';
import type { UnitOfReader, Words } from '../units/wording.js';
import type { LinearProgram, LinearProgramAnswer, SolveLinearProgram } from '../solver/linear-program.js';
import { laidOrNot } from './laid-shares.js';
import {
  gainWords,
  maintenanceWords,
  rationRows,
  type Candidate,
  type RationLimits,
  type RationRow,
} from './ration-rows.js';

/** What is laid of one lot in one feeding. */
interface WholeBalePart {
  readonly lotId: string;
  readonly lotName: string;
  readonly role: Candidate['role'];
  /** Whole bales for the herd in one feeding; `null` where the lot is not counted in bales. */
  readonly bales: number | null;
  readonly asFedKgPerHeadPerDay: number;
  /** All head, one feeding. */
  readonly asFedKgPerFeeding: number;
}

interface MissedRow {
  readonly row: string;
  readonly words: Words;
  readonly unit: string | UnitOfReader;
  /** Per head per day. */
  readonly missesBy: number;
  readonly ofNeed: number | null;
}

export interface WholeBaleRation {
  /** Days that one feeding is laid for. */
  readonly everyDays: number;
  readonly parts: readonly WholeBalePart[];
  readonly costPerHeadDay: Money;
  /** Against the ration in weights; below zero where rounding misses a need and is cheaper for it. */
  readonly costOfRounding: Money;
  readonly missed: readonly MissedRow[];
  /** Lots in it that are not counted in bales. */
  readonly notInBales: readonly string[];
}

export type WholeBaleAnswer =
  | { readonly ok: true; readonly ration: WholeBaleRation }
  | { readonly ok: false; readonly detail: string };

const MONEY_PLACES = 8;
/** Part of its scale by which a row may be off and still be kept: the tolerance of the solver. */
const KEPT = 1e-6;
/** Cuts are added until the energy of the real mixture agrees with them; each turn cuts off the last answer. */
const MOST_TURNS = 25;
/** Shares of feed for maintenance at which the first cuts lie. */
const FIRST_CUTS = [0.15, 0.3, 0.45, 0.6, 0.75, 0.9];
/**
 * What rounding may not loosen: what is not in the yard cannot be laid, and what can poison is not traded for a whole
 * bale.
 */
const HARD = [
  /^balance-/,
  /^fixed-/,
  /^bacteria-/,
  /^nitrate$/,
  /^nitrate-of-/,
  /^sulfur$/,
  /^legume$/,
  /^grain$/,
  /^urea$/,
  /^fat$/,
  /^salt$/,
];

/**
 * The ration in whole bales: of each baled lot a whole number for the herd in one feeding, found by the solver's
 * integer mode and not by rounding the ration in weights. First the demands are missed as little as can be (sum of the
 * shares by which each is missed; none where some whole number of bales keeps them all), then, among those rations, the
 * cheapest. Lot balances, nitrate, sulfur, salt, legume, grain, urea and fat
 * are kept.
 *
 * Both energies of one mixture: with a = NEm/need and b = NEg/need the ration covers both if 1/a + 1/b ≤ 1 (the share
 * 1/a covers maintenance, the rest gain), which holds if and only if f²·a + (1 − f)²·b ≥ 1 for every share f
 * (the least of the left side over f is ab/(a + b)). Each f is a linear cut; the cut at f = b/(a + b) is the one that
 * an answer breaks most, and is added until none is broken (Kelley 1960, The cutting-plane method for solving convex
 * programs, Journal of the SIAM 8:703-712).
 */
export function wholeBaleRation({
  candidates,
  limits,
  everyDays,
  share,
  costPerHeadDay,
  currency,
  solve,
}: {
  readonly candidates: readonly Candidate[];
  readonly limits: RationLimits;
  readonly everyDays: number;
  readonly share: number;
  readonly costPerHeadDay: number;
  readonly currency: Currency;
  readonly solve: SolveLinearProgram;
}): WholeBaleAnswer {
  const gains = limits.requirement.netEnergyGainMcalPerDay > 0;
  // The rows of energy are asked for at any share: their contents per kg do not depend on it.
  const all = rationRows({ limits, candidates, feedForMaintenanceShare: gains ? 0.5 : 1 });
  const problem: Problem = {
    candidates,
    rows: all.filter(({ key }) => !gains || !key.startsWith('energy-')),
    gains,
    limits,
    solve,
    maintenance: all.find(({ key }) => key === 'energy-maintenance')?.perKg ?? [],
    gain: all.find(({ key }) => key === 'energy-gain')?.perKg ?? [],
    kgOfUnit: candidates.map(({ baleWeightKg }) =>
      baleWeightKg !== undefined && baleWeightKg !== null && baleWeightKg > 0
        ? baleWeightKg / (limits.head * everyDays)
        : null,
    ),
  };
  const cuts = gains ? [...new Set([share, ...FIRST_CUTS])] : [];
  for (let turn = 0; turn < MOST_TURNS; turn += 1) {
    const found = leastMissedThenCheapest(problem, cuts);
    if (found.status !== 'optimal')
      return {
        ok: false,
        detail: found.status === 'failed' ? found.detail : 'no number of whole bales keeps what may not be loosened',
      };
    const kilograms = candidates.map((_candidate, index) => amountOf(problem, found.columnValues, index));
    const broken = gains ? brokenCut(problem, kilograms, found.columnValues) : null;
    if (broken === null)
      return {
        ok: true,
        ration: rationInBales(problem, kilograms, found.columnValues, everyDays, costPerHeadDay, currency),
      };
    cuts.push(broken);
  }
  return { ok: false, detail: `the energy of the mixture did not settle in ${MOST_TURNS} turns` };
}

interface Problem {
  readonly candidates: readonly Candidate[];
  readonly rows: readonly RationRow[];
  readonly gains: boolean;
  readonly limits: RationLimits;
  readonly solve: SolveLinearProgram;
  /** Mcal a kg as fed of each candidate. */
  readonly maintenance: readonly number[];
  readonly gain: readonly number[];
  /** Kilograms per head per day that one bale in a feeding is; `null` where the lot is laid by weight. */
  readonly kgOfUnit: readonly (number | null)[];
}

/** Numbers in whole columns carry solver noise. */
function amountOf({ kgOfUnit }: Problem, values: readonly number[], index: number): number {
  const unit = kgOfUnit[index] ?? null;
  const value = values[index] ?? 0;
  return unit === null ? (value < 1e-7 ? 0 : value) : Math.round(value) * unit;
}

function isHard({ key }: RationRow): boolean {
  return HARD.some((pattern) => pattern.test(key));
}

/**
 * What a miss of a row is measured by: its bound, or, where the bound is zero, what a day's dry matter of the extreme
 * lot adds up to.
 */
function scaleOf(row: RationRow, { limits, candidates }: Problem): number {
  const bound = Math.abs(row.lower ?? row.upper ?? 0);
  if (bound > 0) return bound;
  const driest = Math.min(...candidates.map(({ lot }) => lot.dryMatterPercent.value / 100));
  return Math.max(1e-6, Math.max(...row.perKg.map(Math.abs)) * (limits.requirement.dryMatterIntakeKgPerDay / driest));
}

function leastMissedThenCheapest(problem: Problem, cuts: readonly number[]): LinearProgramAnswer {
  const least = problem.solve(programOf(problem, cuts, null));
  if (least.status !== 'optimal') return least;
  return problem.solve(programOf(problem, cuts, Math.max(0, least.objective) + KEPT));
}

/**
 * Columns: lots (bales or kg), bacterial protein, one miss a soft row, the miss of energy. With `mostMissed` money is
 * made small, without it the misses.
 */
function programOf(problem: Problem, cuts: readonly number[], mostMissed: number | null): LinearProgram {
  const { candidates, rows, kgOfUnit, gains } = problem;
  const bacterial = candidates.length;
  const soft = rows.flatMap((row, index) => (isHard(row) ? [] : [index]));
  const missColumn = (rowIndex: number): number => bacterial + 1 + soft.indexOf(rowIndex);
  const energyMiss = bacterial + 1 + soft.length;
  const misses = [...soft.map((_row, index) => bacterial + 1 + index), ...(gains ? [energyMiss] : [])];
  const need = {
    maintenance: problem.limits.requirement.netEnergyMaintenanceTotalMcalPerDay,
    gain: problem.limits.requirement.netEnergyGainMcalPerDay,
  };
  return {
    columns: [
      ...candidates.map((candidate, index) => ({
        name: `${candidate.lot.lotId}/${candidate.role}`,
        cost: mostMissed === null ? 0 : (candidate.lot.price?.in('kg').toNumber() ?? 0) * (kgOfUnit[index] ?? 1),
        ...((kgOfUnit[index] ?? null) === null
          ? laidOrNot(candidate, problem.limits.requirement.dryMatterIntakeKgPerDay)
          : { lower: 0, upper: null, whole: true }),
      })),
      { name: 'bacterial-protein', cost: 0, lower: 0, upper: null },
      ...misses.map((column) => ({
        name: `missed-${column}`,
        cost: mostMissed === null ? 1 : 0,
        lower: 0,
        upper: null,
      })),
    ],
    rows: [
      ...rows.map((row, index) => ({
        name: row.key,
        lower: row.lower,
        upper: row.upper,
        terms: [
          ...row.perKg.map((perKg, column) => ({ column, coefficient: perKg * (kgOfUnit[column] ?? 1) })),
          { column: bacterial, coefficient: row.perBacterialProteinG },
          ...(isHard(row)
            ? []
            : [{ column: missColumn(index), coefficient: (row.lower === null ? -1 : 1) * scaleOf(row, problem) }]),
        ],
      })),
      ...cuts.map((share) => ({
        name: `energy-at-${share}`,
        lower: 1,
        upper: null,
        terms: [
          ...candidates.map((_candidate, column) => ({
            column,
            coefficient:
              ((share ** 2 * (problem.maintenance[column] ?? 0)) / need.maintenance +
                ((1 - share) ** 2 * (problem.gain[column] ?? 0)) / need.gain) *
              (kgOfUnit[column] ?? 1),
          })),
          { column: energyMiss, coefficient: 1 },
        ],
      })),
      ...(mostMissed === null
        ? []
        : [
            {
              name: 'misses',
              lower: null,
              upper: mostMissed,
              terms: misses.map((column) => ({ column, coefficient: 1 })),
            },
          ]),
    ],
  };
}

function energiesOf(
  { maintenance, gain, limits }: Problem,
  kilograms: readonly number[],
): { a: number; b: number; netEnergyMaintenance: number; netEnergyGain: number } {
  const sum = (perKg: readonly number[]): number =>
    kilograms.reduce((total, kg, index) => total + kg * (perKg[index] ?? 0), 0);
  const [netEnergyMaintenance, netEnergyGain] = [sum(maintenance), sum(gain)];
  return {
    netEnergyMaintenance,
    netEnergyGain,
    a: netEnergyMaintenance / limits.requirement.netEnergyMaintenanceTotalMcalPerDay,
    b: netEnergyGain / limits.requirement.netEnergyGainMcalPerDay,
  };
}

/** The share at which the answer covers least, if it covers less there than its cuts believed. */
function brokenCut(problem: Problem, kilograms: readonly number[], values: readonly number[]): number | null {
  const { a, b } = energiesOf(problem, kilograms);
  if (!(a > 0) || !(b > 0)) return null;
  const energyMiss = values.at(-1) ?? 0;
  return (a * b) / (a + b) + energyMiss < 1 - KEPT ? b / (a + b) : null;
}

function rationInBales(
  problem: Problem,
  kilograms: readonly number[],
  values: readonly number[],
  everyDays: number,
  costPerHeadDay: number,
  currency: Currency,
): WholeBaleRation {
  const { candidates, kgOfUnit } = problem;
  const cost = candidates.reduce(
    (sum, { lot }, index) => sum + (lot.price?.in('kg').toNumber() ?? 0) * (kilograms[index] ?? 0),
    0,
  );
  const money = (value: number): Money => Money.of(decimalFromFloat(value, MONEY_PLACES), currency);
  const used = candidates.flatMap(({ lot, role, baleWeightKg }, index): WholeBalePart[] => {
    const bales = (kgOfUnit[index] ?? null) === null ? null : Math.round(values[index] ?? 0);
    const asFedKgPerHeadPerDay = kilograms[index] ?? 0;
    return asFedKgPerHeadPerDay <= 0
      ? []
      : [
          {
            lotId: lot.lotId,
            lotName: lot.lotName,
            role,
            bales,
            asFedKgPerHeadPerDay,
            asFedKgPerFeeding:
              bales === null ? asFedKgPerHeadPerDay * problem.limits.head * everyDays : bales * (baleWeightKg ?? 0),
          },
        ];
  });
  return {
    everyDays,
    parts: used,
    costPerHeadDay: money(cost),
    costOfRounding: money(cost - costPerHeadDay),
    missed: [...missedEnergy(problem, kilograms), ...missedRows(problem, kilograms, values)],
    notInBales: used.filter(({ bales }) => bales === null).map(({ lotName }) => lotName),
  };
}

function missedRows(problem: Problem, kilograms: readonly number[], values: readonly number[]): MissedRow[] {
  const bacterialG = values[problem.candidates.length] ?? 0;
  return problem.rows.flatMap((row): MissedRow[] => {
    if (isHard(row)) return [];
    const activity =
      row.perKg.reduce((sum, perKg, index) => sum + perKg * (kilograms[index] ?? 0), 0) +
      row.perBacterialProteinG * bacterialG;
    const missesBy = row.lower !== null ? row.lower - activity : activity - (row.upper ?? activity);
    const bound = row.lower ?? row.upper;
    return missesBy <= KEPT * scaleOf(row, problem) * 10
      ? []
      : [{ row: row.key, words: row.words, unit: row.unit, missesBy, ofNeed: bound === 0 ? null : bound }];
  });
}

/** What maintenance leaves is for gain; where it does not even cover maintenance, that is said. */
function missedEnergy(problem: Problem, kilograms: readonly number[]): MissedRow[] {
  if (!problem.gains) return [];
  const { requirement } = problem.limits;
  const { a, netEnergyMaintenance, netEnergyGain } = energiesOf(problem, kilograms);
  if (a < 1) {
    return [
      {
        row: 'energy-maintenance',
        words: maintenanceWords(requirement).words,
        unit: 'Mcal',
        missesBy: requirement.netEnergyMaintenanceTotalMcalPerDay - netEnergyMaintenance,
        ofNeed: requirement.netEnergyMaintenanceTotalMcalPerDay,
      },
      {
        row: 'energy-gain',
        words: gainWords(requirement).words,
        unit: 'Mcal',
        missesBy: requirement.netEnergyGainMcalPerDay,
        ofNeed: requirement.netEnergyGainMcalPerDay,
      },
    ];
  }
  const missesBy = requirement.netEnergyGainMcalPerDay - netEnergyGain * (1 - 1 / a);
  return missesBy <= requirement.netEnergyGainMcalPerDay * 1e-4
    ? []
    : [
        {
          row: 'energy-gain',
          words: gainWords(requirement).words,
          unit: 'Mcal',
          missesBy,
          ofNeed: requirement.netEnergyGainMcalPerDay,
        },
      ];
}
