import { type Outcome, refused, succeeded } from '../outcome/outcome.js';
import { requirementsForHerd, type HerdPart } from '../requirements/requirements-for-herd.js';
import type { AnimalDescription, DietContext, RequirementConditions } from '../requirements/requirement-set.js';
import { COW_INTAKE_READS_LOW } from './intake-correction.data.js';

/** What the average animal of a herd eats in a day, for planning hay. */
export interface BudgetIntake {
  readonly dryMatterKgPerDay: number;
  /** As the judge predicts it, before the correction and with what fiber allows. */
  readonly predictedKgPerDay: number;
  /** What the correction raises: as predicted, without what fiber allows to the cows that are corrected. */
  readonly beforeKgPerDay: number;
  /** Shares of the herd whose intake is corrected as dry cows and as cows in milk, 0 to 1. */
  readonly corrected: { readonly dry: number; readonly lactating: number };
}

export interface BudgetIntakeConditions extends RequirementConditions {
  readonly diet: DietContext;
}

/**
 * Dry matter that the average animal of a herd eats in a day on a hay: each part of the herd as the requirement
 * equations predict, with cows corrected for how far the equation is known to read low (`COW_INTAKE_READS_LOW`).
 *
 * Fiber does not cap the corrected intake: the 1.2 % of body weight in fiber is a dairy figure (Mertens 1987), and
 * the cows that the correction comes from ate 2.1 % of their weight of forage with NEm 1.26 Mcal/kg, which is more
 * than it allows. Protein below 7 % of dry matter does, and then the uncorrected figure is used: the source left such
 * hay out.
 */
export function budgetIntake(parts: readonly HerdPart[], conditions: BudgetIntakeConditions): Outcome<BudgetIntake> {
  const herd = requirementsForHerd(parts, conditions);
  if (!herd.ok) return herd;
  // A hay of unknown energy gets the energy that the judge settled on, the same for every part of the herd.
  const diet = conditions.diet.netEnergyMaintenanceMcalPerKg === undefined ? herd.value.diet : {};
  const settled = { ...conditions, diet: { ...conditions.diet, ...withoutOrigin(diet) } };
  let dryMatterKgPerDay = 0;
  let beforeKgPerDay = 0;
  const corrected = { dry: 0, lactating: 0 };
  const whole = parts.reduce((sum, { share }) => sum + share, 0);
  for (const { share, animal } of parts) {
    const eaten = eatenBy(animal, settled);
    if (!eaten.ok) return refused(eaten.problems);
    const { kg, as } = eaten.value;
    beforeKgPerDay += (share / whole) * kg;
    dryMatterKgPerDay += (share / whole) * (as === null ? kg : kg / (1 - COW_INTAKE_READS_LOW[as].percent / 100));
    if (as !== null) corrected[as] += share / whole;
  }
  const predictedKgPerDay = herd.value.dryMatterIntakeKgPerDay;
  return succeeded({ dryMatterKgPerDay, predictedKgPerDay, beforeKgPerDay, corrected });
}

function withoutOrigin({ origin: _, ...diet }: DietContext & { readonly origin?: string }): DietContext {
  return diet;
}

/** As predicted, and as what kind of cow it is to be corrected. */
function eatenBy(
  animal: AnimalDescription,
  conditions: BudgetIntakeConditions,
): Outcome<{ kg: number; as: 'dry' | 'lactating' | null }> {
  const { neutralDetergentFiberPercent: _, ...withoutFiber } = conditions.diet;
  const free = requirementsForHerd([{ share: 1, animal }], { ...conditions, diet: withoutFiber });
  if (!free.ok) return free;
  if (free.value.notes.some((note) => note.code === 'cow-intake-reads-low')) {
    const as = free.value.milkKgPerDay > 0 ? 'lactating' : 'dry';
    return succeeded({ kg: free.value.dryMatterIntakeKgPerDay, as });
  }
  const judged = requirementsForHerd([{ share: 1, animal }], conditions);
  return judged.ok ? succeeded({ kg: judged.value.dryMatterIntakeKgPerDay, as: null }) : judged;
}

/** A herd is looked at every so many days: calving and growth change it week by week. */
const EVERY_DAYS = 7;

/** The days that represent a span [from, until): the middle of each of its weeks. */
export function sampledDays(days: number): number[] {
  const count = Math.max(1, Math.round(days / EVERY_DAYS));
  return Array.from({ length: count }, (_, index) => Math.floor(((index + 0.5) * days) / count));
}
