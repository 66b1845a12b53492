import type { FastifyInstance } from 'fastify';
import { boundLists } from './bounded-lists.js';
import type { AnyEndpoint } from './endpoint.js';

/** For a body with lists in it, in bytes; no address takes more JSON. */
export const BODY_MOST = 1_048_576;
/** For a body of single fields: several times the longest note allowed. */
const FIELDS_MOST = 65_536;
/** For callers not known yet, and for a person's own account: an email, a passphrase, a token. */
const STRANGER_MOST = 8_192;

/**
 * How much JSON each address reads, decided before reading any: as much as it can use. Its lists are bounded while they
 * are read. Forms and CSV have limits of their own, where they are accepted.
 */
export function limitBodies(server: FastifyInstance, endpoints: readonly AnyEndpoint[]): void {
  const byAddress = new Map(endpoints.map((one) => [`${one.method} ${one.path}`, one]));
  server.addHook('onRoute', (route) => {
    const endpoint = byAddress.get(`${String(route.method)} ${route.url}`);
    if (endpoint === undefined) return;
    if (!limits.has(endpoint)) limits.set(endpoint, limitOf(endpoint));
    const limit = limits.get(endpoint);
    if (limit !== undefined) route.bodyLimit = limit;
  });
}

/** Found once for each endpoint, since it means walking through its schemas. */
const limits = new WeakMap<AnyEndpoint, number | undefined>();

function limitOf({ access, path, body, bodyType, query }: AnyEndpoint): number | undefined {
  if (query !== undefined) boundLists(query);
  const lists = body !== undefined && boundLists(body);
  if (bodyType !== undefined) return undefined;
  if (access === 'public' || path.startsWith('/v1/me')) return STRANGER_MOST;
  return lists ? BODY_MOST : FIELDS_MOST;
}
