import { feedGroupOf } from '../../../core/feeds/other-feeds.data.js';
import { massMisfit } from '../../../core/stock/hay-mass-fit.js';
import type { Mass } from '../../../core/units/mass.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { formatMass } from '../../../platform/wire/quantity.schema.js';
import type { HayLotRow } from '../lots/hay-lot.read.js';

/**
 * Refuses more hay than a lot can hold, and bales that no bale of their form weighs; of what is unlikely it raises a
 * doubt of the entry.
 * @throws Problem at the pointer, with what there can be in the units of the operation.
 */
export function checkMass(
  tenant: OperationTenant,
  {
    mass,
    bales,
    lot,
    pointer,
  }: { mass: Mass; bales?: number | undefined; lot: Pick<HayLotRow, 'hay_kind' | 'bale_form'>; pointer: string },
): void {
  // Bags and blocks of other feeds are counted as bales too, and may weigh anything.
  const baleForm = feedGroupOf(lot.hay_kind) === 'hay' ? lot.bale_form : 'loose';
  const misfit = massMisfit({ mass, bales, baleForm });
  if (misfit === undefined) return;
  const ofLot = misfit.of === 'lot';
  const shown = (one: Mass, whole: (value: number) => number = Math.round): string => {
    const { value, unit } = formatMass(one, tenant.operation.unitPreference, ofLot ? 'large' : 'small');
    return `${whole(Number(value)).toLocaleString('en-US')} ${unit}`;
  };
  const { given, least, most } = misfit;
  // Rounded inward: whatever is said to be allowed is taken.
  const [from, to] = [shown(least ?? most, Math.ceil), shown(most, Math.floor)];
  const allowed = least === null ? `at most ${to}` : `bales of ${from} to ${to}`;
  if (!misfit.impossible) {
    tenant.doubts.raise({
      code: ofLot ? 'load-unusual' : 'bale-weight-unusual',
      pointer,
      given: ofLot ? shown(given) : `${shown(given)} a bale`,
      usual: allowed,
      source: misfit.source,
      message: ofLot
        ? `${shown(given)} of hay in one entry is unlikely. Check the unit.`
        : `That makes ${shown(given)} a bale, which is unlikely of ${baleForm.replaceAll('-', ' ')} bales. Check the ` +
          'unit, the number of bales, and whether the weight is of one bale or of the load.',
    });
    return;
  }
  throw ruleBroken(
    pointer,
    ofLot ? 'more-than-a-lot-holds' : 'no-bale-weighs-that',
    ofLot ? shown(given) : `${shown(given)} a bale`,
    allowed,
    ofLot
      ? `No lot holds ${shown(given)} of hay. Check the unit.`
      : `That makes ${shown(given)} a bale; ${baleForm.replaceAll('-', ' ')} bales weigh ${from} to ${to}. ` +
          'Check the unit, the number of bales, and whether the weight is of one bale or of the load.',
  );
}
