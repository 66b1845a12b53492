/* Somebody else uses an account. Its person must be able to see that, and to end all of it. */
import { codeAt } from '../../src/access/second-factor/one-time-code.js';
import { DenialRecorder } from '../../src/access/denials/denial-recorder.store.js';
import type { ApiClient } from '../support/client.js';
import { clientOf, type Operation, operationWith, PASSPHRASE, person, type Person } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let yard: Operation;
let who: Person;
beforeAll(async () => {
  world = await openWorld();
  yard = await operationWith(world);
});
beforeEach(async () => {
  who = await person(world, 'rancher');
});
afterAll(() => world.close());

interface Event {
  happenedAt: string;
  kind: string;
  address: string | null;
  subjectId: string | null;
  attempts: number;
  notice: boolean;
}
const signedIn = async (remoteAddress: string, passphrase = PASSPHRASE): Promise<ApiClient> => {
  const answer = await world.application.inject({
    method: 'POST',
    url: '/v1/sign-in',
    remoteAddress,
    payload: { email: who.email, passphrase },
  });
  return world.anyone.as(answer.json<{ accessToken: string }>().accessToken);
};
const activity = async (as: ApiClient): Promise<Event[]> =>
  (await as.get<{ items: Event[] }>('/v1/me/activity', { expect: 200 })).body.items;
const kinds = async (as: ApiClient): Promise<string[]> => (await activity(as)).map(({ kind }) => kind);
const notices = async (as: ApiClient): Promise<unknown> =>
  (await as.get<Record<string, unknown>>('/v1/me', { expect: 200 })).body['notices'];

describe('the person of an account', () => {
  it('sees each sign-in, and which came from an address that is new; an IPv6 /64 is one', async () => {
    await signedIn('2001:db8:0:1::1');
    await signedIn('2001:db8:0:1:ffff::2');
    const as = await signedIn('198.51.100.7');
    const events = await activity(as);
    expect(events.map(({ kind, address }) => [kind, address])).toEqual([
      ['signed-in-from-new-address', '198.51.100.7'],
      ['signed-in', '2001:db8:0:1:ffff::2'],
      ['signed-in', '2001:db8:0:1::1'],
    ]);
    expect(events[0]).toMatchObject({ happenedAt: world.clock.now().toISOString(), notice: true, attempts: 1 });
    expect([events[1]?.notice, await notices(as)]).toEqual([false, 1]);
  });

  it('sees attempts that failed, equal ones of an hour in one line', async () => {
    for (let at = 0; at < 3; at += 1) await signedIn('203.0.113.9', 'wrong');
    const as = await clientOf(world, who);
    await as.post('/v1/me/second-look', { presentPassphrase: 'wrong' }, { key: null });
    await world.application.get(DenialRecorder).settled();
    const failed = (await activity(as)).filter(({ kind }) => kind.endsWith('-failed'));
    expect(failed.map(({ kind, address, attempts, notice }) => [kind, address, attempts, notice]).sort()).toEqual([
      ['sign-in-failed', '203.0.113.9', 3, true],
      ['wrong-passphrase-failed', expect.any(String), 1, true],
    ]);
    // They are gone after 90 days; what changed the account is not.
    world.clock.advance({ days: 91 });
    await signedIn('203.0.113.10', 'wrong');
    await world.application.get(DenialRecorder).settled();
    expect(await kinds(await clientOf(world, who))).toEqual(['signed-in', 'sign-in-failed', 'signed-in']);
  });

  it('sees what was changed: factors, codes, passphrase, keys of their own and of an operation', async () => {
    const as = await clientOf(world, who);
    const proof = { presentPassphrase: PASSPHRASE };
    const { secret } = (await as.post<{ secret: string }>('/v1/me/second-factor', proof, { key: null, expect: 200 }))
      .body;
    const oneTimeCode = codeAt(secret, world.clock.now());
    const { codes: first } = (
      await as.post<{ codes: string[] }>(
        '/v1/me/second-factor/confirmation',
        { oneTimeCode },
        { key: null, expect: 200 },
      )
    ).body;
    const { codes } = (
      await as.post<{ codes: string[] }>(
        '/v1/me/recovery-codes',
        { ...proof, recoveryCode: first[0] },
        { key: null, expect: 200 },
      )
    ).body;
    await as.post('/v1/me/second-factor/removal', { ...proof, recoveryCode: codes[0] }, { key: null, expect: 204 });
    const key = await as.post<{ id: string }>(
      '/v1/me/api-keys',
      { name: 'desk', scopes: ['read'], expiresAt: new Date(world.clock.now().getTime() + 864e5).toISOString() },
      { expect: 201 },
    );
    await as.post(
      '/v1/me/passphrase',
      { ...proof, newPassphrase: 'a barn full of second cutting', endKeys: true },
      { key: null, expect: 200 },
    );
    const seen = await activity(await clientOf(world, who));
    expect(seen.map(({ kind }) => kind)).toEqual([
      'signed-in',
      'key-ended',
      'passphrase-changed',
      'key-made',
      'second-factor-removed',
      'recovery-code-used',
      'recovery-codes-made',
      'recovery-code-used',
      'recovery-codes-made',
      'second-factor-added',
      'signed-in',
    ]);
    expect(seen[3]?.subjectId).toBe(key.body.id);
  });

  it('is told where an owner ends a key that they made', async () => {
    const [manager, owner] = [await clientOf(world, yard.people.manager), await clientOf(world, yard.people.owner)];
    const path = yard.at('/api-keys');
    const { id } = (
      await manager.post<{ id: string }>(
        path,
        { name: 'pull', scopes: ['read'], expiresAt: new Date(world.clock.now().getTime() + 864e5).toISOString() },
        { expect: 201 },
      )
    ).body;
    const { headers } = await owner.get(`${path}/${id}`, { expect: 200 });
    await owner.delete(`${path}/${id}`, { ifMatch: headers['etag'] ?? '', expect: 204 });
    expect((await activity(manager))[0]).toMatchObject({ kind: 'key-ended', subjectId: id });
    expect(await kinds(owner)).not.toContain('key-ended');
  });

  it('is the only one who sees it: no owner, no key of theirs', async () => {
    const { rows } = await world.ownerPool.query<{ count: string }>('SELECT count(*) FROM account_event');
    expect(Number(rows[0]?.count)).toBeGreaterThan(5);
    const as = await clientOf(world, who);
    expect(await activity(as)).toHaveLength(1);
    const { secret } = (
      await as.post<{ secret: string }>(
        '/v1/me/api-keys',
        { name: 'desk', scopes: ['read'], expiresAt: new Date(world.clock.now().getTime() + 864e5).toISOString() },
        { expect: 201 },
      )
    ).body;
    expect((await world.anyone.as(secret).get('/v1/me/activity')).status).toBe(403);
    expect(await notices(world.anyone.as(secret))).toBe(0);
    const client = await world.appPool.connect();
    try {
      await client.query('BEGIN');
      await client.query('SELECT * FROM rickyard.enter($1, NULL, now(), NULL)', [yard.people.owner.id]);
      const others = await client.query('SELECT 1 FROM account_event WHERE person_id <> $1', [yard.people.owner.id]);
      expect(others.rowCount).toBe(0);
    } finally {
      await client.query('ROLLBACK');
      client.release();
    }
  });

  it('ends every session and every key at once', async () => {
    const [as, other] = [await clientOf(world, who), await clientOf(world, who)];
    const { secret } = (
      await other.post<{ secret: string }>(
        '/v1/me/api-keys',
        { name: 'not mine', scopes: ['read'], expiresAt: new Date(world.clock.now().getTime() + 864e5).toISOString() },
        { expect: 201 },
      )
    ).body;
    expect((await world.anyone.as(secret).get('/v1/me')).status).toBe(200);
    await as.post('/v1/sign-out', { everywhere: true, endKeys: true }, { key: null, expect: 204 });
    const left = [as, other, world.anyone.as(secret)].map(async (one) => (await one.get('/v1/me')).status);
    expect(await Promise.all(left)).toEqual([401, 401, 401]);
    expect(await kinds(await clientOf(world, who))).toEqual([
      'signed-in',
      'key-ended',
      'key-made',
      'signed-in',
      'signed-in',
    ]);
  });
});
