/*
 * Passkeys (WebAuthn) at the API, with a keeper made of node:crypto (test/support/authenticator.ts): made, listed,
 * named, ended; signing in; in place of passphrase and one-time code. In a browser: test/api/passkeys-browser.test.ts.
 */
import { Authenticator } from '../support/authenticator.js';
import type { ApiClient } from '../support/client.js';
import { AT, AT_ITS_ADDRESS, begun, passkeyOf, proofChallenge, signInChallenge } from '../support/passkeys.js';
import {
  clientOf,
  operationWith,
  PASSPHRASE,
  type Person,
  person,
  setUpSecondFactor,
  signIn,
} from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let who: Person;
let as: ApiClient;
beforeAll(async () => {
  world = await openWorld({ outside: AT_ITS_ADDRESS });
});
beforeEach(async () => {
  who = await person(world, 'rancher');
  as = await clientOf(world, who);
});
afterAll(() => world.close());

interface Passkey {
  id: string;
  name: string;
  lastUsedAt: string | null;
  backedUp: boolean;
  endedAt: string | null;
  version: number;
}
const passkeys = async (): Promise<Passkey[]> =>
  (await as.get<{ items: Passkey[] }>('/v1/me/passkeys', { expect: 200 })).body.items;
const kinds = async (): Promise<string[]> =>
  (await as.get<{ items: { kind: string }[] }>('/v1/me/activity')).body.items.map(({ kind }) => kind);
const signInBy = async (keeper: Authenticator) =>
  world.anyone.post<{ accessToken: string; person: { id: string }; type: string }>(
    '/v1/passkey-sign-ins',
    { credential: keeper.shown(await signInChallenge(world.anyone)) },
    { key: null },
  );
/** At /v1/sign-in, with the passphrase and what goes beside it. */
const signInWith = async (more: object) =>
  world.anyone.post<{ type: string }>(
    '/v1/sign-in',
    { email: who.email, passphrase: PASSPHRASE, ...more },
    { key: null },
  );

describe('a passkey', () => {
  it('is made in person, listed, named and ended', async () => {
    const options = await begun(as);
    expect(options).toMatchObject({
      rp: { id: 'books.ranch.example' },
      user: { name: who.email, displayName: who.name },
      attestation: 'none',
      authenticatorSelection: { residentKey: 'required', userVerification: 'required' },
    });
    const { id, recoveryCodes } = await passkeyOf(as);
    expect(recoveryCodes).toHaveLength(10);
    expect(await passkeys()).toEqual([expect.objectContaining({ id, name: 'Phone', lastUsedAt: null, version: 1 })]);
    expect((await begun(as)).excludeCredentials).toHaveLength(1);
    // Codes are there now.
    expect((await passkeyOf(as)).recoveryCodes).toBeNull();
    const path = `/v1/me/passkeys/${id}`;
    const tag = async (): Promise<string> => (await as.get(path, { expect: 200 })).headers['etag'] ?? '';
    const renamed = await as.patch<Passkey>(path, { name: 'The old phone' }, { ifMatch: await tag() });
    expect([renamed.status, renamed.body.name, renamed.body.version]).toEqual([200, 'The old phone', 2]);
    expect((await as.delete(path, { ifMatch: '"1-x"' })).status).not.toBe(204);
    expect((await as.delete(path, { ifMatch: await tag() })).status).toBe(204);
    expect((await as.delete(path, { ifMatch: await tag() })).status).toBe(409);
    expect((await passkeys())[0]?.endedAt).toBe(world.clock.now().toISOString());
    expect(await kinds()).toEqual(expect.arrayContaining(['passkey-added', 'passkey-ended']));
  });

  it('asks for a second look, and a repeat of its request is answered and not done twice', async () => {
    const credential = new Authenticator(AT).made(await begun(as));
    const key = 'passkey-once';
    const send = () =>
      as.post<{ id: string; recoveryCodes: unknown }>('/v1/me/passkeys', { name: 'A', credential }, { key });
    const [first, again] = [await send(), await send()];
    expect([first.status, again.status, again.body.id]).toEqual([201, 201, first.body.id]);
    expect([Array.isArray(first.body.recoveryCodes), again.body.recoveryCodes]).toEqual([true, null]);
    world.clock.advance({ minutes: 11 });
    const late = await as.post<{ type: string }>('/v1/me/passkey-registrations', undefined, { key: null });
    expect([late.status, late.body.type]).toEqual([403, '/problems/second-look-needed']);
    expect((await as.delete(`/v1/me/passkeys/${first.body.id}`, { ifMatch: '"x"' })).status).toBe(403);
  });

  it('signs in alone, and tells when and from where it did', async () => {
    const { keeper } = await passkeyOf(as);
    const { status, body } = await signInBy(keeper);
    expect([status, body.person.id]).toEqual([200, who.id]);
    as = world.anyone.as(body.accessToken);
    expect((await passkeys())[0]).toMatchObject({ lastUsedAt: world.clock.now().toISOString() });
    // It was in person and just now.
    await begun(as);
    expect((await kinds()).filter((kind) => kind.startsWith('signed-in'))).toHaveLength(2);
  });

  it('stands for one-time codes too, where they are set up', async () => {
    await setUpSecondFactor(world, as);
    const { keeper } = await passkeyOf(as);
    expect((await signInBy(keeper)).status).toBe(200);
    expect((await signInWith({})).body.type).toBe('/problems/second-factor-needed');
  });

  it('makes the passphrase alone too little: beside it goes a recovery code, until the passkey is ended', async () => {
    expect((await signInWith({})).status).toBe(200);
    const { id, recoveryCodes } = await passkeyOf(as);
    expect((await signInWith({})).body.type).toBe('/problems/second-factor-needed');
    expect((await signInWith({ recoveryCode: recoveryCodes?.[0] })).status).toBe(200);
    expect((await signInWith({ recoveryCode: recoveryCodes?.[0] })).status).toBe(401);
    expect((await as.get('/v1/me/second-factor')).body).toMatchObject({ inForce: false, passkeys: 1 });
    const path = `/v1/me/passkeys/${id}`;
    await as.delete(path, { ifMatch: (await as.get(path)).headers['etag'] ?? '', expect: 204 });
    expect((await signInWith({})).status).toBe(200);
  });

  it('that has ended signs nobody in', async () => {
    const { keeper, id } = await passkeyOf(as);
    const path = `/v1/me/passkeys/${id}`;
    await as.delete(path, { ifMatch: (await as.get(path)).headers['etag'] ?? '', expect: 204 });
    expect((await signInBy(keeper)).body.type).toBe('/problems/passkey-failed');
  });

  it('of a keeper that counts nothing works again and again', async () => {
    const { keeper } = await passkeyOf(as);
    const never = { counter: 0 };
    for (let at = 0; at < 2; at += 1) {
      const credential = keeper.shown(await signInChallenge(world.anyone), never);
      expect((await world.anyone.post('/v1/passkey-sign-ins', { credential }, { key: null })).status).toBe(200);
    }
  });
});

describe('in place of the passphrase', () => {
  it('it is a second look', async () => {
    const { keeper } = await passkeyOf(as);
    world.clock.advance({ minutes: 11 });
    expect((await as.post('/v1/me/passkey-registrations', undefined, { key: null })).status).toBe(403);
    const passkey = keeper.shown(await proofChallenge(as));
    await as.post('/v1/me/second-look', { passkey }, { key: null, expect: 200 });
    await begun(as);
  });

  it('it sets a new passphrase for who forgot the old one, makes codes, and turns one-time codes off', async () => {
    await setUpSecondFactor(world, as);
    const { keeper } = await passkeyOf(as);
    const newPassphrase = 'a barn full of second cutting';
    const proof = async (): Promise<object> => ({ passkey: keeper.shown(await proofChallenge(as)) });
    await as.post('/v1/me/passphrase', { ...(await proof()), newPassphrase }, { key: null, expect: 200 });
    const { codes } = (await as.post<{ codes: string[] }>('/v1/me/recovery-codes', await proof(), { key: null })).body;
    expect(codes).toHaveLength(10);
    await as.post('/v1/me/second-factor/removal', await proof(), { key: null, expect: 204 });
    const { status } = await world.anyone.post(
      '/v1/sign-in',
      { email: who.email, passphrase: newPassphrase, recoveryCode: codes[0] },
      { key: null },
    );
    expect(status).toBe(200);
    // Both are too many, none is too few.
    for (const wrong of [{ ...(await proof()), presentPassphrase: PASSPHRASE }, {}])
      expect((await as.post('/v1/me/recovery-codes', wrong, { key: null })).status).toBe(400);
  });
});

describe("an owner's policy", () => {
  it('that asks for a second factor is met by a passkey, of the owner and of others', async () => {
    const yard = await operationWith(world, { roles: ['owner', 'hand'] });
    const ask = async (): Promise<number> =>
      (
        await yard.as.owner.patch(
          yard.at(''),
          { accessPolicy: { secondFactor: 'required' } },
          { ifMatch: (await yard.as.owner.get(yard.at(''), { expect: 200 })).headers['etag'] ?? '' },
        )
      ).status;
    expect(await ask()).toBe(422);
    await passkeyOf(yard.as.owner);
    expect(await ask()).toBe(200);
    expect((await yard.as.owner.get(yard.at('/herds'))).status).toBe(200);
    expect((await yard.as.hand.get(yard.at('/herds'))).status).toBe(403);
    const { id } = await passkeyOf(yard.as.hand);
    expect((await yard.as.hand.get(yard.at('/herds'))).status).toBe(200);
    const path = `/v1/me/passkeys/${id}`;
    await yard.as.hand.delete(path, { ifMatch: (await yard.as.hand.get(path)).headers['etag'] ?? '', expect: 204 });
    expect((await yard.as.hand.get(yard.at('/herds'))).status).toBe(403);
  });
});

describe('a server without an address that browsers take', () => {
  it('says so, in words, wherever a passkey would be made or shown', async () => {
    const other = await openWorld();
    try {
      const one = await person(other, 'rancher');
      const client = await clientOf(other, one);
      for (const [of, path] of [
        [client, '/v1/me/passkey-registrations'],
        [client, '/v1/me/passkey-challenges'],
        [other.anyone, '/v1/passkey-challenges'],
      ] as const) {
        const { status, body } = await of.post<{ type: string }>(path, undefined, { key: null });
        expect([path, status, body.type]).toEqual([path, 409, '/problems/passkeys-not-offered']);
      }
      expect((await signIn(other, one)).accessToken).toMatch(/^rya_/);
    } finally {
      await other.close();
    }
  });
});
