import type { TrialArm } from './trial-records.js';

/**
 * Designs in which a pen or herd is held against itself, or against its neighbor, instead of against herds that are
 * strange to it. Pens are the units.
 *
 * - `switchback`: every pen is fed both ways, in turn; half of the pens begin with each feeding.
 * - `stepped-start`: every pen begins on the usual feeding and goes over to the change at a time that is drawn for it.
 * - `blocked`: pens stand in blocks (a ranch, a barn, a row), and in each block every feeding is drawn for one pen.
 */
export type TrialDesign =
  | {
      readonly kind: 'switchback' | 'stepped-start';
      readonly periods: number;
      /** Days at the start of each period that count for feed and deaths, and for no gain. */
      readonly washoutDays: number;
    }
  | {
      readonly kind: 'blocked';
      readonly blocks: readonly { readonly name: string; readonly pens: readonly string[] }[];
    };

export type PeriodDesign = Extract<TrialDesign, { periods: number }>;

export function hasPeriods(design: TrialDesign | null | undefined): design is PeriodDesign {
  return design !== null && design !== undefined && design.kind !== 'blocked';
}

/** What a pen is fed in each period; one feeding where there are no periods. */
export interface PenFeedings {
  readonly penId: string;
  /** Null where pens stand in no blocks. */
  readonly block: string | null;
  readonly armIds: readonly string[];
}

/** One stretch of a trial. Days of the trial; the day after its last is the first of the next. */
export interface TrialPeriod {
  readonly number: number;
  readonly from: number;
  readonly until: number;
}

/** The periods of a trial; a design without periods has one, the whole trial. */
export function periodsOf(design: TrialDesign | null | undefined, lengthDays: number): TrialPeriod[] {
  const count = hasPeriods(design) ? design.periods : 1;
  const days = lengthDays / count;
  return Array.from({ length: count }, (_, index) => ({
    number: index + 1,
    from: Math.round(index * days),
    until: Math.round((index + 1) * days),
  }));
}

/** Days over which one feeding is held against another: one period, or the whole trial. */
export function daysOfOneFeeding(design: TrialDesign | null | undefined, lengthDays: number): number {
  return hasPeriods(design) ? lengthDays / design.periods : lengthDays;
}

/** Days over which one gain is measured: a period without its washout, or the whole trial. */
export function daysOfGain(design: TrialDesign | null | undefined, lengthDays: number): number {
  return daysOfOneFeeding(design, lengthDays) - (hasPeriods(design) ? design.washoutDays : 0);
}

/** What a pen is fed in a period that is counted from 1; its first feeding where there are no periods. */
export function feedingOf({ armIds }: Pick<PenFeedings, 'armIds'>, period: number): string {
  return armIds[Math.min(period, armIds.length) - 1] ?? '';
}

/**
 * The orders of feeding that pens are drawn into. In a switchback all pens change over together, so that each period
 * has both feedings; in a stepped start the first has the change from the second period on, the next from the third.
 */
export function ordersOf(design: PeriodDesign, arms: readonly Pick<TrialArm, 'id' | 'role'>[]): string[][] {
  const usual = arms.find((arm) => arm.role === 'usual')?.id ?? '';
  const change = arms.find((arm) => arm.role === 'change')?.id ?? '';
  const periods = Array.from({ length: design.periods }, (_, index) => index);
  if (design.kind === 'switchback')
    return [
      periods.map((period) => (period % 2 === 0 ? usual : change)),
      periods.map((period) => (period % 2 === 0 ? change : usual)),
    ];
  return periods.slice(1).map((step) => periods.map((period) => (period < step ? usual : change)));
}
