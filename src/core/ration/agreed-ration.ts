import { CAUTIONS } from '../cautions/cautions.data.js';
import { sulfurFromWater } from '../cautions/minerals.js';
import type { GuideChoices } from '../cautions/guides.data.js';
import { dietContextOf } from '../judge/diet-context.js';
import { rationSupply, valueOf } from '../judge/ration-supply.js';
import { byCode, MINERALS } from '../nutrients/nutrients.js';
import { FIBER_CAPACITY_PERCENT_OF_WEIGHT } from '../requirements/intake-factors.data.js';
import type { AnimalDescription, DietContext, Outcome, RequirementSet } from '../requirements/requirement-set.js';
import type { SolveLinearProgram } from '../solver/linear-program.js';
import type { LeastLaid } from './laid-shares.js';
import { cheapestMixture, FIRST_CUTS, type Keep, keepsRows, type Mixture } from './mixture.js';
import type { RationLayer } from './ration.js';
import type { Candidate, RationLimits } from './ration-rows.js';
import { digestibleBeside, type MicrobeNeed, microbeNeedBetween } from './microbe-need.js';
import type { SafetyAsked, SafeWay } from './safe-limits.js';

/** What the asker wants of the ration; needs and cautions come from the judge. */
export interface WantedRation
  extends
    SafetyAsked,
    Pick<
      RationLimits,
      'proteinSystem' | 'minerals' | 'intakeCapShare' | 'wastedShare' | 'shareBands' | 'minLongStemKg' | 'head' | 'days'
    > {
  /** What a feed must be laid in at least, if it is laid; common practice where not given. */
  readonly leastLaid?: LeastLaid;
}

/** Everything the search knows. The animal is the one the judge judges. */
export interface Search {
  readonly candidates: readonly Candidate[];
  readonly animal: AnimalDescription;
  /** On the day on which they weigh least; what the animal weighs if absent. */
  readonly lightestKg?: number;
  /** True where what is laid need only be eaten on the mean of the days: on the lightest day no ration is. */
  readonly eatenInTheMean?: boolean;
  readonly wanted: WantedRation;
  readonly ways: readonly SafeWay[];
  readonly guides?: GuideChoices | undefined;
  /** What one animal needs on a diet; the same that the judge asks. */
  readonly needOn: (diet: DietContext) => Outcome<RequirementSet>;
  readonly waterSulfateMgPerL: number | null;
  readonly solve: SolveLinearProgram;
  /** Cuts for both energies that were needed so far. */
  readonly cuts: number[];
  /** Rows are taken for this share easier than they are, to find what is missed by more. */
  readonly ease?: number;
}

export interface Agreed extends Mixture {
  readonly way: SafeWay;
  /** On the diet of this very mixture. */
  readonly requirement: RequirementSet;
}

/** Needs are asked for with this much to spare, so that what is printed and fed still meets them. */
export const MARGIN = 1e-4;
/** In a range narrower than this, Mcal/kg, one need and one intake hold throughout. */
const NARROWEST = 0.003;
const SAMPLES = 4;
/** The floor of the intake is kept with this much to spare: the intake predicted moves a little as prices are found. */
const FULL = 1 + 1e-3;
const MENDING_TURNS = 4;

/**
 * A range of energy densities of the mixture, under one way of keeping the cautions, and the least that it can cost.
 */
interface Range {
  readonly way: SafeWay;
  readonly from: number;
  readonly to: number;
  readonly bound: number;
}

export function newCuts(): number[] {
  return [...FIRST_CUTS];
}

/**
 * The cheapest mixture that keeps the needs and the intake predicted for that very mixture; `null` where none was
 * found in the ranges allowed.
 *
 * What cattle eat and need depends on the energy density of what they eat, so the limits move with the answer and are
 * not linear. The densities that the lots can make are searched by branch and bound: over a range, the easiest needs
 * and the largest intake bound the cost from below; an answer that keeps its own needs is the best of its range; else
 * the range is split at the answer's density (Land & Doig 1960, Econometrica 28:497-520). In a range too narrow to
 * matter the hardest needs and the smallest intake are used instead.
 */
export function cheapestAgreed(
  search: Search,
  { keep = () => true, ranges: most, anyWillDo = false }: { keep?: Keep; ranges: number; anyWillDo?: boolean },
): Agreed | null {
  const [from, to] = densitiesOf(search.candidates);
  let ranges: Range[] = search.ways.map((way) => ({ way, from, to, bound: 0 }));
  let best: Agreed | null = null;
  const better = (found: Agreed | null): void => {
    if (found !== null && (best === null || found.cost < best.cost)) best = found;
  };
  for (let turn = 0; turn < most && ranges.length > 0; turn += 1) {
    ranges = ranges.sort((a, b) => a.bound - b.bound || a.from - b.from);
    const range = ranges.shift();
    const limit = (best as Agreed | null)?.cost ?? Infinity;
    if (range === undefined || range.bound >= limit * (1 - KEPT_COST)) break;
    const { answers, rest } = within(search, range, keep, limit);
    for (const answer of answers) better(answer);
    if (anyWillDo && best !== null) return best;
    ranges.push(...rest);
  }
  return best;
}

/** Costs closer than this are the same. */
const KEPT_COST = 1e-6;

/**
 * The energy densities that a mixture can have. Salt and mineral hold none and thin it out by no more than they may be
 * of it: a diet of them alone is none that the equations of intake can be asked about.
 */
function densitiesOf(candidates: readonly Candidate[]): readonly [from: number, to: number] {
  const densities = candidates.map(({ lot }) => energyDensity(lot));
  const fed = densities.filter((density) => density > 0);
  if (fed.length === 0) return [0, 0];
  const thinned = fed.length < densities.length ? 1 - CAUTIONS['mineral-by-the-pound'].thresholds.danger.value : 1;
  return [Math.min(...fed) * thinned, Math.max(...fed)];
}

const energyDensity = (lot: Candidate['lot']): number =>
  valueOf({ lot, field: 'netEnergyMaintenanceMcalPerKg' }).value ?? 0;

/** What one range gives: answers that agree, and the parts of it that are left to search. */
function within(
  search: Search,
  range: Range,
  keep: Keep,
  limit: number,
): { readonly answers: readonly (Agreed | null)[]; readonly rest: readonly Range[] } {
  const { way, from, to } = range;
  const none = { answers: [], rest: [] };
  const needs = needsBetween(search, way, from, to);
  if (needs.length === 0) return none;
  const easiest = cheapest(search, range, keep, extremeOf(needs, 'easiest'), spanOf(search, needs, 'easiest'));
  if (easiest === null || easiest.cost >= limit * (1 - KEPT_COST)) return none;
  const agreed = agreedOf(search, way, easiest, keep);
  if (agreed !== null) return { answers: [agreed], rest: [] };
  const mended = mend(search, range, easiest, keep);
  if (to - from <= NARROWEST) {
    const hardest = cheapest(search, range, keep, extremeOf(needs, 'hardest'), spanOf(search, needs, 'hardest'));
    return { answers: [mended, hardest === null ? null : agreedOf(search, way, hardest, keep)], rest: [] };
  }
  const inner = (to - from) / 5;
  const at = Math.min(Math.max(densityOf(search, easiest), from + inner), to - inner);
  return {
    answers: [mended],
    rest: [
      { way, from, to: at, bound: easiest.cost },
      { way, from: at, to, bound: easiest.cost },
    ],
  };
}

/** Solved again on the needs of its own answer, a few times: most ranges soon agree. */
function mend(search: Search, range: Range, first: Mixture, keep: Keep): Agreed | null {
  let mixture = first;
  for (let turn = 0; turn < MENDING_TURNS; turn += 1) {
    const need = search.needOn(dietOf(search, mixture.kilograms));
    const next = need.ok ? cheapest(search, range, keep, need.value) : null;
    if (next === null) return null;
    const agreed = agreedOf(search, range.way, next, keep);
    if (agreed !== null) return agreed;
    mixture = next;
  }
  return null;
}

/** What holds for all diets of a range together. */
interface Span {
  /** The least that is predicted to be eaten, or for the hardest the most. */
  readonly fillKg: number;
  readonly microbeNeed: MicrobeNeed;
}

function spanOf({ candidates }: Search, needs: readonly RequirementSet[], which: 'easiest' | 'hardest'): Span {
  const intakes = needs.map((set) => set.dryMatterIntakeKgPerDay);
  return {
    fillKg: which === 'easiest' ? Math.min(...intakes) : Math.max(...intakes),
    microbeNeed: microbeNeedBetween(needs, digestibleBeside(candidates), which),
  };
}

function cheapest(search: Search, range: Range, keep: Keep, requirement: RequirementSet, span?: Span): Mixture | null {
  const { candidates, solve, cuts } = search;
  const { minDryMatterKg, ...others } = limitsOf(search, range.way, requirement, range);
  const { fillKg = requirement.dryMatterIntakeKgPerDay, microbeNeed } = span ?? {};
  const limits = {
    ...others,
    ...(microbeNeed === undefined ? {} : { microbeNeed }),
    ...(minDryMatterKg === undefined
      ? {}
      : { minDryMatterKg: (minDryMatterKg * fillKg) / requirement.dryMatterIntakeKgPerDay }),
  };
  return cheapestMixture({ limits, candidates, keep, ease: search.ease ?? 0 }, solve, cuts);
}

/** The mixture, if it keeps what is asked for on the needs of its own diet, with some of the margin to spare. */
function agreedOf(search: Search, way: SafeWay, mixture: Mixture, keep: Keep): Agreed | null {
  const need = search.needOn(dietOf(search, mixture.kilograms));
  if (!need.ok) return null;
  const limits = limitsOf(search, way, need.value, null, MARGIN / 2);
  return keepsRows({ limits, candidates: search.candidates, keep, ease: search.ease ?? 0 }, mixture.kilograms)
    ? { ...mixture, way, requirement: need.value }
    : null;
}

/**
 * The limits on needs. With a range: with a margin and the mixture held inside the range, as they are solved. Without
 * one: as an answer is checked.
 */
export function limitsOf(
  search: Search,
  way: SafeWay,
  requirement: RequirementSet,
  range: { readonly from: number; readonly to: number } | null,
  margin = range === null ? 0 : MARGIN,
): RationLimits {
  const { animal, wanted, waterSulfateMgPerL } = search;
  const { proteinSystem, minerals, intakeCapShare, wastedShare, shareBands, minLongStemKg, head, days } = wanted;
  const { intakeFloorShare } = wanted;
  const ofLightest = search.eatenInTheMean === true ? 1 : (requirement.leastIntakeShare ?? 1);
  const cap = intakeCapShare === null ? null : (intakeCapShare ?? 1) * ofLightest;
  const fiber = way.limits.maxFiberPercentOfWeight ?? FIBER_CAPACITY_PERCENT_OF_WEIGHT;
  return {
    ...way.limits,
    requirement: withMargin(requirement, margin),
    fullBodyWeightKg:
      search.eatenInTheMean === true ? animal.fullBodyWeightKg : (search.lightestKg ?? animal.fullBodyWeightKg),
    proteinSystem,
    minerals,
    intakeCapShare: cap === null ? null : cap * (1 - margin),
    ...(way.filledBy === null || intakeFloorShare === undefined
      ? {}
      : {
          filledByFiber: way.filledBy === 'fiber',
          minDryMatterKg: intakeFloorShare * FULL * (1 + margin) * requirement.dryMatterIntakeKgPerDay,
          ...(range === null && !eatsBeyondFiber(wanted) ? {} : filledByFiber(search, way, margin)),
        }),
    // Where fiber fills them, they eat no more than a share of what fiber allows.
    maxFiberPercentOfWeight: fiber * (1 - margin) * Math.min(1, intakeCapShare ?? 1),
    ...(way.limits.minDegradableShare === undefined
      ? {}
      : { minDegradableShare: way.limits.minDegradableShare * (1 + margin) }),
    sulfurFromWaterG:
      waterSulfateMgPerL === null
        ? 0
        : sulfurFromWater({
            waterLPerDay: requirement.mostWaterLPerDay ?? requirement.waterLPerDay,
            sulfateMgPerL: waterSulfateMgPerL,
          }).sulfurGPerDay,
    ...(range === null ? {} : { energyBand: { from: range.from - 1e-9, to: range.to + 1e-9 } }),
    ...(wastedShare === undefined ? {} : { wastedShare }),
    ...(shareBands === undefined ? {} : { shareBands }),
    ...(minLongStemKg === undefined ? {} : { minLongStemKg: minLongStemKg * (1 + margin) }),
    head,
    days,
  };
}

/**
 * Where their fiber fills them, the NDF that does, in place of the dry matter: what is predicted to be eaten moves with
 * the fiber of the mixture, and this does not. An answer is checked by its own predicted intake.
 */
export function filledByFiber(
  { animal, wanted: { intakeFloorShare = 0 } }: Search,
  { filledBy }: SafeWay,
  margin: number,
): Pick<RationLimits, 'minFiberKg'> {
  const full = (FIBER_CAPACITY_PERCENT_OF_WEIGHT * animal.fullBodyWeightKg) / 100;
  return filledBy === 'fiber' ? { minFiberKg: intakeFloorShare * FULL * (1 + margin) * full } : {};
}

function withMargin(requirement: RequirementSet, margin: number): RequirementSet {
  if (margin === 0) return requirement;
  const more = 1 + margin;
  return {
    ...requirement,
    netEnergyMaintenanceTotalMcalPerDay: requirement.netEnergyMaintenanceTotalMcalPerDay * more,
    netEnergyGainMcalPerDay: requirement.netEnergyGainMcalPerDay * more,
    metabolizableProteinGPerDay: requirement.metabolizableProteinGPerDay * more,
    crudeProteinGPerDay: requirement.crudeProteinGPerDay * more,
    minerals: byCode(MINERALS, (mineral) => requirement.minerals[mineral] * more),
  };
}

/** Needs on diets of a few densities of the range. */
function needsBetween({ needOn }: Search, { lowProtein }: SafeWay, from: number, to: number): RequirementSet[] {
  const steps = to > from ? SAMPLES : 0;
  return Array.from(
    { length: steps + 1 },
    (_none, step) => from + (to - from) * (steps === 0 ? 0 : step / steps),
  ).flatMap((netEnergyMaintenanceMcalPerKg) => {
    const need = needOn({ netEnergyMaintenanceMcalPerKg, ...(lowProtein ? { crudeProteinPercent: 6.9 } : {}) });
    return need.ok ? [need.value] : [];
  });
}

/** The least of each need and the most that is eaten, or the other way around. */
function extremeOf(sets: readonly RequirementSet[], which: 'easiest' | 'hardest'): RequirementSet {
  const [first] = sets;
  if (first === undefined) throw new RangeError('No needs to choose from');
  const [least, most] = which === 'easiest' ? [Math.min, Math.max] : [Math.max, Math.min];
  const of = (pick: (set: RequirementSet) => number, choose = least): number => choose(...sets.map(pick));
  return {
    ...first,
    dryMatterIntakeKgPerDay: of((set) => set.dryMatterIntakeKgPerDay, most),
    netEnergyMaintenanceTotalMcalPerDay: of((set) => set.netEnergyMaintenanceTotalMcalPerDay),
    netEnergyGainMcalPerDay: of((set) => set.netEnergyGainMcalPerDay),
    metabolizableProteinGPerDay: of((set) => set.metabolizableProteinGPerDay),
    crudeProteinGPerDay: of((set) => set.crudeProteinGPerDay),
    waterLPerDay: of((set) => set.waterLPerDay),
    ...(first.leastIntakeShare === undefined ? {} : { leastIntakeShare: of((set) => set.leastIntakeShare ?? 1, most) }),
    ...(first.mostWaterLPerDay === undefined
      ? {}
      : { mostWaterLPerDay: of((set) => set.mostWaterLPerDay ?? set.waterLPerDay) }),
    minerals: byCode(MINERALS, (mineral) => of((set) => set.minerals[mineral])),
  };
}

export function layersOf(candidates: readonly Candidate[], kilograms: readonly number[]): RationLayer[] {
  return candidates.flatMap(({ lot, role }, index) => {
    const asFedKgPerHeadPerDay = kilograms[index] ?? 0;
    return asFedKgPerHeadPerDay > 0 ? [{ role, lots: [{ lot, asFedKgPerHeadPerDay }] }] : [];
  });
}

/** Whether the asker lets them eat more fiber than they are predicted to hold. */
const eatsBeyondFiber = ({ maxFiberPercentOfWeight = 0 }: WantedRation): boolean =>
  maxFiberPercentOfWeight > FIBER_CAPACITY_PERCENT_OF_WEIGHT;

/** The diet of a mixture as the judge sees it; without its fiber where the asker lets them eat beyond it. */
export function dietOf({ candidates, wanted }: Search, kilograms: readonly number[]): DietContext {
  const { wastedShare = 0 } = wanted;
  const diet = dietContextOf(rationSupply({ layers: layersOf(candidates, kilograms), wastedShare }));
  if (!eatsBeyondFiber(wanted)) return diet;
  const { neutralDetergentFiberPercent: _fiber, ...rest } = diet;
  return rest;
}

function densityOf({ candidates, wanted }: Search, { kilograms }: Mixture): number {
  const supply = rationSupply({ layers: layersOf(candidates, kilograms), wastedShare: wanted.wastedShare ?? 0 });
  return supply.netEnergyMaintenanceMcalPerKg ?? 0;
}
