/** No body of this API nests deeper than a handful of levels; a deeper one is meant to exhaust the parser. */
export const DEPTH_MOST = 32;

/**
 * Whether a value nests deeper than any body may. Checked level by level, so that the check itself cannot be exhausted.
 */
export function isTooDeep(value: unknown): boolean {
  let level: unknown[] = [value];
  for (let depth = 0; depth <= DEPTH_MOST; depth += 1) {
    level = level.flatMap((one) => (typeof one === 'object' && one !== null ? (Object.values(one) as unknown[]) : []));
    if (level.length === 0) return false;
  }
  return true;
}
