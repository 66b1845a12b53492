/*
 * ETag and If-None-Match (RFC 9110, 13): unchanged is 304 and has no body; whatever changes the answer changes the tag.
 */
import { brotliDecompressSync, gunzipSync } from 'node:zlib';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

describe('reading again', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    ranchId = await ranch(operation);
  });
  afterAll(async () => {
    await world.close();
  });

  const again = (path: string, tag: string | undefined, query?: Record<string, string>) =>
    operation.as.manager.get(path, {
      headers: { 'If-None-Match': tag ?? '' },
      ...(query === undefined ? {} : { query }),
    });

  it('answers 304 without a body while nothing changed', async () => {
    const path = operation.at(`/ranches/${ranchId}`);
    const { headers } = await operation.as.manager.get(path, { expect: 200 });
    const tag = headers['etag'] ?? '';
    expect(tag).toMatch(/^"[^"]+"$/);
    const same = await again(path, tag);
    expect([same.status, same.text, same.headers['etag']]).toEqual([304, '', tag]);
    expect((await again(path, `"x", W/${tag}`)).status).toBe(304);
    expect((await again(path, '"x"')).status).toBe(200);
  });

  it('answers anew once the record changed', async () => {
    const id = await ranch(operation);
    const path = operation.at(`/ranches/${id}`);
    const { headers } = await operation.as.manager.get(path, { expect: 200 });
    await operation.as.manager.patch(path, { name: 'Renamed' }, { ifMatch: headers['etag'] ?? '', expect: 200 });
    expect((await again(path, headers['etag'])).status).toBe(200);
  });

  it('tells units apart', async () => {
    const { lotId } = await lot(operation, ranchId);
    const path = operation.at(`/hay-lots/${lotId}`);
    const us = await operation.as.manager.get(path, { query: { units: 'us' }, expect: 200 });
    expect((await again(path, us.headers['etag'], { units: 'metric' })).status).toBe(200);
    expect((await again(path, us.headers['etag'], { units: 'us' })).status).toBe(304);
  });

  it('shows a balance that a feeding changed', async () => {
    const { lotId } = await lot(operation, ranchId);
    const herdId = await herd(operation, ranchId);
    const path = operation.at(`/hay-lots/${lotId}`);
    const before = await operation.as.manager.get(path, { expect: 200 });
    await feeding(operation, herdId, [[lotId, '2000']]);
    const after = await again(path, before.headers['etag']);
    expect([after.status, after.body['balance']]).toEqual([200, { value: '23', unit: 'ton' }]);
  });

  it('shows a head count that a sale changed', async () => {
    const herdId = await herd(operation, ranchId);
    const path = operation.at(`/herds/${herdId}`);
    const before = await operation.as.manager.get(path, { expect: 200 });
    await operation.as.manager.post(
      operation.at(`/herds/${herdId}/head-changes`),
      { kind: 'sale', head: 10, happenedOn: '2027-01-10' },
      { expect: 201 },
    );
    const after = await again(path, before.headers['etag']);
    expect([after.status, after.body['head']]).toEqual([200, 90]);
  });

  it('lets a record be changed by the version that was read, whatever its balance did since', async () => {
    const { lotId } = await lot(operation, ranchId);
    const herdId = await herd(operation, ranchId);
    const path = operation.at(`/hay-lots/${lotId}`);
    const read = await operation.as.manager.get(path, { expect: 200 });
    await feeding(operation, herdId, [[lotId, '2000']]);
    expect(
      (await operation.as.manager.patch(path, { name: 'Renamed' }, { ifMatch: read.headers['etag'] ?? '' })).status,
    ).toBe(200);
  });

  it('takes an If-Match of several tags, of which any may be the one', async () => {
    const path = operation.at(`/ranches/${await ranch(operation)}`);
    const change = async (ifMatch: (tag: string) => string): Promise<number> => {
      const { headers } = await operation.as.manager.get(path, { expect: 200 });
      const ifMatchSent = ifMatch(headers['etag'] ?? '');
      return (await operation.as.manager.patch(path, { name: 'Changed' }, { ifMatch: ifMatchSent })).status;
    };
    const old = (await operation.as.manager.get(path, { expect: 200 })).headers['etag'] ?? '';
    expect(await change((tag) => `"x", ${tag}`)).toBe(200);
    expect(await change((tag) => `${tag},"a,b" , W/"x"`)).toBe(200);
    expect(await change((tag) => `${old}, ${tag}`)).toBe(200);
    expect(await change((tag) => `"x", W/${tag}`)).toBe(412);
    expect(await change((tag) => `x, ${tag}`)).toBe(412);
  });

  it('takes no tag that it did not give: made up, in other letters, or of another record', async () => {
    const path = operation.at(`/ranches/${ranchId}`);
    const { headers } = await operation.as.manager.get(path, { expect: 200 });
    const tag = headers['etag'] ?? '';
    const other = operation.at(`/ranches/${await ranch(operation)}`);
    const foreign = (await operation.as.manager.get(other, { expect: 200 })).headers['etag'] ?? '';
    const [number = ''] = tag.slice(1).split('-');
    for (const ifMatch of [`"${number}-AAAAAAAAAAAAAAAA"`, tag.toUpperCase(), tag.replaceAll('"', ''), foreign]) {
      const answer = await operation.as.manager.patch(path, { name: 'Guessed' }, { ifMatch });
      expect([ifMatch, answer.status]).toEqual([ifMatch, 412]);
    }
  });

  it('does not know a record that is not there or not yours, whatever the If-Match', async () => {
    const stranger = await operationWith(world, { roles: ['owner', 'manager'] });
    const theirs = await ranch(stranger);
    const { headers } = await stranger.as.manager.get(stranger.at(`/ranches/${theirs}`), { expect: 200 });
    for (const id of ['01890000-0000-7000-8000-000000000000', theirs])
      for (const ifMatch of [headers['etag'] ?? '', '"x"', 'W/"x"', '"1-AAAAAAAAAAAAAAAA"', 'x'])
        for (const kind of ['ranches', 'herds', 'hay-lots']) {
          const answer = await operation.as.manager.patch(operation.at(`/${kind}/${id}`), { name: 'X' }, { ifMatch });
          expect([kind, ifMatch, answer.status]).toEqual([kind, ifMatch, 404]);
        }
  });

  it('answers HEAD like GET, without the body', async () => {
    const path = operation.at(`/ranches/${ranchId}`);
    const get = await operation.as.manager.get(path, { expect: 200 });
    const head = await operation.as.manager.send('HEAD', path, undefined);
    expect([head.status, head.headers['etag'], head.text]).toEqual([200, get.headers['etag'], '']);
  });

  const raw = async (path: string, headers: Record<string, string>, sent?: object) => {
    const {
      statusCode,
      headers: got,
      rawPayload,
    } = await world.application.inject({
      method: sent === undefined ? 'GET' : 'POST',
      url: path,
      headers: { authorization: `Bearer ${operation.as.manager.token ?? ''}`, ...headers },
      ...(sent === undefined ? {} : { payload: sent }),
    });
    return { status: statusCode, headers: got, bytes: rawPayload };
  };
  const season = '/reports/season-cost?from=2026-11-01&until=2027-01-31';

  it.each(['/openapi.json', '/reference', '/reference/assets/swagger-ui-bundle.js', 'a report'])(
    'has for %s a strong tag in each encoding, and sends nothing again',
    async (name) => {
      const path = name === 'a report' ? operation.at(season) : name;
      const plain = await raw(path, {});
      const tags = new Set([plain.headers['etag']]);
      for (const [encoding, decoded] of [
        ['br', brotliDecompressSync],
        ['gzip', gunzipSync],
      ] as const) {
        const { headers, bytes } = await raw(path, { 'accept-encoding': encoding });
        expect([headers['content-encoding'], decoded(bytes).equals(plain.bytes)]).toEqual([encoding, true]);
        expect(headers['vary']).toMatch(/accept-encoding/i);
        tags.add(headers['etag']);
        const again = await raw(path, { 'accept-encoding': encoding, 'if-none-match': String(headers['etag']) });
        expect([again.status, again.bytes.length]).toEqual([304, 0]);
      }
      expect([tags.size, [...tags].every((tag) => /^"[^"]+"$/.test(String(tag)))]).toEqual([3, true]);
      expect((await raw(path, { 'if-none-match': '"x"' })).status).toBe(200);
    },
  );

  it('has no metrics where no key opens them', async () => {
    expect((await raw('/metrics', {})).status).toBe(404);
  });

  it('shows a report that a feeding changed', async () => {
    const before = await operation.as.manager.get(operation.at(season), { expect: 200 });
    const { lotId } = await lot(operation, ranchId);
    await feeding(operation, await herd(operation, ranchId), [[lotId, '2000']]);
    expect((await again(operation.at(season), before.headers['etag'])).status).toBe(200);
    const now = await operation.as.manager.get(operation.at(season), { expect: 200 });
    expect((await again(operation.at(season), now.headers['etag'])).status).toBe(304);
  });

  it('compresses lists, but no secret, no page behind a cookie and no record that has a version', async () => {
    const accepted = { 'accept-encoding': 'br, gzip' };
    for (let at = 0; at < 12; at += 1) await ranch(operation);
    expect((await raw(operation.at('/ranches'), accepted)).headers['content-encoding']).toBe('br');
    const long = { email: `${'a'.repeat(2000)}@x.example`, passphrase: 'not this one at all' };
    for (const answer of [
      await raw('/v1/sign-in', accepted, long),
      await raw('/yard', accepted),
      await raw(operation.at(''), accepted),
    ])
      expect(answer.headers['content-encoding']).toBeUndefined();
  });
});
