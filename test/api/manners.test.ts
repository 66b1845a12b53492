/* What every answer carries, what the log keeps and what it must not, and the pages beside the API. */
import { connect } from 'node:net';
import { pino, type Logger } from 'pino';
import { Readiness } from '../../src/platform/health/health.controller.js';
import { PROBLEM_CODES, PROBLEMS } from '../../src/platform/http/problem-catalogue.js';
import { createLogger } from '../../src/platform/logs.js';
import { RanchService } from '../../src/records/yard/ranches/ranch.service.js';
import { type Operation, operationWith, PASSPHRASE, person, signIn } from '../support/people.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

/** The program's own logger, its lines caught instead of printed. */
function caught(): { logger: Logger; lines: string[] } {
  const lines: string[] = [];
  const logger = createLogger('trace');
  (logger as unknown as Record<symbol, unknown>)[pino.symbols.streamSym] = {
    write: (line: string) => lines.push(line),
  };
  return { logger, lines };
}

const METRICS_KEY = 'a-key-for-the-metrics-and-nothing-else';
let world: World;
let operation: Operation;
let lines: string[];
beforeAll(async () => {
  const log = caught();
  lines = log.lines;
  world = await openWorld({ logger: log.logger, metricsKey: METRICS_KEY });
  operation = await operationWith(world, { roles: ['owner', 'manager'] });
});
afterAll(async () => {
  await world.close();
});

describe('headers', () => {
  it.each([
    ['an answer', '/health/live', 200],
    ['a problem', '/v1/nothing', 404],
    ['a page', '/', 200],
    ['the description', '/openapi.json', 200],
    ['the reference', '/reference', 200],
  ])('keep a browser from harm: %s', async (_name, path, status) => {
    const { headers, status: got } = await world.anyone.get(path);
    expect(got).toBe(status);
    expect(headers['content-security-policy']).toContain("default-src 'self'");
    expect(headers['content-security-policy']).toContain("frame-ancestors 'none'");
    expect(headers).toMatchObject({ 'x-content-type-options': 'nosniff', 'referrer-policy': 'no-referrer' });
    expect(headers['x-powered-by']).toBeUndefined();
    expect(headers['server']).toBeUndefined();
    expect(headers['access-control-allow-origin']).toBeUndefined();
  });

  it('keep what is personal out of shared caches', async () => {
    expect((await operation.as.manager.get(operation.at('/ranches'))).headers['cache-control']).toBe('no-store');
    expect((await operation.as.manager.get(operation.at(''))).headers['cache-control']).toBe('private, no-cache');
  });
});

describe('the request id', () => {
  it("is the client's own where it is harmless", async () => {
    const answer = await world.anyone.get('/v1/nothing', { headers: { 'X-Request-Id': 'phone-17.2_a' } });
    expect([answer.headers['x-request-id'], answer.body['requestId']]).toEqual(['phone-17.2_a', 'phone-17.2_a']);
  });

  it.each(['a b', 'x'.repeat(81), '{"level":60}', 'a;b', '<script>', ''])(
    'is replaced where it could forge a line: %j',
    async (given) => {
      const answer = await world.anyone.get('/v1/nothing', { headers: { 'X-Request-Id': given } });
      expect(answer.headers['x-request-id']).toMatch(/^[0-9a-f-]{36}$/);
      expect(answer.body['requestId']).toBe(answer.headers['x-request-id']);
    },
  );

  it('differs from request to request', async () => {
    const ids = await Promise.all(
      Array.from({ length: 5 }, async () => (await world.anyone.get('/health/live')).headers['x-request-id']),
    );
    expect(new Set(ids).size).toBe(5);
  });
});

describe('the log', () => {
  const logOf = async (work: () => Promise<unknown>): Promise<string> => {
    lines.length = 0;
    await work();
    return lines.join('');
  };

  it('names a slow statement by its address and operation, without the values in it', async () => {
    const id = await ranch(operation, { name: 'Slow to rename' });
    const { headers } = await operation.as.manager.get(operation.at(`/ranches/${id}`), { expect: 200 });
    const holder = await world.ownerPool.connect();
    await holder.query('BEGIN');
    await holder.query('SELECT 1 FROM ranch WHERE id = $1 FOR UPDATE', [id]);
    const log = await logOf(async () => {
      const changed = operation.as.manager.patch(
        operation.at(`/ranches/${id}`),
        { name: 'Nobody else knows this' },
        { ifMatch: headers['etag'] ?? '', expect: 200 },
      );
      setTimeout(() => void holder.query('ROLLBACK'), 700);
      await changed;
    });
    holder.release();
    const slow = log
      .split('\n')
      .filter((line) => line.includes('"slow statement"'))
      .map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(slow).toEqual([
      expect.objectContaining({
        address: 'PATCH /v1/operations/:operationId/ranches/:ranchId',
        operationId: operation.id,
        statement: expect.stringMatching(/ranch.*\$1/) as string,
        ms: expect.any(Number) as number,
      }),
    ]);
    expect(JSON.stringify(slow)).not.toMatch(new RegExp(`Nobody else knows|${id}`));
  });

  it('says who asked what, with the request id, one JSON object a line', async () => {
    const log = await logOf(() =>
      operation.as.manager.get(operation.at('/ranches'), { headers: { 'X-Request-Id': 'follow-me' }, expect: 200 }),
    );
    const parsed = log
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(parsed.some((line) => JSON.stringify(line).includes('follow-me'))).toBe(true);
    expect(log).toContain(operation.at('/ranches'));
  });

  it('keeps no passphrase, token, key or query', async () => {
    const who = await person(world, 'rancher');
    let secrets: string[] = [];
    const log = await logOf(async () => {
      const { accessToken, refreshToken } = await signIn(world, who);
      const renewed = await world.anyone.post<{ accessToken: string }>(
        '/v1/token-refresh',
        { refreshToken },
        { key: null, expect: 200 },
      );
      const key = await operation.as.owner.post<{ secret: string }>(
        operation.at('/api-keys'),
        { name: 'K', scopes: ['read'], expiresAt: '2027-12-31T00:00:00Z' },
        { expect: 201 },
      );
      await world.anyone
        .as(key.body.secret)
        .get(operation.at('/ranches'), { query: { cursor: 'looks-like-a-secret' } });
      await world.anyone.post(
        '/v1/sign-in',
        { email: who.email, passphrase: 'wrong but private' },
        { key: null, expect: 401 },
      );
      await world.anyone.post('/v1/sign-in', '{"email": "x", "passphrase": "half a doc', { key: null, expect: 400 });
      secrets = [
        PASSPHRASE,
        accessToken,
        refreshToken,
        renewed.body.accessToken,
        key.body.secret,
        'looks-like-a-secret',
        'wrong but private',
        'half a doc',
      ];
    });
    expect(log.length).toBeGreaterThan(500);
    for (const secret of secrets) expect(log).not.toContain(secret);
  });

  it('withholds secrets also where somebody logs an object that holds them', () => {
    const { logger, lines: own } = caught();
    logger.info(
      {
        body: { passphrase: PASSPHRASE, accessToken: 'rya_x', refreshToken: 'ryr_x', secret: 'ryk_x' },
        headers: { authorization: 'Bearer rya_x' },
      },
      'careless',
    );
    expect(own.join('')).not.toMatch(/north feed ground|ry[ark]_x/);
    expect(own.join('')).toContain('[withheld]');
  });

  it('keeps the whole of a fault that the answer does not tell', async () => {
    const fault = jest
      .spyOn(world.application.get(RanchService, { strict: false }), 'list')
      .mockRejectedValue(new Error('the well ran dry'));
    const log = await logOf(() =>
      operation.as.manager.get(operation.at('/ranches'), { headers: { 'X-Request-Id': 'fault-1' }, expect: 500 }),
    );
    fault.mockRestore();
    const line = log.split('\n').find((one) => one.includes('the well ran dry')) ?? '';
    expect(JSON.parse(line)).toMatchObject({
      level: 50,
      reqId: 'fault-1',
      err: { message: 'the well ran dry', stack: expect.stringContaining('manners.test.ts') as unknown },
    });
  });
});

describe('health', () => {
  it('is alive and ready', async () => {
    expect((await world.anyone.get('/health/live', { expect: 200 })).body).toEqual({ status: 'ok' });
    expect((await world.anyone.get('/health/ready', { expect: 200 })).body).toEqual({ status: 'ok' });
  });

  it('is ready with a warning, in words, where something has to be seen to', async () => {
    const { warnings } = world.application.get(Readiness);
    warnings.push(() => Promise.resolve('The disk is full.'));
    const { body } = await world.anyone.get('/health/ready', { expect: 200 });
    warnings.pop();
    expect(body).toEqual({ status: 'ok', warnings: ['The disk is full.'] });
  });

  it('is alive but not ready while it stops', async () => {
    const readiness = world.application.get(Readiness);
    readiness.stopping = true;
    const answer = await world.anyone.get('/health/ready');
    readiness.stopping = false;
    expect([answer.status, answer.body['type'], answer.headers['retry-after']]).toEqual([
      503,
      '/problems/not-ready',
      '2',
    ]);
    expect((await world.anyone.get('/health/live')).status).toBe(200);
  });

  it('is alive but not ready while the database does not answer', async () => {
    const silent = jest.spyOn(world.database, 'answers').mockResolvedValue(false);
    expect((await world.anyone.get('/health/ready')).status).toBe(503);
    silent.mockRestore();
  });
});

describe('the pages beside the API', () => {
  it.each(PROBLEM_CODES)('explain %s', async (code) => {
    const { text, headers } = await world.anyone.get(`/problems/${code}`, { expect: 200 });
    expect(headers['content-type']).toBe('text/html; charset=utf-8');
    const plain = text.replaceAll('&#39;', "'").replaceAll('&quot;', '"').replaceAll('&amp;', '&');
    expect(plain).toContain(PROBLEMS[code].title);
    expect(plain).toContain(PROBLEMS[code].meaning);
    expect(plain).toContain(PROBLEMS[code].whatToDo);
  });

  it('list them all', async () => {
    const { text } = await world.anyone.get('/problems', { expect: 200 });
    for (const code of PROBLEM_CODES) expect(text).toContain(`href="/problems/${code}"`);
    expect((await world.anyone.get('/problems/no-such-code')).status).toBe(404);
    expect((await world.anyone.get('/problems/constructor')).status).toBe(404);
  });

  it('of the reference and every other page ask nothing of another host', async () => {
    for (const path of ['/', '/problems', '/reference', '/reference/start.js']) {
      const { text } = await world.anyone.get(path, { expect: 200 });
      expect(text).not.toMatch(/(src|href|url)\s*[=:(]\s*["']?(https?:)?\/\//);
    }
    const { text } = await world.anyone.get('/reference');
    const assets = [...text.matchAll(/(?:src|href)="(\/[^"]+)"/g)].map((match) => match[1] ?? '');
    expect(assets.length).toBeGreaterThan(2);
    for (const asset of assets) expect([asset, (await world.anyone.get(asset)).status]).toEqual([asset, 200]);
  });

  it('let nobody out of the folder of assets', async () => {
    for (const path of [
      '/reference/assets/../package.json',
      '/reference/assets/..%2f..%2fpackage.json',
      '/reference/assets/%2e%2e/%2e%2e/package.json',
    ]) {
      const { text } = await world.anyone.get(path);
      expect(text).not.toContain('"rickyard"');
    }
  });
});

describe('the letters of a body', () => {
  const post = (body: string, headers: Record<string, string> = {}) =>
    operation.as.manager.post(operation.at('/ranches'), body, { headers });
  const around = (bytes: number[]): Buffer =>
    Buffer.concat([Buffer.from('{"name":"Caf'), Buffer.from(bytes), Buffer.from('"}')]);

  // RFC 3629: Latin-1's é; bytes that stand nowhere in UTF-8; half of a surrogate pair; an overlong slash.
  it.each([[[0xe9]], [[0xff, 0xfe]], [[0xed, 0xa0, 0x80]], [[0xc0, 0xaf]]])(
    'are UTF-8, and nothing else is guessed at: %j',
    async (bytes) => {
      const { statusCode, payload } = await world.application.inject({
        method: 'POST',
        url: operation.at('/ranches'),
        headers: {
          authorization: `Bearer ${operation.as.manager.token ?? ''}`,
          'content-type': 'application/json',
          'idempotency-key': '"letters"',
        },
        payload: around(bytes),
      });
      expect([statusCode, JSON.parse(payload)]).toMatchObject([
        400,
        { type: '/problems/malformed-body', detail: expect.stringContaining('not valid UTF-8') as unknown },
      ]);
    },
  );

  it('may be said to be UTF-8, and come back as they were', async () => {
    for (const type of ['application/json; charset=utf-8', 'application/json;charset="UTF-8"', 'application/json'])
      expect(await post(JSON.stringify({ name: `Café ${type}` }), { 'Content-Type': type })).toMatchObject({
        status: 201,
        body: { name: `Café ${type}` },
      });
  });

  it.each([
    ['application/json; charset=iso-8859-1', '/ranches'],
    ['application/json; charset=utf-16', '/ranches'],
    ['text/csv; charset=utf-16', '/imports/feedings'],
  ])('are not taken under another name: %s', async (type, path) => {
    const answer = await operation.as.manager.post(operation.at(path), '{"name":"x"}', {
      headers: { 'Content-Type': type },
    });
    expect([answer.status, answer.body['type']]).toEqual([415, '/problems/unsupported-media-type']);
  });

  it('are not taken packed', async () => {
    const answer = await post('{"name":"x"}', { 'Content-Encoding': 'gzip' });
    expect([answer.status, answer.body['type'], answer.headers['accept-encoding']]).toEqual([
      415,
      '/problems/unsupported-media-type',
      'identity',
    ]);
  });
});

describe('the form of an answer', () => {
  const status = async (path: string, accept: string): Promise<unknown[]> => {
    const { status: got, headers } = await operation.as.owner.get(operation.at(path), { headers: { Accept: accept } });
    return [got, headers['content-type']?.split(';')[0]];
  };
  const report = '/reports/hay-position?on=2027-01-14';

  it('is none that is ruled out (RFC 9110, 12.4.2: q=0)', async () => {
    expect(await status(report, 'application/json;q=0, */*')).toEqual([200, 'text/csv']);
    expect(await status(report, '*/*;q=0.1, text/csv;q=0, application/json')).toEqual([200, 'application/json']);
    expect(await status('/ranches', 'application/json;q=0, */*')).toEqual([406, 'application/problem+json']);
    expect(await status(report, 'text/*, application/json;q=0.5')).toEqual([200, 'text/csv']);
  });

  it.each(['/journal', '/hay-movements'])('is a list or its register: %s', async (path) => {
    const from = `${path}?from=2026-11-01&until=2027-01-14`;
    expect(await status(from, 'application/pdf')).toEqual([406, 'application/problem+json']);
    expect(await status(from, 'text/csv')).toEqual([200, 'text/csv']);
    expect(await status(from, '*/*')).toEqual([200, 'application/json']);
  });
});

describe('the pages of a list', () => {
  it('are turned by the cursor of that list alone', async () => {
    const ranchId = await ranch(operation);
    for (const name of ['A', 'B']) {
      await herd(operation, ranchId, { name });
      await lot(operation, ranchId, { name });
    }
    const first = await operation.as.manager.get<{ nextCursor: string }>(operation.at('/herds'), {
      query: { limit: '1' },
      expect: 200,
    });
    const turn = (path: string) =>
      operation.as.manager.get(operation.at(path), { query: { limit: '1', cursor: first.body.nextCursor } });
    expect((await turn('/herds')).status).toBe(200);
    expect(await turn('/hay-lots')).toMatchObject({ status: 400, body: { errors: [{ code: 'not-a-cursor' }] } });
  });
});

describe('what is no request at all', () => {
  const raw = (text: string): Promise<string> =>
    new Promise((resolve, reject) => {
      const { hostname, port } = new URL(world.address);
      const chunks: Buffer[] = [];
      const socket = connect(Number(port), hostname, () => socket.write(text));
      socket.on('data', (chunk: Buffer) => chunks.push(chunk));
      socket.on('close', () => {
        resolve(Buffer.concat(chunks).toString('utf8'));
      });
      socket.on('error', reject);
    });

  it.each([
    ['a method that is none', 'FOO /v1/me HTTP/1.1\r\nHost: here\r\nConnection: close\r\n\r\n'],
    ['a NUL in a header', 'GET /v1/me HTTP/1.1\r\nHost: here\r\nX-A: a\0b\r\nConnection: close\r\n\r\n'],
  ])('is told so like any other problem: %s', async (_name, text) => {
    const answer = await raw(text);
    expect(answer).toMatch(/^HTTP\/1\.1 400 /);
    expect(answer).toMatch(/\r\ncontent-type: application\/problem\+json/i);
    expect(JSON.parse(answer.split('\r\n\r\n')[1] ?? '')).toMatchObject({ status: 400, title: 'Bad Request' });
  });

  it.each(['/openapi.json', '/', '/reference', '/problems'])('names the methods of %s', async (path) => {
    const answer = await world.application.inject({ method: 'DELETE', url: path });
    expect([answer.statusCode, answer.headers['allow']]).toEqual([405, 'GET, HEAD']);
  });
});

describe('the metrics', () => {
  const metrics = (headers?: Record<string, string>) =>
    world.application.inject({ url: '/metrics', ...(headers === undefined ? {} : { headers }) });

  it('are shown to whoever has their key, and to nobody else', async () => {
    expect((await metrics()).statusCode).toBe(401);
    for (const token of ['', METRICS_KEY.slice(1), operation.as.owner.token ?? ''])
      expect((await metrics({ authorization: `Bearer ${token}` })).statusCode).toBe(401);
    expect((await metrics({ authorization: `Bearer ${METRICS_KEY}` })).statusCode).toBe(200);
  });

  it('tell durations by address, connections, jobs and the loop delay, and name no operation', async () => {
    const id = await ranch(operation);
    await operation.as.manager.get(operation.at(`/ranches/${id}`), { expect: 200 });
    const { payload, headers } = await metrics({ authorization: `Bearer ${METRICS_KEY}` });
    expect(headers['content-type']).toMatch(/^text\/plain; version=0\.0\.4/);
    const address = '/v1/operations/:operationId/ranches/:ranchId';
    expect(payload).toContain(
      `rickyard_request_duration_seconds_count{method="GET",address="${address}",status="200"} `,
    );
    expect(payload).toMatch(/^rickyard_database_connections\{state="waiting"\} 0$/m);
    expect(payload).toMatch(/^rickyard_heavy_work\{state="running"\} 0$/m);
    expect(payload).toMatch(/^nodejs_eventloop_lag_p99_seconds /m);
    expect(payload).not.toMatch(/[0-9a-f]{8}-[0-9a-f]{4}-/);
    expect(payload).not.toContain(operation.id);
  });
});
