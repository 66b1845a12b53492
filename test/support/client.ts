import { randomUUID } from 'node:crypto';
import request from 'supertest';
import type { Description } from './conformance.js';

export interface Answer<Body = Record<string, unknown>> {
  status: number;
  headers: Record<string, string>;
  body: Body;
  text: string;
}

export interface CallOptions {
  headers?: Record<string, string>;
  query?: Record<string, string>;
  /** The Idempotency-Key of a POST: made up if absent, none if null. */
  key?: string | null;
  ifMatch?: string;
  /** The status that the test relies on; anything else fails at once and shows the answer. */
  expect?: number;
}

/** Calls the running server as somebody; every answer is checked against the served API description. */
export class ApiClient {
  constructor(
    readonly address: string,
    readonly description: Description,
    readonly token?: string,
  ) {}

  as(token: string | undefined): ApiClient {
    return new ApiClient(this.address, this.description, token);
  }

  get<Body = Record<string, unknown>>(path: string, options: CallOptions = {}): Promise<Answer<Body>> {
    return this.send<Body>('GET', path, undefined, options);
  }

  post<Body = Record<string, unknown>>(path: string, body: unknown, options: CallOptions = {}): Promise<Answer<Body>> {
    const { key = randomUUID(), headers = {} } = options;
    return this.send<Body>('POST', path, body, {
      ...options,
      headers: { ...(key === null ? {} : { 'Idempotency-Key': `"${key}"` }), ...headers },
    });
  }

  patch<Body = Record<string, unknown>>(path: string, body: unknown, options: CallOptions = {}): Promise<Answer<Body>> {
    return this.send<Body>('PATCH', path, body, options);
  }

  delete<Body = Record<string, unknown>>(path: string, options: CallOptions = {}): Promise<Answer<Body>> {
    return this.send<Body>('DELETE', path, undefined, options);
  }

  async send<Body = Record<string, unknown>>(
    method: 'GET' | 'HEAD' | 'POST' | 'PATCH' | 'PUT' | 'DELETE',
    path: string,
    body: unknown,
    options: CallOptions = {},
  ): Promise<Answer<Body>> {
    const target = options.query === undefined ? path : `${path}?${new URLSearchParams(options.query).toString()}`;
    const agent = request(this.address);
    let call = agent[method.toLowerCase() as 'get'](target)
      .ok(() => true)
      .redirects(0)
      .buffer(true)
      .parse(asText);
    if (this.token !== undefined) call = call.set('Authorization', `Bearer ${this.token}`);
    if (options.ifMatch !== undefined) call = call.set('If-Match', options.ifMatch);
    if (typeof body === 'string' || Buffer.isBuffer(body))
      call = call.set('Content-Type', 'application/json').send(body as string);
    else if (body !== undefined) call = call.set('Content-Type', 'application/json').send(JSON.stringify(body));
    for (const [name, value] of Object.entries(options.headers ?? {})) call = call.set(name, value);
    const response = await call;
    const read: unknown = response.body;
    const headers = response.headers as Record<string, string>;
    const { status } = response;
    const text = typeof read === 'string' ? read : '';
    const answer = {
      status,
      headers,
      text,
      body: (text !== '' && /json/.test(headers['content-type'] ?? '') ? JSON.parse(text) : {}) as Body,
    };
    this.description.check({ method, path: target, status, headers, text });
    // A person who is asked about what is unlikely says yes; tests of the question itself expect nothing or 409.
    if (options.expect === 201 && status === 409) {
      const confirm = codesAsked(answer.body);
      if (confirm !== undefined && options.query?.['confirm'] === undefined)
        return this.send<Body>(method, path, body, { ...options, query: { ...options.query, confirm } });
    }
    if (options.expect !== undefined && status !== options.expect)
      throw new Error(`${method} ${target}: expected ${options.expect}, got ${status}\n${text.slice(0, 3000)}`);
    return answer;
  }
}

/** What to say yes to, where that is what was answered. */
function codesAsked(body: unknown): string | undefined {
  const { type, errors = [] } = body as { type?: string; errors?: { code: string }[] };
  return type === '/problems/confirm' ? [...new Set(errors.map(({ code }) => code))].join(',') : undefined;
}

/** The bytes as they came: supertest's own reading would hide a body that is not what its header says. */
function asText(response: request.Response, done: (error: Error | null, text: string) => void): void {
  const stream = response as unknown as NodeJS.ReadableStream;
  const chunks: Buffer[] = [];
  stream.on('data', (chunk: Buffer) => chunks.push(Buffer.from(chunk)));
  stream.on('end', () => done(null, Buffer.concat(chunks).toString('utf8')));
  stream.on('error', (error: Error) => done(error, ''));
}
