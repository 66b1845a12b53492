import { type AnimalResult, unitsOfArm, type UnitValue } from '../analysis-sets.js';
import type { ArmOutcome } from '../arm-outcome.js';
import { type ArmsCompared, compareArms } from '../compare-arms.js';
import { compareDesign } from '../compare-design.js';
import { designRows } from '../design-rows.js';
import type { TrialArm } from '../trial-records.js';
import { verdictOf } from '../verdict.js';
import type { SetJudged, TrialToJudge } from './judgement.js';
import type { SharedError } from './shared-error.js';

/** One change against the usual feeding, with all that its judgement reads. */
export interface Comparison {
  readonly trial: TrialToJudge;
  readonly usual: TrialArm;
  readonly change: TrialArm;
  readonly results: readonly AnimalResult[];
  readonly usualOutcome: ArmOutcome | undefined;
  readonly changeOutcome: ArmOutcome | undefined;
  readonly error: SharedError;
}

export interface SetCompared {
  readonly judged: SetJudged;
  readonly usualUnits: readonly UnitValue[];
  readonly changeUnits: readonly UnitValue[];
  /** Of the further arms of the trial. */
  readonly otherUnits: readonly (readonly UnitValue[])[];
}

/** Units of the arms that are neither of the two. */
function otherUnitsOf(
  { trial, usual, change }: Pick<Comparison, 'trial' | 'usual' | 'change'>,
  unitsOf: (arm: TrialArm) => UnitValue[],
): UnitValue[][] {
  return trial.arms.filter((arm) => arm.id !== usual.id && arm.id !== change.id).map(unitsOf);
}

/** Change less usual by the analysis of the trial, of any results: those of all animals, or of those that lived. */
export function comparedBy(
  comparison: Omit<Comparison, 'results'>,
  results: readonly AnimalResult[],
  set: SetJudged['set'],
): ArmsCompared | null {
  const { trial, usual, change, error } = comparison;
  const { confidence } = error;
  if (trial.designed)
    return compareDesign(
      designRows(trial.designed, results, set),
      { usualId: usual.id, changeId: change.id },
      confidence,
    );
  const unitsOf = (arm: TrialArm) => unitsOfArm({ results, armId: arm.id, unit: trial.unit, set });
  return compareArms({
    usual: unitsOf(usual),
    change: unitsOf(change),
    others: otherUnitsOf(comparison, unitsOf),
    method: trial.method,
    confidence,
  });
}

/** Compares the arms by all animals as drawn (intention to treat), or by those that followed the protocol. */
export function compareSet(comparison: Comparison, set: SetJudged['set']): SetCompared {
  const { trial, usual, change, results } = comparison;
  const unitsOf = (arm: TrialArm) => unitsOfArm({ results, armId: arm.id, unit: trial.unit, set });
  const [usualUnits, changeUnits] = [unitsOf(usual), unitsOf(change)];
  const otherUnits = otherUnitsOf(comparison, unitsOf);
  const compared = comparedBy(comparison, results, set);
  const head = (units: readonly UnitValue[]) => units.reduce((sum, unit) => sum + unit.head, 0);
  return {
    judged: {
      set,
      units: [
        { armId: usual.id, units: usualUnits.length, head: head(usualUnits) },
        { armId: change.id, units: changeUnits.length, head: head(changeUnits) },
      ],
      compared,
      verdict:
        compared === null
          ? null
          : verdictOf({
              lowKgPerDay: compared.primary.low,
              highKgPerDay: compared.primary.high,
              worthwhileKgPerDay: trial.worthwhileDifferenceKgPerDay,
            }),
    },
    usualUnits,
    changeUnits,
    otherUnits,
  };
}
