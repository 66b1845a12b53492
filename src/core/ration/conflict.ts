import type { DietContext, Outcome, RequirementSet } from '../requirements/requirement-set.js';
import { DIET_LIMITS } from '../requirements/animal-limits.data.js';
import { succeeded } from '../outcome/outcome.js';
import { type Agreed, cheapestAgreed, dietOf, limitsOf, MARGIN, type Search } from './agreed-ration.js';
import { LEAST_LAID, leastWords, settledBy, tooLittleLaid } from './laid-shares.js';
import type { Keep } from './mixture.js';
import { nobodyAsked, type RationRow } from './ration-row.js';
import { rationRows } from './ration-rows.js';
import { type ConflictingRow, leastMiss, violationIn } from './solve.js';

/** Ranges of energy density that are looked at for each question of a conflict. */
const RANGES = 60;
/** Shares that the demands are eased by, to name what is missed by much before what is missed by a hair. */
const EASED = [0.3, 0.2, 0.1, 0.03, 0.01, 0.003, 0] as const;
/** A demand that is missed by less than this share of it is kept: rounding, and no reason. */
const ROUNDING = 1e-4;

/**
 * The smallest set of demands that conflict, by a deletion filter (Chinneck & Dravnieks 1991, ORSA J. Computing
 * 3:157-168): a demand is left out for good if the rest still conflict; what remains needs every one of its rows.
 * Demands conflict in many ways, and who reads of a gram that is missing does not learn of the pound: so the filter
 * looks at the demands as much easier as they can be and still conflict. Then each alone is relaxed, to find by how
 * much it must be missed.
 */
export function conflictOf(asked: Search, requirement: RequirementSet): ConflictingRow[] {
  const search = { ...asked, needOn: onAnyDiet(asked, requirement) };
  const demands = demandsOf(search, requirement);
  const all = demands.map(({ key }) => key);
  const keepOf = (keys: readonly string[]) => (key: string) => keys.includes(key) || nobodyAsked(key);
  const possible = (keys: readonly string[], ease: number): Agreed | null =>
    cheapestAgreed({ ...search, ease }, { keep: keepOf(keys), ranges: RANGES, anyWillDo: true });
  const ease = EASED.find((share) => possible(all, share) === null) ?? 0;
  let left = all;
  for (const key of all) {
    const without = left.filter((each) => each !== key);
    if (possible(without, ease) === null) left = without;
  }
  return left.flatMap((key): ConflictingRow[] => {
    const row = demands.find((each) => each.key === key);
    if (row === undefined) return [];
    const others = left.filter((each) => each !== key);
    const instead = possible(others, 0) ?? possible(others, ease);
    const missesBy = instead === null ? null : missedIn(search, instead, key, keepOf(left));
    return [{ row: key, words: row.words, unit: row.unit, missesBy, asks: row.lower !== null }];
  });
}

/**
 * What is needed on diets that nobody would feed and the equations do not carry, such as mineral alone: as on the
 * nearest that they carry. Without a need, demands that could well be met would seem to conflict.
 */
function onAnyDiet({ needOn }: Search, requirement: RequirementSet): (diet: DietContext) => Outcome<RequirementSet> {
  return (diet) => {
    const need = needOn(diet);
    if (need.ok) return need;
    const nearest = needOn(withinLimits(diet));
    return nearest.ok ? nearest : succeeded(requirement);
  };
}

function withinLimits(diet: DietContext): DietContext {
  const moved: Record<string, number> = {};
  for (const [field, [least, most]] of Object.entries(DIET_LIMITS)) {
    const figure = diet[field as keyof typeof DIET_LIMITS];
    if (typeof figure === 'number') moved[field] = Math.min(Math.max(figure, least), most);
  }
  return { ...diet, ...moved };
}

type Demand = Pick<RationRow, 'key' | 'words' | 'unit' | 'lower' | 'upper'>;

/** Asks for a proportion of the mixture, whatever its amount. */
const isProportion = ({ key, lower, upper }: Demand): boolean => key === 'degradable-protein' || (lower ?? upper) === 0;

/**
 * In the order in which they are left out: proportions first, so that a conflict is told by the needs and by what can
 * be eaten where both tell it.
 */
function demandsOf(search: Search, requirement: RequirementSet): Demand[] {
  const rows = search.ways.flatMap((way) =>
    rationRows({
      limits: limitsOf(search, way, requirement, null),
      candidates: search.candidates,
      feedForMaintenanceShare: 0.5,
    }),
  );
  const least = { key: LEAST_LAID, ...leastWords(search.candidates), unit: 'kg', lower: 0, upper: null };
  const asked = rows.filter(({ key }) => !nobodyAsked(key));
  const demands = [...new Map<string, Demand>([least, ...asked].map((row) => [row.key, row])).values()];
  return [...demands.filter(isProportion), ...demands.filter((one) => !isProportion(one))];
}

/**
 * By how much a demand of a conflict is missed where the others are kept, on the needs of the mixture that keeps them.
 * Needs move with the mixture: where another mixture would keep all on those needs and does not on its own, the
 * mixture is held.
 */
function missedIn({ candidates, ...search }: Search, instead: Agreed, key: string, keep: Keep): number | null {
  if (key === LEAST_LAID) return tooLittleLaid(candidates, instead.kilograms);
  const all = { ...search, candidates };
  // A hair easier than was found, so that the others are kept for certain.
  const limits = limitsOf(all, instead.way, instead.requirement, null, -MARGIN / 10);
  const attempt = {
    limits,
    candidates: keep(LEAST_LAID) ? settledBy(candidates, instead.kilograms) : candidates,
    solve: search.solve,
    keep: (each: { readonly key: string }) => keep(each.key),
  };
  const isMissed = (by: number | null): boolean =>
    by !== null && by > ROUNDING * Math.max(1e-3, Math.abs(violationIn(attempt, key, []) ?? 0));
  const free = leastMiss(attempt, key);
  if (free === null || isMissed(free)) return free;
  const at = dietOf(all, instead.kilograms).netEnergyMaintenanceMcalPerKg ?? 0;
  const energyBand = { from: at * (1 - MARGIN), to: at * (1 + MARGIN) };
  const held = leastMiss({ ...attempt, limits: { ...limits, energyBand } }, key);
  return isMissed(held) ? held : violationIn(attempt, key, instead.kilograms);
}
