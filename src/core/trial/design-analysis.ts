import { OneRandomFactor } from './one-random-factor.js';
import { differenceWithInterval, type Difference } from './two-sample.js';

/** The daily gain of one pen in one period on one feeding. */
export interface DesignRow {
  readonly penId: string;
  /** What the random part stands for: the pen where pens are fed both ways, its block where pens stand in blocks. */
  readonly group: string;
  readonly period: number;
  readonly armId: string;
  /** What the pen was fed in the period before; null in the first. */
  readonly before: string | null;
  readonly head: number;
  readonly startWeightKg: number;
  readonly gainKgPerDay: number;
}

export type DesignLayout = Pick<DesignRow, 'group' | 'period' | 'armId' | 'before'>;

export interface DesignAnswer {
  readonly difference: Difference;
  readonly betweenSdKgPerDay: number;
  readonly residualSdKgPerDay: number;
  readonly residuals: readonly number[];
  /** Null where what lingers cannot be told from the feeding and the periods. */
  readonly carryOver: CarryOver | null;
}

/** What the feeding of the period before still does to the gain of this one. Kilograms a day. */
export interface CarryOver {
  /** Gain after the change less gain after the usual feeding, the feeding of the period itself being equal. */
  readonly effect: Difference;
  /** The difference between the feedings with what lingers allowed for. */
  readonly allowedFor: Difference;
}

interface ModelAsked {
  readonly usualId: string;
  readonly changeId: string;
  readonly carryOver?: boolean;
}

/** Layouts prepared lately: a plan and a judgement ask for the same ones again and again. */
const PREPARED = new Map<string, OneRandomFactor | null>();
const MOST_PREPARED = 200;

/** Prepares the fit of a layout; null where it cannot tell the feedings apart. */
export function designModel(layout: readonly DesignLayout[], asked: ModelAsked): OneRandomFactor | null {
  const rows = layout.map(({ group, period, armId, before }) => [group, period, armId, before]);
  const key = JSON.stringify([asked.usualId, asked.changeId, asked.carryOver ?? false, rows]);
  const known = PREPARED.get(key);
  if (known !== undefined) return known;
  const prepared = prepare(layout, asked);
  if (PREPARED.size >= MOST_PREPARED) PREPARED.clear();
  PREPARED.set(key, prepared);
  return prepared;
}

function prepare(
  layout: readonly DesignLayout[],
  { usualId, changeId, carryOver = false }: ModelAsked,
): OneRandomFactor | null {
  if (layout.length === 0) return null;
  const [, ...laterPeriods] = [...new Set(layout.map((row) => row.period))].sort((one, other) => one - other);
  const others = [...new Set(layout.map((row) => row.armId))].filter((id) => id !== usualId && id !== changeId);
  const indicator = (is: (row: DesignLayout) => boolean) => layout.map((row) => (is(row) ? 1 : 0));
  const columns = [
    layout.map(() => 1),
    indicator((row) => row.armId === changeId),
    ...(carryOver ? [indicator((row) => row.before === changeId)] : []),
    ...others.map((id) => indicator((row) => row.armId === id)),
    ...laterPeriods.map((period) => indicator((row) => row.period === period)),
  ];
  const groups = layout.map((row) => row.group);
  const ofInterest = (index: number) => OneRandomFactor.of({ columns, groups, ofInterest: index });
  return carryOver && ofInterest(2) === null ? null : ofInterest(1);
}

/**
 * Change less usual feeding in a design with periods or blocks: daily gain = feeding + period + pen (or block) + rest,
 * pen or block at random, by REML with degrees of freedom by containment (see one-random-factor.ts). The usual model of
 * crossovers and of a stepped start: Jones and Kenward 2014, Design and Analysis of Cross-Over Trials, 3rd ed., chapter
 * 5; Hussey and Hughes 2007, Contemporary Clinical Trials 28:182-191 (both from memory). What lingers is one more
 * fixed effect, of the feeding of the period before (Jones and Kenward 2014, 5.1).
 * @returns null where the rows cannot tell the feedings apart: too few periods, pens or blocks.
 */
export function analyzeDesign(
  rows: readonly DesignRow[],
  arms: { usualId: string; changeId: string },
  confidence: number,
): DesignAnswer | null {
  const model = designModel(rows, arms);
  if (model === null) return null;
  const gains = rows.map((row) => row.gainKgPerDay);
  const fit = model.fit(gains);
  const told = (from: typeof fit, index: number) =>
    differenceWithInterval({
      method: 'mixed-model',
      difference: from.coefficients[index] ?? Number.NaN,
      standardError: from.standardErrors[index] ?? Number.NaN,
      degreesOfFreedom: from.degreesOfFreedom,
      confidence,
    });
  const lingering = rows.some((row) => row.before !== null) ? designModel(rows, { ...arms, carryOver: true }) : null;
  const withCarryOver = lingering?.fit(gains) ?? null;
  return {
    difference: told(fit, 1),
    betweenSdKgPerDay: Math.sqrt(fit.betweenVariance),
    residualSdKgPerDay: Math.sqrt(fit.residualVariance),
    residuals: fit.residuals,
    carryOver: withCarryOver === null ? null : { effect: told(withCarryOver, 2), allowedFor: told(withCarryOver, 1) },
  };
}
