import type { FastifyInstance } from 'fastify';
import type { AnyEndpoint } from './endpoint.js';
import { Problem } from './problem.js';
import { sendProblem } from './problem.filter.js';
import { utf8Text } from './utf8-body.js';

const FORM_TYPE = 'application/x-www-form-urlencoded';
const FORM_BODY_MAX = 16_384;

/** Lets only the pages that declare it take what an HTML form sends. */
export function takeFormBodies(server: FastifyInstance, endpoints: readonly AnyEndpoint[]): void {
  const takers = new Set(
    endpoints.filter((one) => one.bodyType === FORM_TYPE).map((one) => `${one.method} ${one.path}`),
  );
  server.addHook('onRequest', (request, reply, done) => {
    if (
      /^\s*application\/x-www-form-urlencoded\b/i.test(request.headers['content-type'] ?? '') &&
      !takers.has(`${request.method} ${request.routeOptions.url ?? ''}`)
    ) {
      sendProblem(new Problem('unsupported-media-type'), request, reply);
      return;
    }
    done();
  });
  server.addContentTypeParser(
    FORM_TYPE,
    { parseAs: 'buffer', bodyLimit: FORM_BODY_MAX },
    (_request, body: Buffer, done) => {
      try {
        done(null, fieldsOf(utf8Text(body)));
      } catch (error) {
        done(error as Error);
      }
    },
  );
}

/**
 * @throws Problem where a field comes twice (nobody could say which one is meant), or where a percent-encoded text is
 * not UTF-8.
 */
function fieldsOf(body: string): Record<string, string> {
  try {
    decodeURIComponent(body);
  } catch {
    throw new Problem('malformed-body', 'The form is not valid UTF-8.');
  }
  const fields = [...new URLSearchParams(body)];
  if (new Set(fields.map(([field]) => field)).size !== fields.length)
    throw new Problem('malformed-body', 'A field of the form was sent twice.');
  return Object.fromEntries(fields);
}
