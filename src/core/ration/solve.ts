import { type Outcome, refused, succeeded } from '../outcome/outcome.js';
import type { Problem } from '../outcome/problem.js';
import { LAYER_ROLES } from '../laying/layer.js';
import { decimalFromFloat } from '../units/decimal.js';
import { Money, PricePerMass, type Currency } from '../units/money.js';
import type { LinearProgram, LinearProgramAnswer, SolveLinearProgram } from '../solver/linear-program.js';
import type { RationLayer } from './ration.js';
import { fieldsNeeded, isAsked, rationRows, type Candidate, type RationLimits, type RationRow } from './ration-rows.js';
import { nobodyAsked } from './ration-row.js';
import { valueOf } from '../judge/ration-supply.js';
import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import { LAB_NUTRIENTS, labReport } from '../nutrients/nutrients.js';
import { amountsOf, columnBounds } from './laid-shares.js';
import type { UnitOfReader, Words } from '../units/wording.js';
import type { ShadowPrice, UnusedLot } from './least-cost-words.js';
import type { KeptOut } from './safe-limits.js';
import { wholeBaleRation, type WholeBaleAnswer } from './whole-bale-ration.js';

export interface ExcludedCandidate {
  readonly lotName: string;
  readonly because:
    | 'no-price'
    | 'composition-not-known'
    | 'legume-share-not-known'
    | 'density-not-known'
    | KeptOut['because'];
  readonly missing: readonly string[];
  readonly words: Words;
}

export interface ConflictingRow {
  readonly row: string;
  readonly words: Words;
  /** By how much this row must be missed if all other rows are kept; `null` if even then there is no ration. */
  readonly missesBy: number | null;
  readonly unit: string | UnitOfReader;
  /** True where the row asks for something, false where it leaves room for it. */
  readonly asks: boolean;
}

export type LeastCostRation =
  | {
      readonly status: 'solved';
      /** Build order: coarse at the bottom, then rich, then mixed. */
      readonly layers: readonly RationLayer[];
      readonly costPerHeadDay: Money;
      readonly shadowPrices: readonly ShadowPrice[];
      readonly unusedLots: readonly UnusedLot[];
      readonly excluded: readonly ExcludedCandidate[];
      /** The same in whole bales, where asked for. */
      readonly wholeBales: WholeBaleAnswer | null;
    }
  | {
      readonly status: 'infeasible';
      /** Rows that conflict; leave out any one and the conflict is gone. */
      readonly conflict: readonly ConflictingRow[];
      readonly excluded: readonly ExcludedCandidate[];
    };

const MONEY_PLACES = 8;
/** A row that is missed by less than this share of its bound is kept: the tolerance of the solver. */
const KEPT = 1e-6;
/** Steps of the search for the share of feed that covers maintenance; each shrinks the interval by 0.618. */
const SEARCH_TURNS = 36;

/**
 * The cheapest ration over the lots on offer that keeps every row: requirements, intake, shares of layers, lot balances
 * over the feeding period, legume, nitrate, sulfur, long stem and fiber. An existing solver is passed in.
 *
 * A gain needs both NEm and NEg of one and the same mixture. With the share f of feed that covers maintenance fixed
 * this is linear, and the least cost is a convex function of f (a linear program's cost is convex and rising in its
 * needs, and need/f and need/(1−f) are convex), so a golden-section search over f finds the optimum.
 *
 * Lots without a price or without a value that a row needs are left out and named; nothing unknown is taken for zero.
 */
export function leastCostRation({
  candidates,
  limits,
  solve,
  wholeBalesEveryDays,
}: {
  readonly candidates: readonly Candidate[];
  readonly limits: RationLimits;
  readonly solve: SolveLinearProgram;
  /** Asks for the ration in whole bales as well, one feeding being laid for so many days. */
  readonly wholeBalesEveryDays?: number;
}): Outcome<LeastCostRation> {
  const problems = [...problemsOf(limits, candidates), ...feedingProblems(limits, wholeBalesEveryDays)];
  if (problems.length > 0) return refused(problems);
  const { usable, excluded } = usableCandidates(candidates, limits);
  const currency = usable[0]?.lot.price?.currency;
  if (currency === undefined) return refused([noUsableLot(candidates.length, excluded)]);
  const attempt = { limits, candidates: usable, solve };
  const search = bestShare(attempt);
  if (search.answer.status === 'failed') return refused([solverFailed(search.answer.detail)]);
  if (search.answer.status !== 'optimal' || search.missed > KEPT)
    return succeeded({ status: 'infeasible', conflict: conflictOf(attempt), excluded });
  const priced = priceOfNeeds(attempt, search.share);
  const inWeights = solvedRation({
    attempt,
    answer: search.answer,
    prices: priced.status === 'optimal' ? priced : search.answer,
    rows: search.rows,
    share: search.share,
    currency,
    excluded,
  });
  if (wholeBalesEveryDays === undefined || inWeights.status !== 'solved') return succeeded(inWeights);
  const wholeBales = wholeBaleRation({
    ...attempt,
    everyDays: wholeBalesEveryDays,
    share: search.share,
    costPerHeadDay: inWeights.costPerHeadDay.amount.toNumber(),
    currency,
  });
  return succeeded({ ...inWeights, wholeBales });
}

export function feedingProblems(
  { days }: Pick<RationLimits, 'days'>,
  wholeBalesEveryDays: number | undefined,
): Problem[] {
  if (wholeBalesEveryDays === undefined) return [];
  if (Number.isInteger(wholeBalesEveryDays) && wholeBalesEveryDays >= 1 && wholeBalesEveryDays <= days) return [];
  return [
    {
      code: 'wholeBalesEveryDays-out-of-range',
      field: 'wholeBalesEveryDays',
      given: wholeBalesEveryDays,
      allowed: `a whole number of days, 1 to ${days}`,
      message: 'A feeding is laid for at least one day and no longer than the hay has to last.',
    },
  ];
}

/** Candidates with a price and every value that the rows need; the others with the reason. */
export function usableCandidates(
  candidates: readonly Candidate[],
  limits: RationLimits,
): { readonly usable: readonly Candidate[]; readonly excluded: readonly ExcludedCandidate[] } {
  const sorted = candidates.map((candidate) => ({ candidate, excluded: exclusionOf(candidate, limits) }));
  return {
    usable: sorted.flatMap((each) => (each.excluded === null ? [each.candidate] : [])),
    excluded: sorted.flatMap((each) => (each.excluded === null ? [] : [each.excluded])),
  };
}

export function noUsableLot(given: number, excluded: readonly ExcludedCandidate[]): Problem {
  return {
    code: 'no-usable-lot',
    field: 'candidates',
    given,
    allowed: 'at least one lot with a price and the values that the rows need',
    message: `No lot can be used. ${excluded.map(whyLeftOut).join(' ')}`,
  };
}

/** In plain words: a problem is told in no one's units. */
const whyLeftOut = ({ lotName, because, words }: ExcludedCandidate): string =>
  typeof words === 'string' ? words : `${lotName}: ${LEFT_OUT[because]}.`;

/** Bands that no ration can keep, whatever is in the yard. */
function contradictingBands(bands: NonNullable<RationLimits['shareBands']>['bands']): Problem[] {
  const percent = (share: number): string => `${Number((share * 100).toFixed(2))} %`;
  const twice = bands.find(({ role }, index) => bands.findIndex((other) => other.role === role) < index);
  if (twice !== undefined)
    return [
      {
        code: 'said-twice',
        field: `shareBands.${twice.role}`,
        given: twice.role,
        allowed: 'each role once',
        message: `The shares of the ${twice.role} layer are given twice.`,
      },
    ];
  const crossed = bands.flatMap(({ role, atLeast = 0, atMost = 1 }): Problem[] =>
    atLeast <= atMost
      ? []
      : [
          {
            code: 'least-above-most',
            field: `shareBands.${role}.atLeast`,
            given: percent(atLeast),
            allowed: `${percent(atMost)} or less, the most of the ${role} layer`,
            message:
              `The ${role} layer is asked to be at least ${percent(atLeast)} and at most ${percent(atMost)} of the ` +
              'ration.',
          },
        ],
  );
  const least = bands.filter(({ atLeast = 0 }) => atLeast > 0);
  const sum = least.reduce((total, { atLeast = 0 }) => total + atLeast, 0);
  if (sum <= 1 + KEPT) return crossed;
  const named = least.map(({ role, atLeast = 0 }) => `${role} ${percent(atLeast)}`).join(', ');
  return [
    ...crossed,
    {
      code: 'least-shares-above-whole',
      field: 'shareBands',
      given: named,
      allowed: 'least shares that add up to 100 % or less',
      message: `The least shares of the layers add up to ${percent(sum)}: ${named}.`,
    },
  ];
}

/** A lot that was asked for in a fixed amount and may not be fed is no lot to leave out in silence. */
export function fixedButExcluded(candidates: readonly Candidate[], excluded: readonly ExcludedCandidate[]): Problem[] {
  return candidates.flatMap(({ lot, fixedKg }): Problem[] => {
    const out = fixedKg === undefined ? undefined : excluded.find((one) => one.lotName === lot.lotName);
    if (out === undefined) return [];
    return [
      {
        code: 'fixed-lot-left-out',
        field: `fixed.${lot.lotId}`,
        given: lot.lotName,
        allowed: `a lot that may be fed${LOOSENED_BY[out.because] ?? ''}`,
        message: `${lot.lotName} is asked for in a fixed amount, but ${LEFT_OUT[out.because]}.`,
      },
    ];
  });
}

const LEFT_OUT: Readonly<Record<ExcludedCandidate['because'], string>> = {
  'danger-caution': 'it is under a danger caution',
  'nitrate-not-tested': 'it is of a kind that can accumulate nitrate and was not tested for nitrate',
  'nitrate-above-guide': 'it holds more nitrate than the guide allows for these animals',
  'urea-for-calves': 'calves this light must not have the urea in it',
  'no-price': 'it has no price',
  'composition-not-known': 'values that a demand rests on are not known of it',
  'legume-share-not-known': 'its share of legume is not known',
  'density-not-known': 'its density is not known, which shares by volume rest on',
};
const LOOSENED_BY: Readonly<Partial<Record<ExcludedCandidate['because'], string>>> = {
  'danger-caution': ', or lotDangers: told',
  'nitrate-not-tested': ', or allowUntested: true',
  'nitrate-above-guide': ', or nitrate: told',
};

export function solverFailed(detail: string): Problem {
  return {
    code: 'solver-failed',
    field: 'solve',
    given: detail,
    allowed: 'a solver that answers',
    message: `The solver gave up: ${detail}.`,
  };
}

type Optimal = Extract<LinearProgramAnswer, { status: 'optimal' }>;
interface Tried {
  readonly share: number;
  readonly rows: readonly RationRow[];
  readonly answer: LinearProgramAnswer;
  /** Sum of the shares by which relaxed rows are missed. */
  readonly missed: number;
  /** What the search makes small: cost, and misses far dearer. */
  readonly worth: number;
}

/** Rows that may be missed at a price. Energy rows during the search; one named row when a conflict is measured. */
export interface Attempt {
  readonly limits: RationLimits;
  readonly candidates: readonly Candidate[];
  readonly solve: SolveLinearProgram;
  readonly keep?: (row: RationRow) => boolean;
  readonly relax?: string;
  /** Lets the share of feed for maintenance move: see `priceOfNeeds`. */
  readonly movableShare?: boolean;
}

const isEnergy = (row: RationRow) => row.key.startsWith('energy-');

function tryShare(
  { limits, candidates, solve, keep = () => true, relax, movableShare = false }: Attempt,
  share: number,
): Tried {
  const rows = rationRows({ limits, candidates, feedForMaintenanceShare: share }).filter(keep);
  const prices = candidates.map(({ lot }) => lot.price?.in('kg').toNumber() ?? 0);
  const relaxed = rows.map((row) => isEnergy(row) || row.key === relax);
  const scale = rows.map((row) => Math.max(Math.abs(row.lower ?? row.upper ?? 0), 1e-6));
  // One percent of a row missed costs more than a hundred kilograms of the dearest hay: no ration trades needs for
  // money.
  // When a conflict is measured, money is left out and the named row is missed before any other.
  const penalty = (key: string) => (relax === undefined ? (Math.max(...prices) + 1) * 1e4 : key === relax ? 1 : 1e4);
  const slackColumns = rows.flatMap((_row, index) => (relaxed[index] ? [index] : []));
  const bacterial = candidates.length;
  const program: LinearProgram = {
    columns: [
      ...candidates.map((candidate, index) => ({
        name: `${candidate.lot.lotId}/${candidate.role}`,
        cost: relax === undefined ? (prices[index] ?? 0) : 0,
        ...columnBounds(candidate),
      })),
      { name: 'bacterial-protein', cost: 0, lower: 0, upper: null },
      ...slackColumns.map((index) => ({
        name: `missed-${rows[index]?.key ?? ''}`,
        cost: penalty(rows[index]?.key ?? ''),
        lower: 0,
        upper: null,
      })),
      ...(movableShare ? [{ name: 'share-moved', cost: 0, lower: -share / 2, upper: (1 - share) / 2 }] : []),
    ],
    rows: rows.map((row, index) => {
      const slack = slackColumns.indexOf(index);
      return {
        name: row.key,
        lower: row.lower,
        upper: row.upper,
        terms: [
          ...row.perKg.map((coefficient, column) => ({ column, coefficient })),
          { column: bacterial, coefficient: row.perBacterialProteinG },
          ...(slack < 0
            ? []
            : [{ column: bacterial + 1 + slack, coefficient: (row.lower === null ? -1 : 1) * (scale[index] ?? 1) }]),
          ...(movableShare
            ? [{ column: bacterial + 1 + slackColumns.length, coefficient: slopeOfNeed(row, share) }]
            : []),
        ],
      };
    }),
  };
  const answer = solve(program);
  if (answer.status !== 'optimal')
    return { share, rows, answer, missed: Number.POSITIVE_INFINITY, worth: Number.POSITIVE_INFINITY };
  const missedBy = (wanted: (row: RationRow) => boolean) =>
    slackColumns.reduce((sum, row, slack) => {
      const found = rows[row];
      return found !== undefined && wanted(found) ? sum + (answer.columnValues[bacterial + 1 + slack] ?? 0) : sum;
    }, 0);
  return { share, rows, answer, missed: missedBy((row) => row.key !== relax), worth: answer.objective };
}

/** need / f falls by need / f² as the share f rises; need / (1 − f) rises by need / (1 − f)². */
function slopeOfNeed(row: RationRow, share: number): number {
  if (row.key === 'energy-maintenance') return (row.lower ?? 0) / share;
  return row.key === 'energy-gain' ? -(row.lower ?? 0) / (1 - share) : 0;
}

/**
 * Prices of the rows at the optimum. At the best share both energy rows often hold at once, and the linear program with
 * that share fixed then has many sets of prices, of which only one is that of the real, movable share. So the share is
 * a column here, with the needs drawn as tangents at the optimum: the tangents lie below the convex needs, so the
 * optimum stays, and its prices are those of the whole problem.
 */
function priceOfNeeds(attempt: Attempt, share: number): LinearProgramAnswer {
  return tryShare({ ...attempt, movableShare: attempt.limits.requirement.netEnergyGainMcalPerDay > 0 }, share).answer;
}

/** The share of feed for maintenance at which the ration is cheapest; 1 where no gain is asked. */
function bestShare(attempt: Attempt): Tried {
  if (!(attempt.limits.requirement.netEnergyGainMcalPerDay > 0)) return tryShare(attempt, 1);
  const golden = (Math.sqrt(5) - 1) / 2;
  let low = 1e-3;
  let high = 1 - 1e-3;
  let left = tryShare(attempt, high - golden * (high - low));
  let right = tryShare(attempt, low + golden * (high - low));
  for (
    let turn = 0;
    turn < SEARCH_TURNS && left.answer.status === 'optimal' && right.answer.status === 'optimal';
    turn += 1
  ) {
    if (left.worth <= right.worth) {
      high = right.share;
      right = left;
      left = tryShare(attempt, high - golden * (high - low));
    } else {
      low = left.share;
      left = right;
      right = tryShare(attempt, low + golden * (high - low));
    }
  }
  return left.worth <= right.worth ? left : right;
}

function isFeasible(attempt: Attempt): boolean {
  const { answer, missed } = bestShare(attempt);
  return answer.status === 'optimal' && missed <= KEPT;
}

/**
 * Deletion filter: a row is left out for good if the rest still conflict; what remains is a set of which every row is
 * needed for the conflict. Then each remaining row alone is relaxed to tell by how much it must be missed.
 */
function conflictOf(attempt: Attempt): ConflictingRow[] {
  const all = rationRows({ limits: attempt.limits, candidates: attempt.candidates, feedForMaintenanceShare: 0.5 });
  // What bacterial protein is held to is part of the protein row, not something anybody asked for.
  const demands = all.filter((row) => !nobodyAsked(row.key));
  let left = demands.map(({ key }) => key);
  const kept = (keys: readonly string[]) => (row: RationRow) => keys.includes(row.key) || nobodyAsked(row.key);
  for (const { key } of demands) {
    const without = left.filter((each) => each !== key);
    if (!isFeasible({ ...attempt, keep: kept(without) })) left = without;
  }
  return left.map((key) => {
    const row = demands.find((each) => each.key === key);
    if (row === undefined) throw new RangeError(`No row ${key}`);
    return { row: key, words: row.words, unit: row.unit, missesBy: leastMiss(attempt, key), asks: row.lower !== null };
  });
}

/** By how much one row must be missed if the others are kept; `null` if even then there is no ration. */
export function leastMiss(attempt: Attempt, key: string): number | null {
  const alone = bestShare({ ...attempt, relax: key });
  return alone.answer.status === 'optimal' && alone.missed <= KEPT ? violationOf(alone, key, attempt) : null;
}

/** By how much a row of the real ration is missed, in the unit of the row at the needs of the animal. */
function violationOf({ answer, rows, share }: Tried, key: string, { candidates }: Attempt): number | null {
  const row = rows.find((each) => each.key === key);
  if (row === undefined || answer.status !== 'optimal') return null;
  const activity =
    row.perKg.reduce((sum, coefficient, index) => sum + coefficient * (answer.columnValues[index] ?? 0), 0) +
    row.perBacterialProteinG * (answer.columnValues[candidates.length] ?? 0);
  const over = row.lower !== null ? row.lower - activity : activity - (row.upper ?? activity);
  return Math.max(0, over) * needScale(row, share);
}

/**
 * By how much a mixture misses a row, in the unit of the row; `null` without the row. Of an energy, what the other one
 * leaves of the feed counts, where both are asked for.
 */
export function violationIn(
  { limits, candidates, keep = () => true }: Pick<Attempt, 'limits' | 'candidates' | 'keep'>,
  key: string,
  kilograms: readonly number[],
): number | null {
  const rows = rationRows({ limits, candidates, feedForMaintenanceShare: 0.5 });
  const row = rows.find((each) => each.key === key);
  if (row === undefined) return null;
  const sum = (perKg: readonly number[]) => perKg.reduce((so, value, at) => so + value * (kilograms[at] ?? 0), 0);
  if (isEnergy(row)) {
    const other = rows.find((each) => isEnergy(each) && each.key !== key && keep(each));
    const leftShare = other === undefined ? 1 : 1 - Math.min(1, needOfEnergy(limits, other) / sum(other.perKg));
    return Math.max(0, needOfEnergy(limits, row) - leftShare * sum(row.perKg));
  }
  const bacterialG = rows
    .filter((each) => each.key.startsWith('bacteria-'))
    .reduce((least, { perKg, lower }) => Math.min(least, sum(perKg) - (lower ?? 0)), Infinity);
  const activity =
    sum(row.perKg) + (row.perBacterialProteinG === 0 ? 0 : row.perBacterialProteinG * Math.max(0, bacterialG));
  return Math.max(0, row.lower === null ? activity - (row.upper ?? activity) : row.lower - activity);
}

const needOfEnergy = ({ requirement }: RationLimits, { key }: RationRow): number =>
  key === 'energy-gain' ? requirement.netEnergyGainMcalPerDay : requirement.netEnergyMaintenanceTotalMcalPerDay;

/** Energy rows are written as need / share; a change of the row is this much change of the need. */
function needScale(row: RationRow, share: number): number {
  if (row.key === 'energy-maintenance') return share;
  return row.key === 'energy-gain' ? 1 - share : 1;
}

function solvedRation({
  attempt,
  answer,
  prices,
  rows,
  share,
  currency,
  excluded,
}: {
  readonly attempt: Attempt;
  readonly answer: Optimal;
  readonly prices: Optimal;
  readonly rows: readonly RationRow[];
  readonly share: number;
  readonly currency: Currency;
  readonly excluded: readonly ExcludedCandidate[];
}): LeastCostRation {
  const { candidates } = attempt;
  const amounts = amountsOf(candidates, answer.columnValues);
  const money = (value: number) => Money.of(decimalFromFloat(value, MONEY_PLACES), currency);
  const layers = LAYER_ROLES.flatMap((role): RationLayer[] => {
    const lots = candidates.flatMap((candidate, index) =>
      candidate.role === role && (amounts[index] ?? 0) > 0
        ? [{ lot: candidate.lot, asFedKgPerHeadPerDay: amounts[index] ?? 0 }]
        : [],
    );
    return lots.length === 0 ? [] : [{ role, lots }];
  });
  const shadowPrices = rows.flatMap((row, index): ShadowPrice[] => {
    // The row is need / share; a change of the need itself moves the row by 1 / share.
    const dual = (prices.rowDuals[index] ?? 0) / needScale(row, share);
    if (Math.abs(dual) < 1e-10 || nobodyAsked(row.key)) return [];
    return [{ row: row.key, perUnit: money(dual), unit: row.unit, of: row.of, asks: row.lower !== null }];
  });
  const cost = candidates.reduce(
    (sum, { lot }, index) => sum + (lot.price?.in('kg').toNumber() ?? 0) * (amounts[index] ?? 0),
    0,
  );
  return {
    status: 'solved',
    layers,
    costPerHeadDay: money(cost),
    shadowPrices,
    excluded,
    wholeBales: null,
    unusedLots: candidates.flatMap((candidate, index) =>
      (amounts[index] ?? 0) > 0
        ? []
        : [
            unusedLot(
              candidate,
              priceToComeIn(attempt, index, prices.reducedCosts[index] ?? 0, { share, cost }),
              currency,
            ),
          ],
    ),
  };
}

/**
 * Price of a kilogram at which an unused lot would come in. Where it has to come in with its least, the ration that
 * holds just that much of it tells: the cost of a ration is convex in the amount, so no other amount asks for less.
 */
function priceToComeIn(
  attempt: Attempt,
  index: number,
  reducedCost: number,
  found: { readonly share: number; readonly cost: number },
): number {
  const candidate = attempt.candidates[index];
  const price = candidate?.lot.price?.in('kg').toNumber() ?? 0;
  if (candidate?.settled === undefined) return price - reducedCost;
  const { lower } = columnBounds({ ...candidate, settled: 'laid' });
  const candidates = attempt.candidates.with(index, { ...candidate, settled: 'laid' });
  const holdingIt = priceOfNeeds({ ...attempt, candidates }, found.share);
  return holdingIt.status === 'optimal' ? price - Math.max(0, holdingIt.objective - found.cost) / lower : 0;
}

function unusedLot({ lot, role }: Candidate, at: number, currency: Currency): UnusedLot {
  const comesInAt = at > 0 ? PricePerMass.perKilogram(decimalFromFloat(at, MONEY_PLACES), currency) : null;
  return {
    lotId: lot.lotId,
    lotName: lot.lotName,
    role,
    comesInAt,
  };
}

/** What a value of a lot is called: "sodium", "degradable protein". */
function nameOf(field: string): string {
  const code = LAB_NUTRIENTS.find((one) => labReport(one).field === field);
  const name = code === undefined ? field : NUTRIENTS[code].name;
  return /^[A-Z][a-z]/.test(name) ? `${name.charAt(0).toLowerCase()}${name.slice(1)}` : name;
}

function exclusionOf({ lot, bulkDensityKgPerM3, fixedKg }: Candidate, limits: RationLimits): ExcludedCandidate | null {
  const named = (because: ExcludedCandidate['because'], missing: readonly string[], lacks: string) => ({
    lotName: lot.lotName,
    because,
    missing,
    words: `${lot.lotName} has no ${lacks}.`,
  });
  if (lot.price === undefined) return named('no-price', ['price'], 'price');
  const missing = fieldsNeeded(limits).filter((field) => valueOf({ lot, field }).value === null);
  // What is fed in a fixed amount, by the ounce, counts with what is known of it, as the judge counts it.
  if (missing.length > 0 && fixedKg === undefined)
    return named('composition-not-known', missing, `known ${missing.map(nameOf).join(', ')}, which a demand rests on`);
  const legumeAsked = limits.maxLegumeShare !== undefined && isAsked(limits, 'legume');
  if (legumeAsked && lot.isForage && lot.legumeShare === null)
    return named('legume-share-not-known', ['legumeShare'], 'known share of legume');
  if (limits.shareBands?.basis === 'volume' && !((bulkDensityKgPerM3 ?? 0) > 0))
    return named('density-not-known', ['bulkDensityKgPerM3'], 'known density, which shares by volume rest on');
  return null;
}

export function problemsOf(limits: RationLimits, candidates: readonly Candidate[]): Problem[] {
  const problems: Problem[] = [];
  const check = (field: string, given: number | undefined, fits: (value: number) => boolean, allowed: string) => {
    if (given !== undefined && !fits(given))
      problems.push({
        code: `${field}-out-of-range`,
        field,
        given,
        allowed,
        message: `${field} of ${given} is not ${allowed}.`,
      });
  };
  const share = (value: number) => value >= 0 && value <= 1;
  check('head', limits.head, (value) => value > 0, 'above 0');
  check('days', limits.days, (value) => value > 0, 'above 0');
  check('wastedShare', limits.wastedShare, (value) => value >= 0 && value < 1, '0 to below 1');
  check('maxLegumeShare', limits.maxLegumeShare, share, 'between 0 and 1');
  for (const { role, atLeast, atMost } of limits.shareBands?.bands ?? []) {
    check(`shareBands.${role}.atLeast`, atLeast, share, 'between 0 and 1');
    check(`shareBands.${role}.atMost`, atMost, share, 'between 0 and 1');
  }
  problems.push(...contradictingBands(limits.shareBands?.bands ?? []));
  const currencies = new Set(candidates.flatMap(({ lot }) => (lot.price === undefined ? [] : [lot.price.currency])));
  if (currencies.size > 1)
    problems.push({
      code: 'currencies-mixed',
      field: 'candidates',
      given: [...currencies].join(', '),
      allowed: 'prices in one currency',
      message: 'The lots are priced in more than one currency.',
    });
  return problems;
}
