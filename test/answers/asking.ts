import { request, Agent } from 'node:http';
import type { DatabaseTraffic } from './database-traffic.js';
import { bodyOf } from './forms.js';
import type { NormalText } from './normal-text.js';
import type { Entry } from './recording.js';

/** Somebody who asks: a person with a session, a key, or nobody. */
export interface Asker {
  name: string;
  role: string;
  token?: string;
  /** The cookie of the pages. */
  cookie?: string;
}

/** What is asked. `name` says it without ids, so that a request is found again in another recording. */
export interface Ask {
  name: string;
  method: string;
  url: string;
  headers?: Record<string, string>;
  body?: unknown;
  /** Made of the cookie instead of the token. */
  byCookie?: boolean;
}

export interface Raw {
  status: number;
  headers: Record<string, string | string[] | undefined>;
  bytes: Buffer;
  statements: number;
}

const KEPT = [
  'content-type',
  'location',
  'link',
  'etag',
  'vary',
  'cache-control',
  'content-disposition',
  'retry-after',
  'www-authenticate',
  'allow',
  'set-cookie',
  'last-modified',
  'idempotency-replayed',
  'deprecation',
  'accept-ranges',
  'content-encoding',
];

/** Asks one thing after the other and writes every answer down. */
export class Asking {
  readonly #agent = new Agent({ keepAlive: true, maxSockets: 1 });
  readonly #names = new Map<string, number>();
  #count = 0;

  constructor(
    private readonly address: string,
    private readonly traffic: DatabaseTraffic,
    private readonly normal: NormalText,
    private readonly write: (entry: Entry) => void,
  ) {}

  get count(): number {
    return this.#count;
  }

  /** Asks, records, and hands out the answer as it came. */
  async record<Body = Record<string, unknown>>(
    who: Asker,
    ask: Ask,
  ): Promise<{ status: number; headers: Raw['headers']; body: Body }> {
    const raw = await this.raw(who, ask);
    const { status, headers, bytes } = raw;
    const mediaType = String(headers['content-type'] ?? '').split(';')[0] ?? '';
    const kept = KEPT.flatMap((name) =>
      headers[name] === undefined ? [] : [[name, this.normal.of([headers[name]].flat().join('\n'))]],
    );
    const body = bodyOf(bytes, mediaType, this.normal);
    this.write({
      ask: this.#once(`${who.name}: ${ask.name}`),
      person: who.name,
      role: who.role,
      method: ask.method,
      path: this.normal.of(ask.url),
      ...(ask.body === undefined ? {} : { sent: this.#sent(ask.body) }),
      status,
      headers: Object.fromEntries(kept) as Record<string, string>,
      body,
      statements: raw.statements,
    });
    this.#count += 1;
    const read: unknown = mediaType.endsWith('json') && bytes.length > 0 ? JSON.parse(bytes.toString('utf8')) : {};
    return { status, headers, body: read as Body };
  }

  async raw(who: Asker, { method, url, headers = {}, body, byCookie = false }: Ask): Promise<Raw> {
    const before = this.traffic.statements;
    const answer = await this.#send(
      method,
      url,
      {
        'X-Request-Id': 'recorded',
        ...(byCookie
          ? who.cookie === undefined
            ? {}
            : { Cookie: who.cookie }
          : who.token === undefined
            ? {}
            : { Authorization: `Bearer ${who.token}` }),
        ...(body === undefined ? {} : { 'Content-Type': 'application/json' }),
        ...headers,
      },
      body === undefined ? undefined : typeof body === 'string' ? body : JSON.stringify(body),
    );
    await this.traffic.settled();
    return { ...answer, statements: this.traffic.statements - before };
  }

  close(): void {
    this.#agent.destroy();
  }

  #send(
    method: string,
    url: string,
    headers: Record<string, string>,
    body: string | undefined,
  ): Promise<Omit<Raw, 'statements'>> {
    return new Promise((resolve, reject) => {
      const length = body === undefined ? {} : { 'Content-Length': String(Buffer.byteLength(body)) };
      const call = request(
        new URL(url, this.address),
        { method, headers: { ...headers, ...length }, agent: this.#agent },
        (response) => {
          const chunks: Buffer[] = [];
          response.on('data', (chunk: Buffer) => chunks.push(chunk));
          response.on('end', () =>
            resolve({ status: response.statusCode ?? 0, headers: response.headers, bytes: Buffer.concat(chunks) }),
          );
          response.on('error', reject);
        },
      );
      call.on('error', reject);
      call.end(body);
    });
  }

  #sent(body: unknown): unknown {
    if (typeof body === 'string') return this.normal.of(body);
    return JSON.parse(this.normal.of(JSON.stringify(body))) as unknown;
  }

  /** The same thing asked twice keeps both names apart. */
  #once(name: string): string {
    const times = (this.#names.get(name) ?? 0) + 1;
    this.#names.set(name, times);
    return times === 1 ? name : `${name} (time ${times})`;
  }
}
