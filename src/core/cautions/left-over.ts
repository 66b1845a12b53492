import { quantity, sentence } from '../units/told.js';
import { raiseIfPassed, type RaisedCaution } from './caution.js';
import { CAUTIONS } from './cautions.data.js';

const { shareOfPredicted } = CAUTIONS['more-than-eaten'].thresholds;

/** Dry matter that cattle can hold, kg a day: the predicted intake and what it may be off by. */
export function mostEatenOf(predictedKg: number): number {
  return predictedKg * shareOfPredicted.value;
}

/** That part of the offer is left over, and on what the ration is judged then. Amounts in kg of dry matter a day. */
export function leftOverCautions({
  offeredKg,
  predictedKg,
}: {
  readonly offeredKg: number;
  readonly predictedKg: number;
}): RaisedCaution[] {
  const mostKg = mostEatenOf(predictedKg);
  const [offered, predicted, most] = [
    quantity(offeredKg, 'kg', 1),
    quantity(predictedKg, 'kg', 1),
    quantity(mostKg, 'kg', 1),
  ];
  const told = sentence`A head is offered ${offered} of dry matter a day and is predicted to eat ${predicted}.`;
  const judged = sentence`Energy, protein and minerals are judged on ${most}; the rest is left over.`;
  return raiseIfPassed({
    code: 'more-than-eaten',
    severity: 'notice',
    given: predictedKg > 0 ? offeredKg / predictedKg : null,
    threshold: shareOfPredicted,
    message: sentence`${told} ${judged}`,
  });
}
