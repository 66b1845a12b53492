import { counted, noun } from '../units/counted.js';
import {
  type DesignPlanned,
  type DesignSight,
  periodsForDesign,
  SIMULATED_TRIALS,
  sightOfDesign,
  unitsForDesign,
} from './design-power.js';
import type { PowerCurvePoint } from './power.js';
import type { PlannedSpread, TrialPlanRequest } from './plan-trial.js';
import { daysOfGain, daysOfOneFeeding, hasPeriods, type TrialDesign } from './trial-design.js';
import { percent, roundedUp, shown } from './words.js';

/** What a plan with periods or blocks promises. Differences in kilograms a day. */
export interface DesignPromised {
  readonly kind: TrialDesign['kind'];
  /** Of the comparison, where no pen is lost. */
  readonly degreesOfFreedom: number;
  readonly simulatedTrials: number;
  /** Periods that would show the hoped difference with the pens of the plan; null without periods or where none do. */
  readonly periodsForHopedDifference: number | null;
}

/** What the plan sees, in the same terms as arms side by side, and what is its own. */
export interface DesignFound {
  readonly promised: DesignPromised;
  readonly visible: number | null;
  readonly powerAtHoped: number;
  readonly needed: number | null;
  readonly curve: readonly PowerCurvePoint[];
  readonly equivalence: { readonly power: number | null; readonly unitsPerArm: number | null } | null;
}

/** Pens an arm (or blocks) for which the smallest visible difference is shown. */
const CURVE_UNITS = [1, 2, 3, 4, 6, 8];
/** The curve is a picture: fewer trials do for each of its points. */
const TRIALS_OF_CURVE = 200;

/**
 * What a design with periods or blocks can see, by simulated trials that are judged as the trial will be (see
 * design-power.ts). What sets a pen apart for the whole trial falls out; as nothing tells how much of what sets pens
 * apart stays the same from period to period, all of it counts against the plan as well.
 * @returns null where the design leaves no degree of freedom (`problemsOfPlan` refuses that first).
 */
export function planDesign(
  request: TrialPlanRequest,
  { sd, alpha, lost, power }: { sd: PlannedSpread; alpha: number; lost: number; power: number },
): DesignFound | null {
  const { design = null, arms, unitsPerArm, hopedDifferenceKgPerDay: hoped } = request;
  if (design === null) return null;
  const planned: DesignPlanned = {
    design,
    arms,
    unitsPerArm,
    sdWithin: sd.unitKgPerDay,
    sdBetween: sd.penKgPerDay,
    alpha,
    lost,
  };
  const sight = sightOfDesign(planned);
  if (sight === null) return null;
  const needed = unitsForDesign(planned, hoped, power);
  return {
    promised: {
      kind: design.kind,
      degreesOfFreedom: sight.degreesOfFreedom,
      simulatedTrials: SIMULATED_TRIALS,
      periodsForHopedDifference: periodsForDesign(planned, hoped, power),
    },
    visible: sight.visible(power),
    powerAtHoped: sight.powerAt(hoped),
    needed,
    curve: curveOf(planned, sight, power),
    equivalence: request.equivalence === true ? { power: sight.equivalence(hoped, alpha), unitsPerArm: null } : null,
  };
}

function curveOf(planned: DesignPlanned, sight: DesignSight, power: number): PowerCurvePoint[] {
  const units = [...new Set([...CURVE_UNITS, planned.unitsPerArm])].sort((one, other) => one - other);
  return units.flatMap((perArm) => {
    const seen =
      perArm === planned.unitsPerArm ? sight : sightOfDesign({ ...planned, unitsPerArm: perArm }, TRIALS_OF_CURVE);
    const smallestVisibleDifference = seen?.visible(power) ?? null;
    return smallestVisibleDifference === null ? [] : [{ perArm, smallestVisibleDifference }];
  });
}

export function designPlanInWords(request: TrialPlanRequest, found: DesignFound, power: number): string[] {
  const { design = null, unitsPerArm, arms, lengthDays, wordsIn: toldIn } = request;
  if (design === null) return [];
  const up = (kg: number) => `${roundedUp(shown(kg, toldIn), 2)} ${toldIn} a day`;
  const hoped = `${shown(request.hopedDifferenceKgPerDay, toldIn).toFixed(2)} ${toldIn} a day`;
  const pens = arms.length * unitsPerArm;
  const how = hasPeriods(design)
    ? `${counted(pens, 'pen or herd', 'pens or herds')} in ${design.periods} periods of ` +
      `${daysOfOneFeeding(design, lengthDays)} days (gain over the last ${daysOfGain(design, lengthDays)} of each)`
    : `${counted(pens, 'pen or herd', 'pens or herds')} in ${counted(design.blocks.length, 'block')}`;
  return [
    found.visible === null
      ? `So many pens may be lost that no difference would be seen in ${percent(power)} of such trials.`
      : `With ${how}, a true difference of ${up(found.visible)} or more would be seen in at least ${percent(power)} ` +
        'of such trials. Smaller differences will mostly be missed, even if they are there.',
    `A true difference of ${hoped} would be seen in ${percent(Math.floor(found.powerAtHoped * 100) / 100)} of such ` +
      `trials: ${found.promised.simulatedTrials} were drawn and each was judged as this one will be.`,
    whatItTakes(design, found, { hoped, power, pens, arms: arms.length }),
    `The comparison has ${counted(found.promised.degreesOfFreedom, 'degree')} of freedom ` +
      `(${noun(found.promised.degreesOfFreedom, 'it stands', 'they stand')} for what is left to tell feeding from ` +
      'chance; with fewer than five the interval is wide).',
  ];
}

function whatItTakes(
  design: TrialDesign,
  { needed, promised }: DesignFound,
  { hoped, power, pens, arms }: { hoped: string; power: number; pens: number; arms: number },
): string {
  const inPens =
    needed === null
      ? 'no number of pens that can be kept would do'
      : hasPeriods(design)
        ? `it takes ${needed * arms} pens or herds in as many periods`
        : `it takes ${needed} pens or herds on each feeding, each beside a neighbor on the other`;
  const inPeriods =
    promised.periodsForHopedDifference === null
      ? ''
      : `, or ${promised.periodsForHopedDifference} periods with ${counted(pens, 'pen or herd', 'pens or herds')}`;
  return `To see ${hoped} in ${percent(power)} of such trials ${inPens}${inPeriods}.`;
}
