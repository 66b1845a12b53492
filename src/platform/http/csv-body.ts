import type { FastifyInstance } from 'fastify';
import type { AnyEndpoint } from './endpoint.js';
import { Problem } from './problem.js';
import { sendProblem } from './problem.filter.js';

const CSV_TYPE = 'text/csv';
/** Several times the size of 20,000 rows of the widest kind; only addresses that take CSV read that much. */
const CSV_BODY_MAX = 8_388_608;

/** Lets only the addresses that declare it take CSV bodies, in UTF-8. */
export function takeCsvBodies(server: FastifyInstance, endpoints: readonly AnyEndpoint[]): void {
  const takers = new Set(
    endpoints.filter((one) => one.bodyType === CSV_TYPE).map((one) => `${one.method} ${one.path}`),
  );
  server.addHook('onRequest', (request, reply, done) => {
    // Refused before the body is read, so that nobody can make the server read eight megabytes for nothing.
    if (
      /^\s*text\/csv\b/i.test(request.headers['content-type'] ?? '') &&
      !takers.has(`${request.method} ${request.routeOptions.url ?? ''}`)
    ) {
      sendProblem(new Problem('unsupported-media-type'), request, reply);
      return;
    }
    done();
  });
  server.addContentTypeParser(
    CSV_TYPE,
    { parseAs: 'buffer', bodyLimit: CSV_BODY_MAX },
    (_request, body: Buffer, done) => {
      try {
        done(null, utf8(body));
      } catch (error) {
        done(error as Error);
      }
    },
  );
}

/** @throws Problem that names the first line that is not UTF-8. */
function utf8(body: Uint8Array): string {
  try {
    return decoded(body);
  } catch {
    const utf16 = (body[0] === 0xff && body[1] === 0xfe) || (body[0] === 0xfe && body[1] === 0xff);
    const line = utf16 ? 1 : firstBadLine(body);
    throw new Problem(
      'malformed-body',
      utf16
        ? 'The file is in UTF-16; save it as "CSV UTF-8".'
        : `Line ${line} of the file is not UTF-8; save it as "CSV UTF-8".`,
      [
        {
          parameter: `row ${line}`,
          code: 'not-utf-8',
          allowed: 'text in UTF-8, with or without a byte order mark',
          message: 'The file holds bytes that are not UTF-8.',
        },
      ],
    );
  }
}

function decoded(bytes: Uint8Array): string {
  const text = new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  // UTF-16 text of plain letters can pass for UTF-8 with a NUL after every letter.
  if (text.includes('\u0000')) throw new RangeError('NUL in text');
  return text;
}

function firstBadLine(body: Uint8Array): number {
  let line = 1;
  let start = 0;
  while (start <= body.length) {
    const next = body.indexOf(0x0a, start);
    const end = next === -1 ? body.length : next;
    try {
      decoded(body.subarray(start, end));
    } catch {
      return line;
    }
    line += 1;
    start = end + 1;
  }
  return 1;
}
