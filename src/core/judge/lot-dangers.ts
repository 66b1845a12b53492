import type { RaisedCaution } from '../cautions/caution.js';
import { lotCautions, type LotsKnown } from '../cautions/lot-cautions.js';
import { nitrateCautions } from '../cautions/nitrate.js';
import type { RationLot } from '../ration/ration.js';
import { valueOf } from './ration-supply.js';

/**
 * The danger cautions that a lot is under whatever ration it goes into: what was seen or measured of it, and nitrate
 * of which pregnant cattle may have none.
 */
export function lotDangers(lot: RationLot, known: LotsKnown): RaisedCaution[] {
  const nitrate = valueOf({ lot, field: 'nitrateNitrogenPpm' });
  const ofNitrate = nitrateCautions({
    pregnant: true,
    lots: [
      {
        name: lot.lotName,
        // No share of any ration: only what the guide keeps out altogether is a danger by itself.
        shareOfRationDryMatter: 0,
        nitrateNitrogenPpmDm: nitrate.value,
        restsOnBookValue: nitrate.value !== null && nitrate.restsOnBookValue,
        canGatherNitrate: lot.canGatherNitrate,
      },
    ],
  });
  return [...lotCautions(known), ...ofNitrate.cautions].filter(({ severity }) => severity === 'danger');
}
