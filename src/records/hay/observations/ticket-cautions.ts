import type { RaisedCaution } from '../../../core/cautions/caution.js';
import { loadAsItCameIn, observationCautions } from '../../../core/cautions/hay-observations.js';
import type { HayLotRow } from '../lots/hay-lot.read.js';
import { observedLotOf } from './hay-observation.read.js';

/** What the moisture on a ticket raises by itself, by the rule that the lot is judged by. */
export function ticketCautions(
  cameIn: Parameters<typeof loadAsItCameIn>[0],
  { happened_on: bookedOn, moisture_pct: percent }: { happened_on: string; moisture_pct: string | null },
  late: { toldOn: string } | null,
  lot: HayLotRow | undefined,
): readonly RaisedCaution[] {
  if (percent === null || lot === undefined) return [];
  return observationCautions(observedLotOf(lot, [loadAsItCameIn(cameIn, late?.toldOn ?? bookedOn, Number(percent))]));
}
