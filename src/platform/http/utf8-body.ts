import type { FastifyInstance } from 'fastify';
import { absurdShape } from './json-shape.js';
import { Problem } from './problem.js';
import { sendProblem } from './problem.filter.js';

/**
 * Bodies are uncompressed UTF-8 text. A body declared as something else is refused before it is read, and one that
 * turns out not to be UTF-8 is refused too: a wrongly guessed letter would be stored for good.
 */
export function takeUtf8Bodies(server: FastifyInstance): void {
  server.addHook('onRequest', (request, reply, done) => {
    const { 'content-type': type = '', 'content-encoding': encoding = 'identity' } = request.headers;
    const charset = /;\s*charset\s*=\s*"?([^\s;"]*)/i.exec(type)?.[1] ?? 'utf-8';
    if (!/^utf-?8$/i.test(charset))
      sendProblem(
        new Problem('unsupported-media-type', 'A body is taken in UTF-8 and in no other charset.'),
        request,
        reply,
      );
    else if (encoding.trim().toLowerCase() !== 'identity')
      sendProblem(
        new Problem('unsupported-media-type', 'A body is taken as it is, without a Content-Encoding.', [], {
          'Accept-Encoding': 'identity',
        }),
        request,
        reply,
      );
    else done();
  });
  const parseJson = server.getDefaultJsonParser('error', 'error');
  server.removeContentTypeParser('application/json');
  server.addContentTypeParser('application/json', { parseAs: 'buffer' }, (request, body: Buffer, done) => {
    try {
      void parseJson(request, utf8Text(body), (error: Error | null, value?: unknown) => {
        const absurd = error === null ? absurdShape(value) : undefined;
        done(absurd ?? error, value);
      });
    } catch (error) {
      done(error as Error);
    }
  });
}

/** @throws Problem malformed-body where a byte is not UTF-8 (RFC 3629). */
export function utf8Text(body: Uint8Array): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(body);
  } catch {
    throw new Problem('malformed-body', 'The body is not valid UTF-8.');
  }
}
