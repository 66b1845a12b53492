import type { AnimalResult } from '../analysis-sets.js';
import { exactDeathsDifference, type DeathsDifference } from '../deaths-difference.js';
import { describe } from '../descriptive.js';
import { daysOfOneFeeding } from '../trial-design.js';
import type { ArmPerHead, GainAndDeaths } from '../per-head-started.js';
import type { TrialArm } from '../trial-records.js';
import { type Comparison, comparedBy } from './comparison.js';

/** Null where an arm had no head. */
export function deathsOf({ results, usual, change, error }: Comparison): DeathsDifference | null {
  const of = (arm: TrialArm) => {
    const drawn = drawnInto(results, arm);
    return { died: drawn.filter((result) => result.died).length, started: drawn.length };
  };
  const arms = { usual: of(usual), change: of(change) };
  if (arms.usual.started === 0 || arms.change.started === 0) return null;
  return exactDeathsDifference({ ...arms, confidence: error.separateConfidence });
}

/** The gain of those that lived, by the method of the plan, beside the deaths; null where too few lived to compare. */
export function gainAndDeaths(comparison: Comparison): GainAndDeaths | null {
  const { trial, usual, change, results } = comparison;
  const lived = results.filter((result) => !result.died);
  const compared = comparedBy(comparison, lived, 'as-drawn');
  const starts = [usual, change]
    .flatMap((arm) => drawnInto(results, arm))
    .flatMap(({ startWeightKg }) => (startWeightKg === null ? [] : [startWeightKg]));
  if (compared === null || starts.length === 0) return null;
  const armOf = (arm: TrialArm): ArmPerHead => {
    const drawn = drawnInto(results, arm);
    const gains = drawnInto(lived, arm).flatMap(({ gainKgPerDay }) => (gainKgPerDay === null ? [] : [gainKgPerDay]));
    return {
      died: drawn.filter((result) => result.died).length,
      started: drawn.length,
      shareByPen: trial.unit === 'pen' ? sharesByPen(drawn) : null,
      meanGainKgPerDay: describe(gains).mean,
    };
  };
  return {
    gain: compared.primary,
    usual: armOf(usual),
    change: armOf(change),
    startWeightKg: describe(starts).mean,
    days: daysOfOneFeeding(trial.designed?.design, trial.protocol.lengthDays),
  };
}

function drawnInto(results: readonly AnimalResult[], arm: TrialArm): AnimalResult[] {
  return results.filter((result) => result.armId === arm.id);
}

function sharesByPen(drawn: readonly AnimalResult[]): number[] {
  const penOf = ({ penId, animalId }: AnimalResult) => penId ?? animalId;
  return [...new Set(drawn.map(penOf))].map((pen) => {
    const members = drawn.filter((result) => penOf(result) === pen);
    return members.filter((member) => member.died).length / members.length;
  });
}
