import type { RaisedCaution } from '../../../core/cautions/caution.js';
import { STACKED_BALE_FORMS } from '../../../core/cautions/guides.data.js';
import { stackingMoistureCautions } from '../../../core/cautions/hay-in-store.js';
import type { HayLotRow } from '../lots/hay-lot.read.js';

/** Hay stacked too damp heats; loose hay has no published moisture limit here. */
export function stackingCautions(moisturePercent: string | null, lot: HayLotRow | undefined): readonly RaisedCaution[] {
  const baleForm = STACKED_BALE_FORMS.find((form) => form === lot?.bale_form);
  return moisturePercent === null || baleForm === undefined
    ? []
    : stackingMoistureCautions({
        lotId: lot?.id,
        lotName: lot?.name ?? '',
        baleForm,
        moisturePercent: Number(moisturePercent),
      });
}
