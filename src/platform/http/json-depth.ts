/** No body of this API nests deeper than a handful of levels; what does is made to exhaust a program that walks it. */
export const DEPTH_MOST = 32;

/** Does a value nest deeper than any body may? Level by level, so that the asking itself cannot be exhausted. */
export function isTooDeep(value: unknown): boolean {
  let level: unknown[] = [value];
  for (let depth = 0; depth <= DEPTH_MOST; depth += 1) {
    level = level.flatMap((one) => (typeof one === 'object' && one !== null ? (Object.values(one) as unknown[]) : []));
    if (level.length === 0) return false;
  }
  return true;
}
