import { createHash } from 'node:crypto';

/** The same text for the same content, whatever the order of the fields. */
function canonical(value: unknown): string {
  return JSON.stringify(value, (_key, inner: unknown) =>
    typeof inner === 'object' && inner !== null && !Array.isArray(inner)
      ? Object.fromEntries(Object.entries(inner).sort(([one], [other]) => (one < other ? -1 : 1)))
      : inner,
  );
}

export function sha256(value: unknown): string {
  return createHash('sha256').update(canonical(value)).digest('hex');
}
