import { type Outcome, refused, succeeded } from '../outcome/outcome.js';
import type { Problem } from '../outcome/problem.js';
import type { GuideChoices } from '../cautions/guides.data.js';
import type { AnimalDescription, DietContext, RequirementSet } from '../requirements/requirement-set.js';
import type { SolveLinearProgram } from '../solver/linear-program.js';
import {
  type Agreed,
  cheapestAgreed,
  dietOf,
  filledByFiber,
  layersOf,
  limitsOf,
  MARGIN,
  newCuts,
  type Search,
  type WantedRation,
} from './agreed-ration.js';
import { mostOf, rationSupply } from '../judge/ration-supply.js';
import { decimalFromFloat } from '../units/decimal.js';
import { PricePerMass } from '../units/money.js';
import { conflictOf } from './conflict.js';
import { settledBy, withLeast } from './laid-shares.js';
import { keepsRows } from './mixture.js';
import { type Candidate, type RationLimits } from './ration-rows.js';
import { keptOut, type Safety, safeWays } from './safe-limits.js';
import {
  type ExcludedCandidate,
  feedingProblems,
  fixedButExcluded,
  leastCostRation,
  type LeastCostRation,
  noUsableLot,
  problemsOf,
  solverFailed,
  usableCandidates,
} from './solve.js';

export interface SafeRationRequest {
  readonly candidates: readonly Candidate[];
  readonly animal: AnimalDescription;
  /** Full body weight on the day on which they weigh least; that of the animal if absent. */
  readonly lightestKg?: number;
  /** True if some of the herd are pregnant, though the average animal is not. */
  readonly anyPregnant?: boolean;
  /** True if some of the herd are in milk, though the average animal is not. */
  readonly anyMilking?: boolean;
  readonly wanted: WantedRation;
  readonly guides?: GuideChoices;
  /** The cautions that a lot carries wherever it is fed, as the judge gives them. */
  readonly ownCautions?: Safety['ownCautions'];
  /** What one animal needs on a diet: the very function that the judge asks. */
  readonly needOn: (diet: DietContext) => Outcome<RequirementSet>;
  /** Of the water that the herd drinks; `null` where it was not tested. */
  readonly waterSulfateMgPerL: number | null;
  readonly solve: SolveLinearProgram;
  readonly wholeBalesEveryDays?: number;
}

/** The cheapest ration with the needs that it was found to keep; where there is none, the needs on no diet at all. */
export type SafeRation = LeastCostRation & {
  readonly requirement: RequirementSet;
  /** True where no ration keeps the grams of sulfur that mature cows are held to, and this one brings the least. */
  readonly leastSulfur?: boolean;
};

/** Ranges of energy density that are looked at for an answer. */
const RANGES = 160;
/** Sulfur within this much of the least counts as the least: what is drunk moves a little with the mixture. */
const LEAST_SULFUR = 1 + 1e-2;

/**
 * The cheapest ration that the judge has no objection to: its rows are the judge's lines and cautions, on the needs
 * and the intake that are predicted for the very mixture that is proposed (`cheapestAgreed`). Lots that may not be
 * fed are left out and named. Limits are loosened only by what `wanted` says.
 */
export function safeRation(request: SafeRationRequest): Outcome<SafeRation> {
  const { candidates, wanted, wholeBalesEveryDays, lightestKg } = request;
  const first = request.needOn({});
  if (!first.ok) return first;
  const prepared = prepare(request);
  const { limits, excluded, search } = prepared(first.value);
  const problems = [
    ...problemsOf(limits, candidates),
    ...crossedIntake(wanted),
    ...feedingProblems(wanted, wholeBalesEveryDays),
    ...fixedButExcluded(candidates, excluded),
  ];
  if (problems.length > 0) return refused(problems);
  if (search.candidates.length === 0) return refused([noUsableLot(candidates.length, excluded)]);
  try {
    const agreed = cheapestAgreed(search, { ranges: RANGES });
    if (agreed !== null) return withPrices(search, agreed, excluded, wholeBalesEveryDays);
    const inTheMean = { ...search, eatenInTheMean: true };
    const outgrown = lightestKg === undefined ? null : cheapestAgreed(inTheMean, { ranges: RANGES });
    if (outgrown !== null) return withPrices(inTheMean, outgrown, excluded, wholeBalesEveryDays);
    const least = ofLeastSulfur(search);
    if (least !== null) {
      const outcome = withPrices(least.search, least.agreed, excluded, wholeBalesEveryDays);
      return outcome.ok ? succeeded({ ...outcome.value, leastSulfur: true }) : outcome;
    }
    return succeeded({
      status: 'infeasible',
      conflict: conflictOf(withSulfurAtMost(search, undefined), first.value),
      excluded,
      requirement: first.value,
    });
  } catch (error) {
    return refused([solverFailed(error instanceof Error ? error.message : String(error))]);
  }
}

/** A floor above the cap is a slip of the request, not a conflict of the feeds. */
function crossedIntake({ intakeFloorShare: floor = 0, intakeCapShare: cap }: WantedRation): Problem[] {
  if (cap === undefined || cap === null || floor <= cap) return [];
  const percent = (share: number): string => `${Number((share * 100).toFixed(2))} %`;
  return [
    {
      code: 'least-above-most',
      field: 'intakeFloorShare',
      given: percent(floor),
      allowed: `${percent(cap)} or less, the most dry matter that is asked for`,
      message: `At least ${percent(floor)} and at most ${percent(cap)} of the predicted intake are asked for.`,
    },
  ];
}

/** Lots that may be fed and whose values are known, with the limits that they are asked to keep. */
function prepare(request: SafeRationRequest) {
  const { anyPregnant, anyMilking, wanted, guides, ownCautions, lightestKg } = request;
  // What hurts a light animal hurts on the first day, however much it weighs on the last.
  const animal = { ...request.animal, fullBodyWeightKg: lightestKg ?? request.animal.fullBodyWeightKg };
  const candidates = withLeast(request.candidates, wanted.leastLaid);
  const safety = { animal, anyPregnant, anyMilking, asked: wanted, guides, ownCautions };
  const out = candidates.flatMap(({ lot }): ExcludedCandidate[] => {
    const kept = keptOut(lot, safety);
    return kept === null ? [] : [{ lotName: lot.lotName, ...kept }];
  });
  const allowed = candidates.filter(({ lot }) => keptOut(lot, safety) === null);
  return (requirement: RequirementSet) => {
    const search = { ...request, candidates: allowed, ways: safeWays(allowed, safety), cuts: newCuts() };
    const [way] = search.ways;
    if (way === undefined) throw new RangeError('There is always one way to keep the cautions');
    const limits = limitsOf(search, way, requirement, null);
    const { usable, excluded } = usableCandidates(allowed, limits);
    return {
      limits,
      excluded: [...out, ...excluded],
      search: { ...search, candidates: usable, ways: safeWays(usable, safety) } satisfies Search,
    };
  };
}

function withSulfurAtMost(search: Search, grams: number | undefined): Search {
  const ways = search.ways.map(({ limits: { maxSulfurGPerDay: _held, ...limits }, ...way }) => ({
    ...way,
    limits: { ...limits, ...(grams === undefined ? {} : { maxSulfurGPerDay: grams }) },
  }));
  return { ...search, ways };
}

/**
 * Where the water alone may bring more sulfur than mature cows are held to: the cheapest of the rations that bring the
 * least, found by taking the sulfur of the feeds for their price. `null` where that is not what stands in the way.
 */
function ofLeastSulfur(search: Search): { readonly search: Search; readonly agreed: Agreed } | null {
  if (search.ways.every(({ limits }) => limits.maxSulfurGPerDay === undefined)) return null;
  const free = withSulfurAtMost(search, undefined);
  const { wastedShare = 0 } = search.wanted;
  const gramsPerKg = search.candidates.map(
    ({ lot }) => (mostOf({ lot, field: 'sulfurPercent' }) ?? 0) * 0.1 * lot.dryMatterPercent.value * (1 - wastedShare),
  );
  const candidates = search.candidates.map((candidate, index) => {
    const currency = candidate.lot.price?.currency ?? 'USD';
    const price = PricePerMass.perKilogram(decimalFromFloat(gramsPerKg[index] ?? 0, 8), currency);
    return { ...candidate, lot: { ...candidate.lot, price } };
  });
  const least = cheapestAgreed({ ...free, candidates }, { ranges: RANGES });
  if (least === null) return null;
  const { sulfurFromWaterG = 0 } = limitsOf(free, least.way, least.requirement, null);
  const limited = withSulfurAtMost(search, (least.cost + sulfurFromWaterG) * LEAST_SULFUR);
  const agreed = cheapestAgreed(limited, { ranges: RANGES });
  return agreed === null ? null : { search: limited, agreed };
}

/**
 * The answer with its prices: solved once more as a linear program around the mixture that was found, with the intake
 * cap drawn as a tangent there, so that the prices are those of the moving cap. If that program moves to another
 * mixture, the density is held.
 */
function withPrices(
  search: Search,
  agreed: Agreed,
  excluded: readonly ExcludedCandidate[],
  wholeBalesEveryDays: number | undefined,
): Outcome<SafeRation> {
  const supply = rationSupply({
    layers: layersOf(search.candidates, agreed.kilograms),
    wastedShare: search.wanted.wastedShare ?? 0,
  });
  const at = supply.netEnergyMaintenanceMcalPerKg ?? 0;
  const solved = (more: Partial<RationLimits>): Outcome<LeastCostRation> => {
    const limits = limitsOf(search, agreed.way, agreed.requirement, null, MARGIN / 4);
    return leastCostRation({
      candidates: settledBy(search.candidates, agreed.kilograms),
      limits: { ...limits, ...filledByFiber(search, agreed.way, MARGIN / 4), ...more },
      solve: search.solve,
      ...(wholeBalesEveryDays === undefined ? {} : { wholeBalesEveryDays }),
    });
  };
  const around = solved({ intakeTangent: tangentAt(search, at, supply.dryMatterKg) });
  const outcome = keepsItself(search, agreed, around)
    ? around
    : solved({ energyBand: { from: at * (1 - MARGIN / 10), to: at * (1 + MARGIN / 10) } });
  if (!outcome.ok) return outcome;
  const { value } = outcome;
  return value.status === 'solved'
    ? succeeded({ ...value, excluded, requirement: requirementOf(search, value) ?? agreed.requirement })
    : refused([solverFailed('the answer that was found could not be priced')]);
}

function tangentAt(
  search: Search,
  atMcalPerKg: number,
  dryMatterKg: number,
): NonNullable<RationLimits['intakeTangent']> {
  const { needOn, wanted } = search;
  const step = 1e-4;
  const intake = (netEnergyMaintenanceMcalPerKg: number): number => {
    const need = needOn({ netEnergyMaintenanceMcalPerKg });
    if (!need.ok) return 0;
    const ofLightest = search.eatenInTheMean === true ? 1 : (need.value.leastIntakeShare ?? 1);
    return need.value.dryMatterIntakeKgPerDay * ofLightest;
  };
  const slope = (intake(atMcalPerKg + step) - intake(atMcalPerKg - step)) / (2 * step);
  return { capKgPerMcal: slope * (wanted.intakeCapShare ?? 1), atMcalPerKg, dryMatterKg };
}

type Solved = Extract<LeastCostRation, { readonly status: 'solved' }>;

function kilogramsOf({ candidates }: Search, { layers }: Pick<Solved, 'layers'>): number[] {
  return candidates.map(({ lot, role }) =>
    layers
      .filter((layer) => layer.role === role)
      .flatMap(({ lots }) => lots)
      .filter((part) => part.lot.lotId === lot.lotId)
      .reduce((sum, part) => sum + part.asFedKgPerHeadPerDay, 0),
  );
}

function requirementOf(search: Search, answer: Pick<Solved, 'layers'>): RequirementSet | null {
  const need = search.needOn(dietOf(search, kilogramsOf(search, answer)));
  return need.ok ? need.value : null;
}

/** Whether an answer keeps the limits on its own needs, and costs what was found. */
function keepsItself(search: Search, agreed: Agreed, outcome: Outcome<LeastCostRation>): boolean {
  if (!outcome.ok || outcome.value.status !== 'solved') return false;
  const requirement = requirementOf(search, outcome.value);
  if (requirement === null) return false;
  const limits = limitsOf(search, agreed.way, requirement, null, MARGIN / 8);
  const kilograms = kilogramsOf(search, outcome.value);
  return (
    keepsRows({ limits, candidates: search.candidates, keep: () => true }, kilograms) &&
    outcome.value.costPerHeadDay.amount.toNumber() <= agreed.cost * (1 + MARGIN)
  );
}
