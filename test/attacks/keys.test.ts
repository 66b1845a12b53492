/*
 * A key is a piece of paper that may lie about, and a session one that may be left open. Neither may take over what it
 * opens: no key manages keys, and a session does so only soon after its person has shown a secret again.
 */
import { codeAt } from '../../src/access/second-factor/one-time-code.js';
import { ENDPOINTS, PAGES } from '../../src/platform/http/endpoint.js';
import { SECOND_LOOK_MINUTES } from '../../src/platform/http/second-look.js';
import { newId } from '../../src/platform/identifiers.js';
import { SECOND_LOOK } from '../catalogue/access-matrix.js';
import type { ApiClient } from '../support/client.js';
import {
  clientOf,
  join,
  type Operation,
  operationWith,
  PASSPHRASE,
  person,
  setUpSecondFactor,
  signIn,
} from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let yard: Operation;
beforeEach(async () => {
  // Whatever a test did to the clock: everybody has just signed in.
  yard.as = { ...yard.as };
  for (const role of ['owner', 'manager', 'accountant', 'hand'] as const)
    yard.as[role] = await clientOf(world, yard.people[role]);
});
beforeAll(async () => {
  world = await openWorld();
  yard = await operationWith(world);
});
afterAll(() => world.close());

interface Key {
  id: string;
  secret: string;
  name: string;
}
const until = (days: number): string => new Date(world.clock.now().getTime() + days * 86_400_000).toISOString();
const key = async (by: ApiClient, name: string, at = yard.at('/api-keys')): Promise<Key> =>
  (await by.post<Key & Record<string, unknown>>(at, { name, scopes: ['read'], expiresAt: until(700) }, { expect: 201 }))
    .body;
const etag = async (as: ApiClient, path: string): Promise<string> =>
  (await as.get(path, { expect: 200 })).headers['etag'] ?? '';
const goes = async ({ secret }: Key): Promise<number> => (await world.anyone.as(secret).get(yard.at('/herds'))).status;

describe('a key', () => {
  it('ends, rotates and makes no key, not even its own, and ends no membership', async () => {
    const [held, other] = [await key(yard.as.accountant, 'held'), await key(yard.as.accountant, 'other')];
    const as = world.anyone.as(held.secret);
    for (const { id } of [other, held]) {
      const path = yard.at(`/api-keys/${id}`);
      const ifMatch = await etag(yard.as.accountant, path);
      expect((await as.delete(path, { ifMatch })).status).toBe(403);
      expect((await as.post(`${path}/rotation`, { overlapHours: 0 })).status).toBe(403);
    }
    const { items } = (
      await yard.as.accountant.get<{ items: { id: string; personId: string }[] }>(yard.at('/memberships'))
    ).body;
    const own = yard.at(`/memberships/${items.find((one) => one.personId === yard.people.accountant.id)?.id ?? ''}`);
    const left = await as.post(`${own}/end`, { reason: 'By key' }, { ifMatch: await etag(as, own), key: null });
    expect(left.status).toBe(403);
    expect([await goes(held), await goes(other)]).toEqual([200, 200]);
  });

  it.each([['read'], ['read', 'prices']])(
    'is told what it may see itself, not what its maker may: %s',
    async (...scopes) => {
      const made = await yard.as.owner.post<Key & Record<string, unknown>>(
        yard.at('/api-keys'),
        { name: scopes.join(' '), scopes, expiresAt: until(30) },
        { expect: 201 },
      );
      const as = world.anyone.as(made.body.secret);
      const sees = (await as.get(yard.at('/yardage-rates'))).status === 200;
      expect(sees).toBe(scopes.includes('prices'));
      const { memberships } = (await as.get<{ memberships: object[] }>('/v1/me', { expect: 200 })).body;
      expect(memberships).toMatchObject([{ operationId: yard.id, seesPrices: sees }]);
      expect((await as.get(yard.at(''), { expect: 200 })).body).toMatchObject({ seesPrices: sees });
    },
  );

  it('changes no row of a key, whatever the program asks: the database holds it back', async () => {
    const [held, other] = [await key(yard.as.accountant, 'held'), await key(yard.as.accountant, 'other')];
    const client = await world.appPool.connect();
    try {
      await client.query('BEGIN');
      await client.query('SELECT * FROM rickyard.enter($1, $2, $3, NULL)', [
        yard.people.accountant.id,
        held.id,
        world.clock.now().toISOString(),
      ]);
      expect((await client.query('UPDATE api_key SET revoked_at = now() WHERE id = $1', [other.id])).rowCount).toBe(0);
      expect((await client.query('UPDATE api_key SET expires_at = now()')).rowCount).toBe(0);
      await expect(
        client.query(
          'INSERT INTO api_key (operation_id, id, name, secret_hash, scopes, expires_at, created_by) ' +
            "VALUES ($1, $2, 'Child', 'x', '{read}', now(), $3)",
          [yard.id, newId(), yard.people.accountant.id],
        ),
      ).rejects.toMatchObject({ code: '42501' });
    } finally {
      await client.query('ROLLBACK');
      client.release();
    }
  });

  it('of anybody in the operation is ended by an owner', async () => {
    const made = await key(yard.as.manager, 'left behind');
    const path = yard.at(`/api-keys/${made.id}`);
    await yard.as.owner.delete(path, { ifMatch: await etag(yard.as.owner, path), expect: 204 });
    expect(await goes(made)).toBe(401);
  });
});

describe('the key of somebody who left', () => {
  it('stays ended when they are let in again: it opens nothing and makes no other, and a new one does', async () => {
    const made = await key(yard.as.hand, 'of the first winter');
    const [of, id] = [yard.as.owner, yard.people.hand.id];
    expect(await goes(made)).toBe(200);
    const { items } = (await of.get<{ items: { id: string; personId: string }[] }>(yard.at('/memberships'))).body;
    const path = yard.at(`/memberships/${items.find(({ personId }) => personId === id)?.id ?? ''}`);
    await of.post(`${path}/end`, { reason: 'Season over' }, { ifMatch: await etag(of, path), key: null, expect: 200 });
    expect(await goes(made)).toBe(404);
    world.clock.advance({ minutes: 1 });
    await join(world, yard.people.hand, yard.id, 'hand', { from: world.clock.now().toISOString() });
    expect((await yard.as.hand.get(yard.at('/herds'))).status).toBe(200);
    expect(await goes(made)).toBe(404);
    const again = await clientOf(world, yard.people.hand);
    const rotated = await again.post(yard.at(`/api-keys/${made.id}/rotation`), { overlapHours: 0 });
    expect(rotated.status).toBe(409);
    expect(await goes(await key(again, 'of the second winter'))).toBe(200);
  });
});

describe('a session that was left open', () => {
  it('is asked for a second look at these addresses, and at no others', async () => {
    expect(
      [...ENDPOINTS, ...PAGES]
        .filter((one) => one.secondLook === true)
        .map((one) => one.operationId)
        .sort(),
    ).toEqual([...SECOND_LOOK].sort());
    const { owner } = yard.as;
    world.clock.advance({ minutes: SECOND_LOOK_MINUTES + 1 });
    const wrong: string[] = [];
    for (const one of [...ENDPOINTS, ...PAGES].filter(({ access }) => access !== 'public')) {
      const path = one.path.replace(':operationId', yard.id).replaceAll(/:[A-Za-z]+/g, () => newId());
      const { payload } = await world.application.inject({
        method: one.method,
        url: path,
        headers: { authorization: `Bearer ${owner.token ?? ''}` },
        ...(one.body === undefined ? {} : { payload: { 'no such field': true } }),
      });
      if (payload.includes('/problems/second-look-needed') !== (one.secondLook === true))
        wrong.push(`${one.operationId}: ${payload.slice(0, 100)}`);
    }
    expect(wrong).toEqual([]);
  });

  it('changes no policy of the owner, and takes no archive; what is no policy it changes', async () => {
    const { owner } = yard.as;
    world.clock.advance({ minutes: SECOND_LOOK_MINUTES + 1 });
    const change = async (body: object) => owner.patch(yard.at(''), body, { ifMatch: await etag(owner, yard.at('')) });
    for (const accessPolicy of [{ secondFactor: 'optional' }, { keyDaysMost: null }, { consultantHoursMost: 8 }]) {
      const refused = await change({ name: 'Taken over', accessPolicy });
      expect([refused.status, refused.body['type']]).toEqual([403, '/problems/second-look-needed']);
    }
    expect((await owner.get(yard.at('/archive'))).body['type']).toBe('/problems/second-look-needed');
    expect((await change({ unitPreference: 'us' })).status).toBe(200);
    await owner.post('/v1/me/second-look', { presentPassphrase: PASSPHRASE }, { key: null, expect: 200 });
    expect((await change({ accessPolicy: { keyDaysMost: null } })).status).toBe(200);
    expect((await owner.get(yard.at('/archive'))).status).toBe(200);
  });

  it('makes a key of two years only after a new proof: passphrase, and one-time code if there is one', async () => {
    const who = yard.people.accountant;
    const as = yard.as.accountant;
    await key(as, 'just signed in');
    world.clock.advance({ minutes: SECOND_LOOK_MINUTES + 1 });
    const body = { name: 'Two years', scopes: ['read'], expiresAt: until(700) };
    const refused = await as.post(yard.at('/api-keys'), body);
    expect([refused.status, refused.body['type']]).toEqual([403, '/problems/second-look-needed']);
    expect((await as.post('/v1/me/second-look', { presentPassphrase: 'not this one' }, { key: null })).status).toBe(
      422,
    );
    expect((await as.post('/v1/me/second-look', {}, { key: null })).status).toBe(400);
    expect((await as.post('/v1/me/second-look', { oneTimeCode: '123456' }, { key: null })).status).toBe(400);
    expect((await as.post(yard.at('/api-keys'), body)).status).toBe(403);
    const { goodUntil } = (
      await as.post<{ goodUntil: string }>(
        '/v1/me/second-look',
        { presentPassphrase: PASSPHRASE },
        { key: null, expect: 200 },
      )
    ).body;
    expect(Date.parse(goodUntil) - world.clock.now().getTime()).toBe(SECOND_LOOK_MINUTES * 60_000);
    await as.post(yard.at('/api-keys'), body, { expect: 201 });
    // Of this session, and of no other of the same person.
    const elsewhere = await clientOf(world, who);
    await world.ownerPool.query(
      'UPDATE person_session SET proven_at = NULL WHERE id = (SELECT id FROM person_session WHERE person_id = $1 ' +
        'ORDER BY created_at DESC, id DESC LIMIT 1)',
      [who.id],
    );
    expect((await elsewhere.post(yard.at('/api-keys'), body)).status).toBe(403);

    const secret = await setUpSecondFactor(world, elsewhere);
    world.clock.advance({ minutes: 1 });
    await elsewhere.post(
      '/v1/me/second-look',
      { presentPassphrase: PASSPHRASE, oneTimeCode: codeAt(secret, world.clock.now()) },
      { key: null, expect: 200 },
    );
    await elsewhere.post(yard.at('/api-keys'), body, { expect: 201 });
  });
});

describe('a session that is renewed again and again', () => {
  it('ends all the same, 90 days after signing in', async () => {
    const begun = world.clock.now().getTime();
    let pair = await signIn(world, await person(world, 'renewer'));
    const ends: string[] = [];
    for (const day of [29, 58, 87]) {
      world.clock.set(new Date(begun + day * 86_400_000).toISOString());
      const renewed = await world.anyone.post<typeof pair & { refreshExpiresAt: string }>(
        '/v1/token-refresh',
        { refreshToken: pair.refreshToken },
        { key: null, expect: 200 },
      );
      pair = renewed.body;
      ends.push(renewed.body.refreshExpiresAt);
    }
    expect(ends.map((end) => (Date.parse(end) - begun) / 86_400_000)).toEqual([59, 88, 90]);
    world.clock.set(new Date(begun + 90 * 86_400_000).toISOString());
    const late = await world.anyone.post('/v1/token-refresh', { refreshToken: pair.refreshToken }, { key: null });
    expect([late.status, late.body['type']]).toEqual([401, '/problems/refresh-failed']);
  });
});

describe('a changed passphrase', () => {
  interface Changed {
    keysEnded: number;
    keysRemaining: { id: string; name: string; operationId: string | null; lastUsedAt: string | null }[];
  }
  const NEW = 'a barn full of second cutting';

  it('ends every key of its person where that is asked, and says which remain where it is not', async () => {
    const who = await person(world, 'changer');
    const signedIn = world.anyone.as((await signIn(world, who)).accessToken);
    const { id } = (
      await signedIn.post<{ id: string }>(
        '/v1/operations',
        { name: 'Key yard', unitPreference: 'us', currency: 'USD', timeZone: 'America/Denver' },
        { expect: 201 },
      )
    ).body;
    const at = `/v1/operations/${id}`;
    const [ofOperation, own] = [
      await key(signedIn, 'pull', `${at}/api-keys`),
      await key(signedIn, 'desk', '/v1/me/api-keys'),
    ];
    const works = async (): Promise<number> => (await world.anyone.as(ofOperation.secret).get(`${at}/herds`)).status;
    expect(await works()).toBe(200);
    const kept = (
      await signedIn.post<Changed>(
        '/v1/me/passphrase',
        { presentPassphrase: PASSPHRASE, newPassphrase: NEW },
        { key: null, expect: 200 },
      )
    ).body;
    expect(kept.keysEnded).toBe(0);
    expect(kept.keysRemaining).toEqual([
      expect.objectContaining({
        id: ofOperation.id,
        name: 'pull',
        operationId: id,
        lastUsedAt: world.clock.now().toISOString(),
      }),
      expect.objectContaining({ id: own.id, name: 'desk', operationId: null, lastUsedAt: null }),
    ]);
    const ended = (
      await signedIn.post<Changed>(
        '/v1/me/passphrase',
        { presentPassphrase: NEW, newPassphrase: `${NEW} again`, endKeys: true },
        { key: null, expect: 200 },
      )
    ).body;
    expect(ended).toEqual({ keysEnded: 2, keysRemaining: [] });
    expect(await works()).toBe(401);
    const { items } = (
      await signedIn.get<{ items: { action: string; subjectId: string }[] }>(`${at}/audit`, { expect: 200 })
    ).body;
    expect(items).toContainEqual(expect.objectContaining({ action: 'api-key.revoke', subjectId: ofOperation.id }));
  });
});
