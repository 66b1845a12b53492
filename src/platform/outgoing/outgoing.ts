import { lookup as systemLookup, type LookupAddress } from 'node:dns';
import { type ClientRequest, type IncomingMessage, request as overHttp, type RequestOptions } from 'node:http';
import { request as overHttps } from 'node:https';
import type { LookupFunction } from 'node:net';
import { isPublic, NOT_PUBLIC, readReceiver } from './receiver-address.js';

/** From the first look-up to the last byte of the answer (Standard Webhooks recommends 15 to 30 s). */
const WITHIN_MS = 15_000;
/** Of an answer, more is not read: what is in it is shown to a person, and only its beginning. */
const ANSWER_BYTES = 4096;
const ANSWER_LETTERS = 300;
const HEADERS_MOST = 16_384;

export interface Posted {
  /** Undefined where there was no answer. */
  status: number | undefined;
  tookMs: number;
  /** The beginning of the answer, without what would not be letters; never more than plain text. */
  answer: string | undefined;
  /** Undefined where an answer came; else what went wrong, in words. */
  problem: string | undefined;
  retryAfter: string | undefined;
}

export interface OutgoingOptions {
  /** Hosts inside that the keeper of the server lets messages go to, also in plain http. */
  innerHosts?: readonly string[];
  /** Where names lead; the system's if absent. */
  lookup?: (host: string) => Promise<LookupAddress[]>;
  /** Whom to trust beside the well-known certificate authorities. */
  authorities?: string;
  withinMs?: number;
}

class NotPublic extends Error {}

/**
 * Sends what this server tells others, to addresses that people gave it and that may be meant to reach what only this
 * server can reach. So where a name leads is judged by the very look-up that the socket is opened with, and once more
 * by the address it then has: a name that leads elsewhere by now changes nothing. No redirect is followed, no
 * connection kept, no more of an answer read than is shown.
 */
export class Outgoing {
  readonly #innerHosts: ReadonlySet<string>;

  constructor(private readonly options: OutgoingOptions = {}) {
    this.#innerHosts = new Set(options.innerHosts ?? []);
  }

  /** The address as it will be used, or why it cannot be. */
  receiver(text: string): ReturnType<typeof readReceiver> {
    return readReceiver(text, this.#innerHosts);
  }

  /** Whatever goes wrong is told in the answer. @param ended Aborted where there is no time left for it. */
  async post(
    address: string,
    headers: Readonly<Record<string, string>>,
    body: string,
    ended: AbortSignal,
  ): Promise<Posted> {
    const began = performance.now();
    const took = (): number => Math.round(performance.now() - began);
    const nothing = { status: undefined, answer: undefined, retryAfter: undefined };
    // The rules may be stricter than when it was given.
    const url = this.receiver(address);
    if (!(url instanceof URL)) return { ...nothing, tookMs: took(), problem: url.message };
    const limit = AbortSignal.timeout(this.options.withinMs ?? WITHIN_MS);
    try {
      const response = await this.#answered(url, headers, body, AbortSignal.any([limit, ended]));
      const answer = await beginningOf(response);
      const retryAfter = response.headers['retry-after'];
      return { status: response.statusCode, tookMs: took(), answer, problem: undefined, retryAfter };
    } catch (error) {
      return { ...nothing, tookMs: took(), problem: wordsOf(error, { late: limit.aborted, ended: ended.aborted }) };
    }
  }

  #answered(
    url: URL,
    headers: Readonly<Record<string, string>>,
    body: string,
    signal: AbortSignal,
  ): Promise<IncomingMessage> {
    const isInner = this.#innerHosts.has(url.host);
    const { authorities } = this.options;
    const options: RequestOptions & { ca?: string } = {
      method: 'POST',
      headers: { ...headers, 'Content-Length': String(Buffer.byteLength(body)) },
      // A connection of its own, opened by the look-up below.
      agent: false,
      maxHeaderSize: HEADERS_MOST,
      signal,
      lookup: this.#lookup(isInner),
      ...(authorities === undefined ? {} : { ca: authorities }),
    };
    return new Promise((resolve, reject) => {
      const asked: ClientRequest = url.protocol === 'https:' ? overHttps(url, options) : overHttp(url, options);
      asked.on('socket', (socket) => {
        // Before anything is written.
        socket.prependOnceListener('connect', () => {
          if (!isInner && !isPublic(socket.remoteAddress ?? '')) asked.destroy(new NotPublic());
        });
      });
      asked.on('response', resolve);
      asked.on('error', reject);
      asked.end(body);
    });
  }

  /** One inner address among several is enough to refuse them all. */
  #lookup(isInner: boolean): LookupFunction {
    const { lookup = systemAddresses } = this.options;
    return (host, { all }, done) => {
      lookup(host).then(
        (addresses) => {
          const [first] = addresses;
          if (first === undefined || (!isInner && addresses.some(({ address }) => !isPublic(address))))
            done(new NotPublic(), []);
          else if (all === true) done(null, addresses);
          else done(null, first.address, first.family);
        },
        (error: NodeJS.ErrnoException) => done(error, []),
      );
    };
  }
}

function systemAddresses(host: string): Promise<LookupAddress[]> {
  return new Promise((resolve, reject) => {
    systemLookup(host, { all: true, verbatim: true }, (error, addresses) => {
      if (error === null) resolve(addresses);
      else reject(error);
    });
  });
}

/** What cannot be a letter on a line is left out, so that nothing in it can act where it is shown. */
async function beginningOf(response: IncomingMessage): Promise<string> {
  const pieces: Buffer[] = [];
  let bytes = 0;
  try {
    for await (const piece of response as AsyncIterable<Buffer>) {
      pieces.push(piece);
      bytes += piece.length;
      if (bytes >= ANSWER_BYTES) break;
    }
  } catch {
    // The status has come, and says whether it was taken; what else was to follow does not matter.
  }
  const text = Buffer.concat(pieces).subarray(0, ANSWER_BYTES).toString('utf8');
  return text
    .replaceAll(/[\p{C}\p{Z}]+/gu, ' ')
    .trim()
    .slice(0, ANSWER_LETTERS);
}

const WORDS: Readonly<Record<string, string>> = {
  ECONNREFUSED: 'The receiver refused the connection.',
  ECONNRESET: 'The receiver broke the connection off.',
  ENOTFOUND: 'The name of the host is not known.',
  EAI_AGAIN: 'The name of the host could not be looked up.',
  HPE_HEADER_OVERFLOW: 'The answer has too many headers.',
};

function wordsOf(error: unknown, { late, ended }: { late: boolean; ended: boolean }): string {
  if (ended) return STOPPED;
  if (late) return 'No answer came in time.';
  if (error instanceof NotPublic) return NOT_PUBLIC.message;
  const { code = '', message } = error as NodeJS.ErrnoException;
  if (/CERT|TLS|SSL|ALTNAME|SELF_SIGNED/.test(code)) return `The certificate or the encryption is not good: ${code}.`;
  return WORDS[code] ?? `The connection failed: ${(code === '' ? message : code).slice(0, 100)}.`;
}

/** The server was stopped while it waited for the answer. */
export const STOPPED = 'This server was stopped before an answer came.';
