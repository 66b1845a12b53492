import type { RationRow } from './ration-content.js';

/** The one of a herd's rations that is in use on a day. */
export function rationInUseOn(rations: readonly RationRow[], day: string): RationRow | undefined {
  return rations.find((one) => (one.in_use_from ?? '') <= day && (one.in_use_until === null || one.in_use_until > day));
}

/** The ration for a day of a plan: the one in use; if none is, the last one before it, else the first one after it. */
export function rationPlannedOn(
  rations: readonly RationRow[],
  day: string,
): { row: RationRow; carriedForward: boolean } | undefined {
  const inUse = rationInUseOn(rations, day);
  if (inUse !== undefined) return { row: inUse, carriedForward: false };
  const other = rations.filter((one) => (one.in_use_from ?? '') <= day).at(-1) ?? rations[0];
  return other === undefined ? undefined : { row: other, carriedForward: true };
}
