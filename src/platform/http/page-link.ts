import { markedCursor } from './cursor.js';
import type { AnyEndpoint } from './endpoint.js';

/** The list that a cursor belongs to: an address with the ids in it. */
export function listOf({ operationId }: AnyEndpoint, params: unknown): string {
  return `${operationId} ${canonical(params)}`;
}

/** Marks the cursor in the answer of a list with that list. @returns the header that links to the next page. */
export function linkedPage(
  endpoint: AnyEndpoint,
  params: unknown,
  address: string,
  body: Record<string, unknown>,
): Record<string, string> {
  if (endpoint.paged !== true || typeof body['nextCursor'] !== 'string') return {};
  const cursor = markedCursor(listOf(endpoint, params), body['nextCursor']);
  body['nextCursor'] = cursor;
  const url = new URL(address, 'http://here');
  url.searchParams.set('cursor', cursor);
  return { Link: `<${url.pathname}${url.search}>; rel="next", </openapi.json>; rel="describedby"` };
}

const UUID = /^[\da-f]{8}(-[\da-f]{4}){3}-[\da-f]{12}$/i;

export function canonical(value: unknown): string {
  return (
    JSON.stringify(value, (_key, inner: unknown) => {
      if (typeof inner === 'string' && UUID.test(inner)) return inner.toLowerCase();
      return typeof inner === 'object' && inner !== null && !Array.isArray(inner)
        ? Object.fromEntries(Object.entries(inner).sort(([a], [b]) => (a < b ? -1 : 1)))
        : inner;
    }) ?? ''
  );
}
