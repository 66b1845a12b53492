import compress from '@fastify/compress';
import type { FastifyInstance } from 'fastify';
import type { AnyEndpoint } from './endpoint.js';

/** Up to here an answer is sent as it is: compressing saves nothing that anybody notices. In bytes. */
const LEAST = 1_024;
/** Up to here it is compressed at once, in a fraction of a millisecond; longer ones are compressed in other threads. */
const AT_ONCE = 16_384;

/**
 * Compresses what is read: answers to a GET of the API. Never compressed:
 *
 * - Answers to a POST, the only ones that show a secret (a token, a key), so that no secret stands in one compressed
 *   body beside text that somebody else chose, where its length would tell it letter by letter (BREACH).
 * - Pages behind the cookie of a page sign-in, which another site can make a browser ask for.
 * - Single records: their tag is strong and names exactly these bytes, since changes are based on it.
 *
 * Bodies of requests are still taken as they are.
 */
export async function compressAnswers(server: FastifyInstance, endpoints: readonly AnyEndpoint[]): Promise<void> {
  const compressed = new Set(
    endpoints.filter((one) => one.method === 'GET' && one.versioned !== true).map((one) => one.path),
  );
  server.addHook('onRoute', (route) => {
    if (route.method !== 'GET' || !compressed.has(route.url)) route.compress = false;
  });
  await server.register(compress, {
    encodings: ['br', 'gzip'],
    threshold: LEAST,
    syncThreshold: AT_ONCE,
    globalDecompression: false,
  });
}
