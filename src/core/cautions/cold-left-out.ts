import { quantity, sentence } from '../units/wording.js';
import { plain, raiseIfPassed, type RaisedCaution } from './caution.js';
import { CAUTIONS } from './cautions.data.js';
import { USUAL_COLD } from './usual-cold.data.js';

const { addedByCold } = CAUTIONS['cold-left-out'].thresholds;

/** What a day is judged to need as if it were mild, and what it would need in a usual cold: NEm, Mcal a head. */
export interface ColdLeftOut {
  readonly on: string;
  readonly countedMcal: number;
  readonly inColdMcal: number;
}

/** Whether a usual cold is held against a day: only in the months that have one. */
export const hasUsualCold = (day: string): boolean =>
  (USUAL_COLD.months as readonly number[]).includes(Number(day.slice(5, 7)));

/** That nothing is known of the weather, and how much too low the need may be for it. */
export function coldLeftOutCautions({ on, countedMcal, inColdMcal }: ColdLeftOut): RaisedCaution[] {
  const given = Number((inColdMcal - countedMcal).toFixed(3));
  const cold = quantity(USUAL_COLD.temperatureC, 'C', 0);
  const left = `No weather is known for ${on}: the need is that of mild weather, ${plain(countedMcal, 1)} Mcal of NEm.`;
  const percent = plain((given / countedMcal) * 100, 0);
  return raiseIfPassed({
    code: 'cold-left-out',
    severity: 'watch',
    given,
    threshold: addedByCold,
    message: sentence`${left} A usual cold of ${cold} would add ${plain(given, 1)} Mcal a head a day, ${percent} %.`,
  });
}
