import type { FastifyInstance } from 'fastify';
import { type AnyEndpoint, MEDIA_TYPES } from './endpoint.js';
import { Problem } from './problem.js';
import { sendProblem } from './problem.filter.js';
import { markedFile } from './sent-file.js';

const CSV_TYPE = 'text/csv';
/** Several times the size of 20,000 rows of the widest kind; only addresses that take CSV read that much. */
const CSV_BODY_MAX = 8_388_608;

/** The first bytes of a ZIP archive, which a workbook is. */
const ARCHIVE = [0x50, 0x4b, 0x03, 0x04];

/** Lets only the addresses that declare it take CSV bodies and workbooks. */
export function takeCsvBodies(server: FastifyInstance, endpoints: readonly AnyEndpoint[]): void {
  const takers = new Set(
    endpoints.filter((one) => one.bodyType === CSV_TYPE).map((one) => `${one.method} ${one.path}`),
  );
  server.addHook('onRequest', (request, reply, done) => {
    // Refused before the body is read, so that nobody can make the server read eight megabytes for nothing.
    const type = request.headers['content-type']?.trim().toLowerCase() ?? '';
    if (
      (type.startsWith(CSV_TYPE) || type.startsWith(MEDIA_TYPES.xlsx)) &&
      !takers.has(`${request.method} ${request.routeOptions.url ?? ''}`)
    ) {
      sendProblem(new Problem('unsupported-media-type'), request, reply);
      return;
    }
    done();
  });
  for (const type of [CSV_TYPE, MEDIA_TYPES.xlsx])
    server.addContentTypeParser(
      type,
      { parseAs: 'buffer', bodyLimit: CSV_BODY_MAX },
      (_request, body: Buffer, done) => {
        try {
          done(null, fileOf(body));
        } catch (error) {
          done(error as Error);
        }
      },
    );
}

/**
 * A workbook is known by its first bytes, whatever type it was sent as. Text is UTF-8, UTF-16 where it says so itself,
 * else Windows-1252, which spreadsheets write by default on computers of the west.
 * @throws Problem where it is none of these
 */
function fileOf(body: Buffer): string {
  if (ARCHIVE.every((byte, at) => body[at] === byte)) return markedFile('xlsx', body.toString('base64'));
  const mark =
    body[0] === 0xff && body[1] === 0xfe ? 'utf-16le' : body[0] === 0xfe && body[1] === 0xff ? 'utf-16be' : '';
  try {
    if (mark !== '') return markedFile('utf-16', new TextDecoder(mark, { fatal: true }).decode(body));
    return decoded(body);
  } catch {
    const text = mark === '' ? new TextDecoder('windows-1252').decode(body) : '';
    // Bytes that Windows-1252 does not have come out as control characters, as do those of other files.
    if (text !== '' && !CONTROLS.test(text)) return markedFile('windows-1252', text);
    throw notText(firstBadLine(body));
  }
}

function notText(line: number): Problem {
  return new Problem('malformed-body', `Line ${line} of the file is no text; save it as "CSV UTF-8" or as .xlsx.`, [
    {
      parameter: `row ${line}`,
      code: 'not-utf-8',
      allowed: 'text in UTF-8, UTF-16 with a byte order mark or Windows-1252, or a workbook (.xlsx)',
      message: 'The file holds bytes that are no text.',
    },
  ]);
}

const CONTROLS = /[\u0000-\u0008\u000e-\u001f\u007f-\u009f]/;

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
