/**
 * Composition of the empty body at a condition score: fat 0.037683·BCS, protein 0.200886 − 0.0066762·BCS, ash
 * 0.078982 − 0.00438·BCS. Source: NRC 2000, chapter 3 body reserves (from memory; the printed table of fat by score
 * and the table of energy reserves by weight and score are reproduced to the last digit, read at the University of
 * Nebraska and in a reprint of NRC 2000).
 */
export function nrc2000BodyComposition({ bodyConditionScore }: { bodyConditionScore: number }): {
  fatShare: number;
  proteinShare: number;
  ashShare: number;
} {
  requireScore(bodyConditionScore);
  return {
    fatShare: 0.037683 * bodyConditionScore,
    proteinShare: 0.200886 - 0.0066762 * bodyConditionScore,
    ashShare: 0.078982 - 0.00438 * bodyConditionScore,
  };
}

/**
 * A megacalorie of mobilized reserves replaces 0.8 Mcal of dietary NEm; reserves are laid down 1:1 from NEm. Source:
 * NRC 2000 (0.8 from memory; 1:1 as the University of Nebraska counts it: 207 Mcal at 3 Mcal a day are 69 days).
 */
export const MOBILISED_RESERVE_VALUE_AS_NEM = 0.8;

function requireScore(score: number): void {
  if (!(score >= 1 && score <= 9)) throw new RangeError(`Body condition goes from 1 to 9, was ${score}`);
}

/**
 * Shrunk weight of the same cow at another score: the ash of the body stays, so weight goes with ash share (now) / ash
 * share (then); about 7 to 8 % per score around 5, 86 lb on a 1200 lb cow. Source: NRC 2000 body reserves (from
 * memory); extension teaches 75 to 100 lb a score. @throws RangeError if a score is not 1 to 9.
 */
export function nrc2000WeightAtCondition({
  shrunkBodyWeightKg,
  bodyConditionScore,
  targetScore,
}: {
  shrunkBodyWeightKg: number;
  bodyConditionScore: number;
  targetScore: number;
}): { shrunkBodyWeightKg: number } {
  const now = nrc2000BodyComposition({ bodyConditionScore }).ashShare;
  const then = nrc2000BodyComposition({ bodyConditionScore: targetScore }).ashShare;
  return { shrunkBodyWeightKg: (shrunkBodyWeightKg * now) / then };
}

/**
 * Energy in the body, Mcal: 9.4·fat + 5.7·protein (kg) of the empty body, which is 0.851 of shrunk weight.
 * Source: NRC 2000, chapter 3 body reserves (from memory). @throws RangeError if the score is not 1 to 9.
 */
export function nrc2000BodyEnergy({
  shrunkBodyWeightKg,
  bodyConditionScore,
}: {
  shrunkBodyWeightKg: number;
  bodyConditionScore: number;
}): {
  bodyEnergyMcal: number;
  fatKg: number;
  proteinKg: number;
  emptyBodyWeightKg: number;
} {
  const { fatShare, proteinShare } = nrc2000BodyComposition({ bodyConditionScore });
  const emptyBodyWeightKg = 0.851 * shrunkBodyWeightKg;
  const fatKg = fatShare * emptyBodyWeightKg;
  const proteinKg = proteinShare * emptyBodyWeightKg;
  return { bodyEnergyMcal: 9.4 * fatKg + 5.7 * proteinKg, fatKg, proteinKg, emptyBodyWeightKg };
}

/**
 * Energy between two scores of the same cow, Mcal, positive when the target is fatter. Source: see `nrc2000BodyEnergy`.
 */
export function nrc2000ReserveEnergy({
  shrunkBodyWeightKg,
  bodyConditionScore,
  targetScore,
}: {
  shrunkBodyWeightKg: number;
  bodyConditionScore: number;
  targetScore: number;
}): { energyMcal: number; weightChangeKg: number; dietaryNetEnergyMcal: number } {
  const target = nrc2000WeightAtCondition({ shrunkBodyWeightKg, bodyConditionScore, targetScore });
  const energyMcal =
    nrc2000BodyEnergy({ shrunkBodyWeightKg: target.shrunkBodyWeightKg, bodyConditionScore: targetScore })
      .bodyEnergyMcal - nrc2000BodyEnergy({ shrunkBodyWeightKg, bodyConditionScore }).bodyEnergyMcal;
  return {
    energyMcal,
    weightChangeKg: target.shrunkBodyWeightKg - shrunkBodyWeightKg,
    dietaryNetEnergyMcal: energyMcal < 0 ? energyMcal * MOBILISED_RESERVE_VALUE_AS_NEM : energyMcal,
  };
}

/**
 * Days until a cow gains or loses one condition score on an NEm balance (supply less need, Mcal/d). `null` at a balance
 * of zero, or when the score is already at the end of the scale. Source: NRC 2000 energy reserves (from memory).
 */
export function daysToChangeOneScore({
  shrunkBodyWeightKg,
  bodyConditionScore,
  netEnergyBalanceMcalPerDay,
}: {
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
