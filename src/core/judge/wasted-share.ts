/** What was laid and what of it was refused or wasted, in one feeding where somebody measured it. */
export interface MeasuredWaste {
  readonly fedKg: number;
  readonly lostKg: number;
}

/** Part of what is offered that is not eaten, 0 to below 1, and what it rests on. */
export interface WastedShare {
  readonly share: number;
  readonly restsOn: 'measured' | 'stated' | 'nothing';
}

/** Cattle could hardly live if more were lost; common practice, no source. */
const MOST = 0.95;

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
          share: Math.min(measured.reduce((sum, one) => sum + one.lostKg, 0) / fedKg, MOST),
          restsOn: 'measured',
        }
      : null;
  const stated: WastedShare | null = statedShare === null ? null : { share: statedShare, restsOn: 'stated' };
  const [first, second] = fedAtPresent ? [found, stated] : [stated, found];
  return first ?? second ?? { share: 0, restsOn: 'nothing' };
}
