import { promisify } from 'node:util';
import { brotliCompress, constants, gzip } from 'node:zlib';
import { negotiate } from '@fastify/accept-negotiator';
import type { FastifyInstance } from 'fastify';
import { digestOf, isUnchanged, strongTag } from './revalidation.js';

/** Something open to anybody that is the same until the server is replaced: the description, the reference. */
interface OpenDocument {
  path: string;
  type: string;
  /** Called when the document is first asked for. */
  text: () => string | Buffer | Promise<string | Buffer>;
  headers?: Readonly<Record<string, string>>;
}

type Encoding = 'br' | 'gzip' | 'identity';

const ENCODINGS: Encoding[] = ['br', 'gzip', 'identity'];
/** Half a second for two megabytes, in another thread, once; the highest takes ten times as long. */
const BROTLI = { params: { [constants.BROTLI_PARAM_QUALITY]: 9 } };

/** Serves it with a strong tag, compressed once and kept. */
export function serveDocument(server: FastifyInstance, { path, type, text, headers = {} }: OpenDocument): void {
  let made: Promise<{ plain: Buffer; digest: string }> | undefined;
  const encoded: Partial<Record<Encoding, Promise<Buffer>>> = {};
  const read = async (): Promise<{ plain: Buffer; digest: string }> => {
    const plain = Buffer.from(await text());
    return { plain, digest: digestOf(plain) };
  };
  server.get(path, { compress: false }, async (request, reply) => {
    made ??= read();
    const { plain, digest } = await made;
    const encoding = negotiate(request.headers['accept-encoding'] ?? '', ENCODINGS) ?? 'identity';
    const named = encoding === 'identity' ? undefined : encoding;
    void reply
      .headers(headers)
      .header('Cache-Control', 'no-cache')
      .header('Vary', 'Accept-Encoding')
      .header('ETag', strongTag(digest, named));
    if (isUnchanged(request, digest)) return reply.status(304).send();
    if (named !== undefined) void reply.header('Content-Encoding', named);
    return reply.type(type).send(await (encoded[encoding] ??= inEncoding(plain, encoding)));
  });
}

function inEncoding(plain: Buffer, encoding: Encoding): Promise<Buffer> {
  switch (encoding) {
    case 'br':
      return promisify(brotliCompress)(plain, BROTLI);
    case 'gzip':
      return promisify(gzip)(plain);
    case 'identity':
      return Promise.resolve(plain);
  }
}
