import type { RequirementNote } from '../requirements/requirement-set.js';
import { quantity, sentence } from '../units/wording.js';
import { isUnlikelyOffer } from '../laying/offer-fit.js';
import { plain, raiseIfPassed, type RaisedCaution } from './caution.js';
import { CAUTIONS } from './cautions.data.js';

const { shareOfPredicted } = CAUTIONS['more-than-eaten'].thresholds;

/** Dry matter that cattle can hold, kg a day: the predicted intake and what it may be off by. */
export function mostEatenOf(predictedKg: number): number {
  return predictedKg * shareOfPredicted.value;
}

/** That part of the offer is left over, and on what the ration is judged then. Amounts in kg of dry matter a day. */
export function leftOverCautions({
  laidKg,
  offeredKg,
  predictedKg,
  bodyWeightKg,
}: {
  /** As laid. */
  readonly laidKg: number;
  /** Without what is refused or wasted of it. */
  readonly offeredKg: number;
  readonly predictedKg: number;
  readonly bodyWeightKg: number;
}): RaisedCaution[] {
  const dryMatter = (kilograms: number) => quantity(kilograms, 'kg', 1);
  const most = dryMatter(mostEatenOf(predictedKg));
  const laid = sentence`A head is offered ${dryMatter(laidKg)} of dry matter a day`;
  const wastedKg = laidKg - offeredKg;
  const offer = wastedKg > 0.05 ? sentence`${laid}, ${dryMatter(wastedKg)} of it counted as refused or wasted,` : laid;
  const eats = sentence`${offer} and is predicted to eat ${dryMatter(predictedKg)}, at most ${most}.`;
  const unlikely = isUnlikelyOffer({ dryMatterKg: laidKg, bodyWeightKg });
  const ofWeight = `${plain((laidKg / bodyWeightKg) * 100, 1)} % of their weight`;
  const check = unlikely
    ? ` So much, ${ofWeight}, is unlikely: check the unit, the amount and the head, unless it is for several days.`
    : '';
  return raiseIfPassed({
    code: 'more-than-eaten',
    severity: unlikely ? 'watch' : 'notice',
    given: predictedKg > 0 ? offeredKg / predictedKg : null,
    threshold: shareOfPredicted,
    message: sentence`${eats} It is judged on ${most}; what is beyond that feeds nobody.${check}`,
  });
}

/** That more is laid than cattle can hold, so that enough of it is eaten; `null` where it is not. */
export function laidForWasteNote({
  laidKg,
  wastedShare,
  predictedKg,
}: {
  readonly laidKg: number;
  readonly wastedShare: number;
  readonly predictedKg: number;
}): RequirementNote | null {
  const mostKg = mostEatenOf(predictedKg);
  if (laidKg <= mostKg || laidKg * (1 - wastedShare) > mostKg) return null;
  const [laid, most] = [quantity(laidKg, 'kg', 1), quantity(mostKg, 'kg', 1)];
  const offered = sentence`A head is offered ${laid} of dry matter a day and can hold ${most}:`;
  const percent = Number((wastedShare * 100).toFixed(1));
  const counted = `${percent} % is counted as refused or wasted, as weighed at feedings.`;
  return {
    code: 'laid-for-waste',
    message: sentence`${offered} ${counted} If less is left, less is enough.`,
    source: 'feedings of the herd',
  };
}
