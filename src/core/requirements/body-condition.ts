/** Share of its weight at score 5 that a cow gains or loses per score. Source: NRC 2000 (6.85 %, from memory). */
export const WEIGHT_SHARE_PER_SCORE = 0.0685;
/** A megacalorie of mobilised reserves replaces 0.8 Mcal of dietary NEm; reserves are laid down 1:1 from NEm. Source: NRC 2000 (from memory). */
export const MOBILISED_RESERVE_VALUE_AS_NEM = 0.8;

function requireScore(score: number): void {
  if (!(score >= 1 && score <= 9)) throw new RangeError(`Body condition goes from 1 to 9, was ${score}`);
}

/** Shrunk weight at another score: weight at 5 · (1 + 0.0685·(score − 5)). Source: NRC 2000 (from memory). @throws RangeError if a score is not 1 to 9. */
export function nrc2000WeightAtCondition({ shrunkBodyWeightKg, bodyConditionScore, targetScore }: {
  shrunkBodyWeightKg: number;
  bodyConditionScore: number;
  targetScore: number;
}): { shrunkBodyWeightKg: number; weightAtScore5Kg: number } {
  requireScore(bodyConditionScore);
  requireScore(targetScore);
  const weightAtScore5Kg = shrunkBodyWeightKg / (1 + WEIGHT_SHARE_PER_SCORE * (bodyConditionScore - 5));
  return { weightAtScore5Kg, shrunkBodyWeightKg: weightAtScore5Kg * (1 + WEIGHT_SHARE_PER_SCORE * (targetScore - 5)) };
}

/**
 * Energy in the body, Mcal: 9.4·fat + 5.7·protein (kg), fat = 0.03768·BCS and protein = 0.2009 − 0.00668·BCS of empty weight,
 * empty weight = 0.851·shrunk weight. Source: NRC 2000, chapter 3 body reserves (from memory). @throws RangeError if the score is not 1 to 9.
 */
export function nrc2000BodyEnergy({ shrunkBodyWeightKg, bodyConditionScore }: { shrunkBodyWeightKg: number; bodyConditionScore: number }): {
  bodyEnergyMcal: number;
  fatKg: number;
  proteinKg: number;
  emptyBodyWeightKg: number;
} {
  requireScore(bodyConditionScore);
  const emptyBodyWeightKg = 0.851 * shrunkBodyWeightKg;
  const fatKg = 0.03768 * bodyConditionScore * emptyBodyWeightKg;
  const proteinKg = (0.2009 - 0.00668 * bodyConditionScore) * emptyBodyWeightKg;
  return { bodyEnergyMcal: 9.4 * fatKg + 5.7 * proteinKg, fatKg, proteinKg, emptyBodyWeightKg };
}

/** Energy between two scores of the same cow, Mcal, positive when the target is fatter. Source: see `nrc2000BodyEnergy`. */
export function nrc2000ReserveEnergy({ shrunkBodyWeightKg, bodyConditionScore, targetScore }: {
  shrunkBodyWeightKg: number;
  bodyConditionScore: number;
  targetScore: number;
}): { energyMcal: number; weightChangeKg: number; dietaryNetEnergyMcal: number } {
  const target = nrc2000WeightAtCondition({ shrunkBodyWeightKg, bodyConditionScore, targetScore });
  const energyMcal =
    nrc2000BodyEnergy({ shrunkBodyWeightKg: target.shrunkBodyWeightKg, bodyConditionScore: targetScore }).bodyEnergyMcal -
    nrc2000BodyEnergy({ shrunkBodyWeightKg, bodyConditionScore }).bodyEnergyMcal;
  return {
    energyMcal,
    weightChangeKg: target.shrunkBodyWeightKg - shrunkBodyWeightKg,
    dietaryNetEnergyMcal: energyMcal < 0 ? energyMcal * MOBILISED_RESERVE_VALUE_AS_NEM : energyMcal,
  };
}

/**
 * Days until a cow gains or loses one condition score on an NEm balance (supply less need, Mcal/d). `null` at a balance of zero, or
 * when the score is already at the end of the scale.
 * Source: NRC 2000 energy reserves (from memory).
 */
export function daysToChangeOneScore({ shrunkBodyWeightKg, bodyConditionScore, netEnergyBalanceMcalPerDay }: {
  shrunkBodyWeightKg: number;
  bodyConditionScore: number;
  netEnergyBalanceMcalPerDay: number;
}): { days: number | null; direction: 'gain' | 'loss' | 'steady'; dietaryNetEnergyMcal: number } {
  if (netEnergyBalanceMcalPerDay === 0) return { days: null, direction: 'steady', dietaryNetEnergyMcal: 0 };
  const direction = netEnergyBalanceMcalPerDay > 0 ? 'gain' : 'loss';
  const targetScore = bodyConditionScore + (direction === 'gain' ? 1 : -1);
  if (targetScore < 1 || targetScore > 9) return { days: null, direction, dietaryNetEnergyMcal: 0 };
  const { dietaryNetEnergyMcal } = nrc2000ReserveEnergy({ shrunkBodyWeightKg, bodyConditionScore, targetScore });
  return { days: dietaryNetEnergyMcal / netEnergyBalanceMcalPerDay, direction, dietaryNetEnergyMcal };
}
