import { noncentralTCumulative, tQuantile } from './distributions.js';
import { type DesignLayout, designModel } from './design-analysis.js';
import { seededRandom } from './seeded-random.js';
import { hasPeriods, ordersOf, type TrialDesign } from './trial-design.js';
import type { TrialArm } from './trial-records.js';

export interface DesignPlanned {
  readonly design: TrialDesign;
  readonly arms: readonly Pick<TrialArm, 'id' | 'role'>[];
  readonly unitsPerArm: number;
  /** Of a pen's daily gain from period to period (or of a pen within its block), kilograms a day. */
  readonly sdWithin: number;
  /** Between pens fed alike over all periods (or between blocks). */
  readonly sdBetween: number;
  /** Two-sided, of one comparison. */
  readonly alpha: number;
  /** Share of pens that may be lost. */
  readonly lost: number;
}

/** Simulated trials of a plan: the standard error of a power of 80 % is then 1.3 points. */
export const SIMULATED_TRIALS = 1000;
const SEED = '20261130';
const MOST_UNITS = 60;
export const MOST_PERIODS = 12;

/** What a plan's pens are fed, as it would be drawn. */
export function plannedLayout({
  design,
  arms,
  unitsPerArm,
}: Pick<DesignPlanned, 'design' | 'arms' | 'unitsPerArm'>): DesignLayout[] {
  const pens = Array.from({ length: arms.length * unitsPerArm }, (_, index) => index);
  if (hasPeriods(design)) {
    const orders = ordersOf(design, arms);
    return pens.flatMap((pen) =>
      (orders[pen % orders.length] ?? []).map((armId, index, order) => ({
        group: `pen ${pen}`,
        period: index + 1,
        armId,
        before: order[index - 1] ?? null,
      })),
    );
  }
  return pens.map((pen) => ({
    group: `block ${Math.floor(pen / (design.blocks[0]?.pens.length ?? arms.length))}`,
    period: 1,
    armId: arms[pen % arms.length]?.id ?? '',
    before: null,
  }));
}

/** How far off each simulated answer was, and how far from zero it had to be to be seen. */
interface Simulated {
  readonly error: number;
  readonly reach: number;
}

/**
 * Trials of this plan drawn and judged by the very analysis that will judge it (see design-analysis.ts), without an
 * effect: an effect only moves the answer by itself, so one set of trials tells the power at any difference.
 */
function simulate(planned: DesignPlanned, trials: number): Simulated[] {
  const layout = plannedLayout(planned);
  const random = seededRandom({ seed: SEED });
  const ids = idsOf(planned.arms);
  const groups = [...new Set(layout.map((row) => row.group))];
  const unitOf = (row: number) => (hasPeriods(planned.design) ? (layout[row]?.group ?? '') : String(row));
  const units = [...new Set(layout.map((_, row) => unitOf(row)))];
  const prepared = new Map<string, ReturnType<typeof designModel>>();
  return Array.from({ length: trials }, () => {
    const gone = new Set(units.filter(() => planned.lost > 0 && random.nextUint32() / 2 ** 32 < planned.lost));
    const ofGroup = new Map(groups.map((group) => [group, planned.sdBetween * random.nextNormal()]));
    const gains = layout.map((row) => (ofGroup.get(row.group) ?? 0) + planned.sdWithin * random.nextNormal());
    const kept = layout.flatMap((_, row) => (gone.has(unitOf(row)) ? [] : [row]));
    const key = [...gone].join(' ');
    if (!prepared.has(key))
      prepared.set(
        key,
        designModel(
          layout.filter((_, row) => !gone.has(unitOf(row))),
          ids,
        ),
      );
    const fit = prepared.get(key)?.fit(kept.map((row) => gains[row] ?? 0));
    if (!fit) return { error: 0, reach: Number.POSITIVE_INFINITY };
    const critical = tQuantile({ p: 1 - planned.alpha / 2, degreesOfFreedom: fit.degreesOfFreedom });
    return { error: fit.coefficients[1] ?? 0, reach: critical * (fit.standardErrors[1] ?? Number.POSITIVE_INFINITY) };
  });
}

function idsOf(arms: DesignPlanned['arms']): { usualId: string; changeId: string } {
  return {
    usualId: arms.find((arm) => arm.role === 'usual')?.id ?? '',
    changeId: arms.find((arm) => arm.role === 'change')?.id ?? '',
  };
}

export interface DesignSight {
  /** Degrees of freedom of the comparison where no pen is lost. */
  readonly degreesOfFreedom: number;
  readonly powerAt: (difference: number) => number;
  /** Smallest difference that is seen with this power; null where too many trials have no answer. */
  readonly visible: (power: number) => number | null;
  /** Chance that two one-sided tests, each at alpha, show that there is no difference this large, if there is none. */
  readonly equivalence: (margin: number, alpha: number) => number;
}

/** Plans simulated lately: a plan is answered in two units, when it is saved, read and begun. */
const SEEN = new Map<string, Simulated[]>();
const MOST_SEEN = 100;

function simulatedOnce(planned: DesignPlanned, trials: number): Simulated[] {
  const key = JSON.stringify([planned, trials]);
  const known = SEEN.get(key);
  if (known !== undefined) return known;
  const found = simulate(planned, trials);
  if (SEEN.size >= MOST_SEEN) SEEN.clear();
  SEEN.set(key, found);
  return found;
}

/** What a design can see, by simulation; null where it leaves no degree of freedom. Kilograms a day. */
export function sightOfDesign(planned: DesignPlanned, trials = SIMULATED_TRIALS): DesignSight | null {
  const model = designModel(plannedLayout(planned), idsOf(planned.arms));
  if (model === null) return null;
  const { degreesOfFreedom } = model;
  const found = simulatedOnce(planned, trials);
  // The reach is of this alpha; another one-sided alpha has another critical value on the same standard error.
  const critical = (p: number) => tQuantile({ p, degreesOfFreedom });
  return {
    degreesOfFreedom,
    powerAt: (difference) =>
      found.filter(({ error, reach }) => Math.abs(difference + error) > reach).length / found.length,
    visible: (power) => {
      const needed = found.map(({ error, reach }) => reach - error).sort((one, other) => one - other);
      const at = needed[Math.ceil(power * needed.length) - 1] ?? Number.POSITIVE_INFINITY;
      return Number.isFinite(at) ? Math.max(at, 0) : null;
    },
    equivalence: (margin, alpha) =>
      found.filter(
        ({ error, reach }) =>
          Math.abs(error) + (reach * critical(1 - alpha)) / critical(1 - planned.alpha / 2) < margin,
      ).length / found.length,
  };
}

/**
 * Power by the noncentral t, with the spreads taken as known for the weights: exact for complete switchbacks and
 * blocks, and close for a stepped start. It finds how many pens or periods to try.
 */
export function powerByNoncentralT(planned: DesignPlanned, difference: number): number {
  const layout = plannedLayout(planned);
  const model = designModel(layout, idsOf(planned.arms));
  if (model === null) return 0;
  const { degreesOfFreedom } = model;
  const standardError = planned.sdWithin * model.errorPerSd(1, (planned.sdBetween / planned.sdWithin) ** 2);
  const t = tQuantile({ p: 1 - planned.alpha / 2, degreesOfFreedom });
  const given = { degreesOfFreedom, noncentrality: Math.abs(difference) / standardError };
  return 1 - noncentralTCumulative({ t, ...given }) + noncentralTCumulative({ t: -t, ...given });
}

/** Fewest pens an arm (blocks, where pens stand in blocks) for a difference; null where no number kept will do. */
export function unitsForDesign(planned: DesignPlanned, difference: number, power: number): number | null {
  for (let unitsPerArm = 1; unitsPerArm <= MOST_UNITS; unitsPerArm += unitsPerArm < 12 ? 1 : 4)
    if (powerByNoncentralT({ ...planned, unitsPerArm }, difference) * (1 - planned.lost) >= power) return unitsPerArm;
  return null;
}

/** Fewest periods with the pens of the plan; null without periods, or where the most will not do. */
export function periodsForDesign(planned: DesignPlanned, difference: number, power: number): number | null {
  const { design } = planned;
  if (!hasPeriods(design)) return null;
  for (let periods = 2; periods <= MOST_PERIODS; periods += 1)
    if (powerByNoncentralT({ ...planned, design: { ...design, periods } }, difference) >= power) return periods;
  return null;
}
