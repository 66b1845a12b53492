import { addDays } from '../time/calendar-day.js';
import { WASTE_MEASURED } from './wasted-share.data.js';

/** What was laid and what of it was refused or wasted, in one feeding where somebody measured it. */
export interface MeasuredWaste {
  readonly fedKg: number;
  readonly lostKg: number;
}

/** A day of such feedings: what was laid for the cattle, kg as fed, and what they could have held of that hay. */
export interface DayOfWaste {
  readonly fedKg: number;
  /** Left uneaten and picked up, and trampled or soiled. */
  readonly refusedKg: number;
  readonly wastedKg: number;
  readonly couldHoldKg: number;
}

/** Part of what is offered that is not eaten, 0 to below 1, and what it rests on. */
export interface WastedShare {
  readonly share: number;
  readonly restsOn: 'measured' | 'stated' | 'nothing';
}

/**
 * What of a day's leftovers is waste. Trampled hay always is. Hay that cattle left standing is only as far as they had
 * room for it: the rest was too much laid, and says nothing of an offer that fits.
 */
export function wasteOfWhatFits({ fedKg, refusedKg, wastedKg, couldHoldKg }: DayOfWaste): MeasuredWaste {
  const tooMuchKg = Math.min(refusedKg, Math.max(0, fedKg - wastedKg - couldHoldKg));
  return { fedKg: fedKg - tooMuchKg, lostKg: refusedKg + wastedKg - tooMuchKg };
}

/**
 * What the cattle left of the very feedings that are judged: as it was weighed; of those that nobody weighed, at the
 * rate that is usual for the herd. `null` where none was weighed.
 */
export function wastedShareOfDays(
  feedings: readonly { readonly fedKg: number; readonly lostKg: number | null }[],
  usual: WastedShare,
): WastedShare | null {
  if (feedings.every(({ lostKg }) => lostKg === null)) return null;
  const fedKg = feedings.reduce((sum, one) => sum + one.fedKg, 0);
  const lostKg = feedings.reduce((sum, one) => sum + (one.lostKg ?? one.fedKg * usual.share), 0);
  return { share: Math.min(lostKg / fedKg, WASTE_MEASURED.mostShareOfDays.value), restsOn: 'measured' };
}

/** The part of a feeding that says what was wasted of it; a waste that nobody told is not one of zero. */
interface StatedWaste {
  readonly happened_on: string;
  readonly refused_kg: string | null;
  readonly wasted_kg: string | null;
}

/**
 * The feedings of a herd that say what it wastes on a day, for every address: those with refused or wasted hay told, of
 * the weeks up to the last such one. Feedings since then that tell of none change nothing.
 */
export function feedingsThatTellWaste<One extends StatedWaste>(feedings: readonly One[], on: string): One[] {
  const earliest = addDays(on, -WASTE_MEASURED.notOlderThanDays.value);
  const withWaste = feedings.filter(
    (one) =>
      (one.refused_kg !== null || one.wasted_kg !== null) && one.happened_on >= earliest && one.happened_on <= on,
  );
  const last = withWaste.reduce((latest, one) => (one.happened_on > latest ? one.happened_on : latest), '');
  return last === '' ? [] : withWaste.filter((one) => one.happened_on > addDays(last, -WASTE_MEASURED.days.value));
}

/**
 * Does a feeding show what the herd wastes of its hay? Not if little was laid, nor if more was lost of it than laid:
 * such an entry, of before this was refused, measured something else.
 */
export function showsWaste({ fedKg, lostKg, head }: MeasuredWaste & { readonly head: number }): boolean {
  return lostKg <= fedKg && fedKg >= WASTE_MEASURED.leastFedPerHeadKg.value * head;
}

/**
 * The one rule for the part of the hay that is not eaten. For the ration a herd is on, waste measured at its last
 * feedings comes before what the ration states; for a ration that is not in use, what it states comes first. Where
 * neither is known nothing is taken off, and the answer says so.
 */
export function wastedShareOf({
  measured,
  statedShare,
  fedAtPresent,
}: {
  readonly measured: readonly MeasuredWaste[];
  readonly statedShare: number | null;
  readonly fedAtPresent: boolean;
}): WastedShare {
  const fedKg = measured.reduce((sum, one) => sum + one.fedKg, 0);
  const found: WastedShare | null =
    fedKg > 0
      ? {
          share: Math.min(measured.reduce((sum, one) => sum + one.lostKg, 0) / fedKg, WASTE_MEASURED.mostShare.value),
          restsOn: 'measured',
        }
      : null;
  const stated: WastedShare | null = statedShare === null ? null : { share: statedShare, restsOn: 'stated' };
  const [first, second] = fedAtPresent ? [found, stated] : [stated, found];
  return first ?? second ?? { share: 0, restsOn: 'nothing' };
}
