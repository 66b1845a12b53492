/*
 * Somebody has the answer of a passkey, or a page that asks for one, or a copy of it. None of that signs in twice, from
 * elsewhere, or as another.
 */
import { DenialRecorder } from '../../src/access/denials/denial-recorder.store.js';
import { codeAt } from '../../src/access/second-factor/one-time-code.js';
import { SECOND_LOOK_MINUTES } from '../../src/platform/http/second-look.js';
import { Authenticator, type Shown, type Told } from '../support/authenticator.js';
import type { ApiClient } from '../support/client.js';
import { AT, AT_ITS_ADDRESS, begun, passkeyOf, proofChallenge, signInChallenge } from '../support/passkeys.js';
import {
  clientOf,
  join,
  type Operation,
  operationWith,
  PASSPHRASE,
  type Person,
  person,
  setUpSecondFactor,
} from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let who: Person;
let as: ApiClient;
let keeper: Authenticator;
beforeAll(async () => {
  world = await openWorld({ outside: AT_ITS_ADDRESS });
});
beforeEach(async () => {
  who = await person(world, 'rancher');
  as = await clientOf(world, who);
  ({ keeper } = await passkeyOf(as));
});
afterAll(() => world.close());

const send = (credential: Shown) =>
  world.application.inject({
    method: 'POST',
    url: '/v1/passkey-sign-ins',
    payload: { credential },
    // Each from a network of its own: what is tried here is not the counting.
    remoteAddress: `10.${Math.floor(Math.random() * 250)}.${Math.floor(Math.random() * 250)}.7`,
  });
const answerTo = async (told: Told = {}): Promise<Shown> => keeper.shown(await signInChallenge(world.anyone), told);
const refused = async (credential: Shown): Promise<unknown> => {
  const answer = await send(credential);
  return [answer.statusCode, answer.json<{ type: string }>().type];
};
const NO = [401, '/problems/passkey-failed'];
const failures = async (): Promise<string[]> => {
  await world.application.get(DenialRecorder).settled();
  const { items } = (await as.get<{ items: { kind: string }[] }>('/v1/me/activity', { expect: 200 })).body;
  return items.map(({ kind }) => kind);
};

describe('an answer that was overheard', () => {
  it('is good once, and once also for two who send it at the same moment; its person is told', async () => {
    const answer = await answerTo();
    const both = await Promise.all([send(answer), send(answer)]);
    expect(both.map(({ statusCode }) => statusCode).sort()).toEqual([200, 401]);
    expect(await refused(answer)).toEqual(NO);
    expect(await failures()).toContain('passkey-failed');
  });

  it('is no use after five minutes, nor after it failed once', async () => {
    const late = await answerTo();
    world.clock.advance({ minutes: 5 });
    expect(await refused(late)).toEqual(NO);
    const challenge = await signInChallenge(world.anyone);
    const spoiled = keeper.shown(challenge);
    spoiled.response.signature = keeper.shown(challenge).response.signature;
    expect(await refused(spoiled)).toEqual(NO);
    // The challenge is spent by the answer that failed.
    expect(await refused(keeper.shown(challenge))).toEqual(NO);
  });

  it('to a sign-in is none to a second look, nor the other way round, nor to making one', async () => {
    const signIn = await answerTo();
    expect((await as.post('/v1/me/second-look', { passkey: signIn }, { key: null })).status).toBe(422);
    expect(await refused(keeper.shown(await proofChallenge(as)))).toEqual(NO);
    const { challenge } = await signInChallenge(world.anyone);
    const made = new Authenticator(AT).made({ challenge, user: { id: keeper.userHandle ?? '' } });
    expect((await as.post('/v1/me/passkeys', { name: 'x', credential: made })).status).toBe(422);
  });
});

describe('an answer from elsewhere', () => {
  it.each<[string, Told]>([
    ['a page of another address, which asks and passes the answer on', { origin: 'https://books-ranch.example' }],
    ['a page of a sister domain', { origin: 'https://evil.ranch.example' }],
    ['the same name without TLS', { origin: 'http://books.ranch.example' }],
    ['another port', { origin: 'https://books.ranch.example:8443' }],
    ['a page in somebody else’s frame', { crossOrigin: true }],
    ['a passkey made for another domain', { rpId: 'ranch.example' }],
    ['a keeper that did not verify who it was', { verified: false }],
    ['a keeper that nobody touched', { present: false }],
    ['a ceremony of another kind', { type: 'webauthn.create' }],
    ['a passkey that says it is somebody else’s', { userHandle: Buffer.alloc(16, 7).toString('base64url') }],
    ['a challenge of one’s own making', { challenge: Buffer.alloc(54, 7).toString('base64url') }],
  ])('%s: signs nobody in', async (_what, told) => {
    expect(await refused(await answerTo(told))).toEqual(NO);
  });

  it('made there is not registered either', async () => {
    for (const told of [
      { origin: 'https://books-ranch.example' },
      { rpId: 'ranch.example' },
      { verified: false },
      { crossOrigin: true },
      { type: 'webauthn.get' },
    ] satisfies Told[]) {
      const credential = new Authenticator(AT).made(await begun(as), told);
      const { status } = await as.post('/v1/me/passkeys', { name: 'x', credential });
      expect([told, status]).toEqual([told, 422]);
    }
  });
});

describe("another person's passkey", () => {
  let other: ApiClient;
  let theirs: Authenticator;
  beforeEach(async () => {
    other = await clientOf(world, await person(world, 'neighbor'));
    ({ keeper: theirs } = await passkeyOf(other));
  });

  it('is no second look for me, with my challenge or with theirs', async () => {
    for (const challenge of [await proofChallenge(as), await proofChallenge(other)]) {
      const { status } = await as.post('/v1/me/second-look', { passkey: theirs.shown(challenge) }, { key: null });
      expect(status).toBe(422);
    }
    // Nor is mine with the challenge that was made for them.
    const mine = keeper.shown(await proofChallenge(other));
    expect((await as.post('/v1/me/second-look', { passkey: mine }, { key: null })).status).toBe(422);
  });

  it('cannot be registered as mine: not with their challenge, and not under the id of theirs', async () => {
    const stolen = new Authenticator(AT).made(await begun(other));
    expect((await as.post('/v1/me/passkeys', { name: 'x', credential: stolen })).status).toBe(422);
    const same = theirs.made(await begun(as));
    expect((await as.post('/v1/me/passkeys', { name: 'x', credential: same })).status).toBe(409);
  });

  it('signed in the name of mine opens neither account', async () => {
    const answer = theirs.shown(await signInChallenge(world.anyone), { userHandle: keeper.userHandle ?? '' });
    expect(await refused({ ...answer, id: keeper.id })).toEqual(NO);
    expect(await refused({ ...theirs.shown(await signInChallenge(world.anyone)), id: keeper.id })).toEqual(NO);
  });

  it('is neither listed, named nor ended by me', async () => {
    const { items } = (await other.get<{ items: { id: string }[] }>('/v1/me/passkeys')).body;
    const path = `/v1/me/passkeys/${items[0]?.id ?? ''}`;
    const ifMatch = (await other.get(path)).headers['etag'] ?? '';
    expect((await as.get(path)).status).toBe(404);
    expect((await as.patch(path, { name: 'mine' }, { ifMatch })).status).toBe(404);
    expect((await as.delete(path, { ifMatch })).status).toBe(404);
  });
});

it('a copy of a passkey is noticed by its count, and its person told', async () => {
  const copy = keeper.copied();
  expect((await send(copy.shown(await signInChallenge(world.anyone)))).statusCode).toBe(200);
  // The true one is behind now.
  expect(await refused(await answerTo())).toEqual(NO);
  expect(await failures()).toContain('passkey-count-fell');
  expect(
    (await as.get<{ items: { countFellAt: string | null }[] }>('/v1/me/passkeys')).body.items[0]?.countFellAt,
  ).toBe(world.clock.now().toISOString());
  // A count that nobody signed says nothing: whoever makes one up raises no alarm.
  const { items } = (await as.get<{ items: { kind: string }[] }>('/v1/me/activity')).body;
  const before = items.filter(({ kind }) => kind === 'passkey-count-fell').length;
  const forged = await answerTo({ counter: 1 });
  forged.response.signature = (await answerTo()).response.signature;
  await refused(forged);
  expect((await failures()).filter((kind) => kind === 'passkey-count-fell')).toHaveLength(before);
});

it('a key of the person’s own makes, shows and ends no passkey', async () => {
  const { secret } = (
    await as.post<{ secret: string }>(
      '/v1/me/api-keys',
      { name: 'desk', scopes: ['read'], expiresAt: new Date(world.clock.now().getTime() + 864e5).toISOString() },
      { expect: 201 },
    )
  ).body;
  const key = world.anyone.as(secret);
  expect((await key.post('/v1/me/passkey-registrations', undefined, { key: null })).status).toBe(403);
  expect((await key.get('/v1/me/passkeys')).status).toBe(403);
});

it('asking for challenges fills no table, and the passphrase of who has a passkey opens nothing alone', async () => {
  const rows = async (): Promise<string> =>
    (await world.ownerPool.query<{ n: string }>('SELECT count(*) AS n FROM spent_challenge')).rows[0]?.n ?? '';
  const before = await rows();
  for (let at = 0; at < 50; at += 1) await signInChallenge(world.anyone);
  expect(await rows()).toBe(before);
  // Those that were answered go once they would have expired.
  world.clock.advance({ minutes: 11 });
  expect((await send(await answerTo())).statusCode).toBe(200);
  expect(await rows()).toBe('1');
  const { body } = await world.anyone.post('/v1/sign-in', { email: who.email, passphrase: PASSPHRASE }, { key: null });
  expect(body['type']).toBe('/problems/second-factor-needed');
});

it('guesses at one passkey from one address are counted', async () => {
  const answers: number[] = [];
  for (let at = 0; at < 10; at += 1) {
    const credential = await answerTo({ verified: false });
    answers.push((await world.anyone.post('/v1/passkey-sign-ins', { credential }, { key: null })).status);
  }
  expect(answers).toEqual([...Array.from({ length: 8 }, () => 401), 429, 429]);
});

it('a form from another site signs nobody in to the pages', async () => {
  const { statusCode } = await world.application.inject({
    method: 'POST',
    url: '/yard/sign-in/passkey',
    headers: { 'content-type': 'application/x-www-form-urlencoded', 'sec-fetch-site': 'cross-site' },
    payload: new URLSearchParams({ credential: JSON.stringify(await answerTo()) }).toString(),
  });
  expect(statusCode).toBe(403);
});

describe('whoever has the passphrase and a session that was left open, and no passkey', () => {
  const given = { presentPassphrase: PASSPHRASE };
  const ofPasskey = async (by: ApiClient): Promise<{ path: string; ifMatch: string }> => {
    const { items } = (await by.get<{ items: { id: string; endedAt: string | null }[] }>('/v1/me/passkeys')).body;
    const path = `/v1/me/passkeys/${items.find(({ endedAt }) => endedAt === null)?.id ?? ''}`;
    return { path, ifMatch: (await by.get(path, { expect: 200 })).headers['etag'] ?? '' };
  };
  beforeEach(() => {
    world.clock.advance({ minutes: SECOND_LOOK_MINUTES + 1 });
  });

  it('takes no second look, makes no codes that would stand beside it, and ends no passkey', async () => {
    const newPassphrase = 'a barn full of second cutting';
    for (const [path, body] of [
      ['/v1/me/second-look', given],
      ['/v1/me/recovery-codes', given],
      ['/v1/me/second-factor', given],
      ['/v1/me/passphrase', { ...given, newPassphrase }],
    ] as const) {
      const answer = await as.post<{ errors?: { code: string }[] }>(path, body, { key: null });
      expect([path, answer.status, answer.body.errors?.[0]?.code]).toEqual([path, 422, 'code-needed']);
    }
    const { path, ifMatch } = await ofPasskey(as);
    expect((await as.delete(path, { ifMatch })).status).toBe(403);
    const { body } = await world.anyone.post(
      '/v1/sign-in',
      { email: who.email, passphrase: PASSPHRASE },
      { key: null },
    );
    expect(body['type']).toBe('/problems/second-factor-needed');
  });

  it('guesses at the code beside it no more often than at the passphrase', async () => {
    const answers: number[] = [];
    for (let at = 0; at < 10; at += 1)
      answers.push(
        (await as.post('/v1/me/second-look', { ...given, oneTimeCode: `00000${at}` }, { key: null })).status,
      );
    expect(answers.filter((status) => status === 429).length).toBeGreaterThan(0);
    expect(answers).not.toContain(200);
  });

  it('a recovery code beside it, or the passkey, is a second look: each once', async () => {
    const passkey = async (): Promise<object> => ({ passkey: keeper.shown(await proofChallenge(as)) });
    const { codes } = (
      await as.post<{ codes: string[] }>('/v1/me/recovery-codes', await passkey(), { key: null, expect: 200 })
    ).body;
    const withCode = { ...given, recoveryCode: codes[0] };
    expect((await as.post('/v1/me/second-look', withCode, { key: null })).status).toBe(200);
    expect((await as.post('/v1/me/second-look', withCode, { key: null })).status).toBe(422);
    const { path, ifMatch } = await ofPasskey(as);
    expect((await as.delete(path, { ifMatch })).status).toBe(204);
    // Where nothing stands beside it, the passphrase is enough again.
    expect((await as.post('/v1/me/second-look', given, { key: null })).status).toBe(200);
  });
});

describe('the only owner of an operation that asks everybody for a second factor', () => {
  let yard: Operation;
  let secret: string;
  let passkeyPath: string;
  beforeEach(async () => {
    yard = await operationWith(world, { roles: ['owner', 'manager'], name: 'Locked Yard' });
    secret = await setUpSecondFactor(world, yard.as.owner);
    passkeyPath = `/v1/me/passkeys/${(await passkeyOf(yard.as.owner)).id}`;
    await policy('required');
    world.clock.advance({ minutes: 1 });
  });
  const policy = async (secondFactor: string): Promise<void> => {
    const { owner } = yard.as;
    const ifMatch = (await owner.get(yard.at(''), { expect: 200 })).headers['etag'] ?? '';
    await owner.patch(yard.at(''), { accessPolicy: { secondFactor } }, { ifMatch, expect: 200 });
  };
  const noCodes = async () =>
    yard.as.owner.post(
      '/v1/me/second-factor/removal',
      { presentPassphrase: PASSPHRASE, oneTimeCode: codeAt(secret, world.clock.now()) },
      { key: null },
    );
  const noPasskey = async () =>
    yard.as.owner.delete<{ errors: { code: string; message: string }[] }>(passkeyPath, {
      ifMatch: (await yard.as.owner.get(passkeyPath, { expect: 200 })).headers['etag'] ?? '',
    });

  it('keeps a last one, told in words; without the policy it can be ended', async () => {
    // One of two may go.
    expect((await noCodes()).status).toBe(204);
    const refused = await noPasskey();
    expect([refused.status, refused.body.errors[0]?.code]).toEqual([422, 'last-second-factor']);
    expect(refused.body.errors[0]?.message).toContain('Locked Yard');
    expect((await yard.as.owner.get(yard.at('/herds'))).status).toBe(200);
    await policy('optional');
    expect((await noPasskey()).status).toBe(204);
  });

  it('keeps codes as the last one; with another owner they can be ended', async () => {
    expect((await noPasskey()).status).toBe(204);
    const refused = await noCodes();
    expect([refused.status, refused.body['errors']]).toEqual([
      422,
      [expect.objectContaining({ code: 'last-second-factor' })],
    ]);
    // The refusal undid the removal, not the use of the code.
    world.clock.advance({ minutes: 1 });
    await join(world, await person(world, 'another owner'), yard.id, 'owner');
    expect((await noCodes()).status).toBe(204);
  });

  it('keeps one of two that are ended at one moment', async () => {
    const { owner } = yard.as;
    expect((await noCodes()).status).toBe(204);
    const paths = [passkeyPath, `/v1/me/passkeys/${(await passkeyOf(owner)).id}`];
    const tags = await Promise.all(paths.map(async (path) => (await owner.get(path)).headers['etag'] ?? ''));
    // Somebody else holds the person until both have ended one, and neither is known to the other.
    const holder = await world.ownerPool.connect();
    const answers: number[] = [];
    let waiting = 0;
    try {
      await holder.query('BEGIN');
      await holder.query('SELECT 1 FROM person WHERE id = $1 FOR NO KEY UPDATE', [yard.people.owner.id]);
      const ended = paths.map(async (path, at) => {
        answers.push((await owner.delete(path, { ifMatch: tags[at] ?? '' })).status);
      });
      while (waiting < 2 && answers.length < 2) {
        const { rows } = await holder.query<{ waiting: string }>(
          `SELECT count(*) AS waiting FROM pg_stat_activity
            WHERE datname = current_database() AND wait_event_type = 'Lock'`,
        );
        waiting = Number(rows[0]?.waiting);
      }
      await holder.query('COMMIT');
      await Promise.all(ended);
    } finally {
      holder.release();
    }
    expect([waiting, ...answers.toSorted((one, other) => one - other)]).toEqual([2, 204, 422]);
    expect((await owner.get(yard.at('/herds'))).status).toBe(200);
  });
});

it('a key that can sign nothing is not taken: of another kind than told, beside its curve, in part', async () => {
  const nothing = Buffer.alloc(32);
  const keys: NonNullable<Told['key']>[] = [
    // EdDSA told of an elliptic curve key of zeros.
    [
      [3, -8],
      [-2, nothing],
      [-3, nothing],
    ],
    [
      [-2, Buffer.alloc(32, 1)],
      [-3, Buffer.alloc(32, 2)],
    ],
    [[-3, Buffer.alloc(0)]],
    [[-1, 2]],
    [[1, 3]],
  ];
  for (const key of keys) {
    const credential = new Authenticator(AT).made(await begun(as), { key });
    const { status, body } = await as.post<{ errors?: { code: string }[] }>('/v1/me/passkeys', {
      name: 'Useless',
      credential,
    });
    expect([status, body.errors?.[0]?.code]).toEqual([422, 'not-a-new-passkey']);
  }
  await passkeyOf(as);
});

describe('a session opened by the passphrase alone, before its person had a factor', () => {
  const passkeys = '/v1/me/passkeys';
  it.each([
    ['a passkey', (of: ApiClient): Promise<unknown> => passkeyOf(of)],
    ['one-time codes', (of: ApiClient): Promise<unknown> => setUpSecondFactor(world, of)],
  ] as const)('ends once there is %s, and that in which it was set up goes on', async (_what, setUp) => {
    const rancher = await person(world, 'bare');
    const own = await clientOf(world, rancher);
    const intruder = await clientOf(world, rancher);
    expect((await intruder.get(passkeys)).status).toBe(200);
    await setUp(own);
    expect((await intruder.get(passkeys)).status).toBe(401);
    expect((await own.get(passkeys)).status).toBe(200);
  });

  it('is the only one that ends: with a second factor no session does', async () => {
    const answer = await send(await answerTo());
    const other = world.anyone.as(answer.json<{ accessToken: string }>().accessToken);
    await passkeyOf(as);
    expect((await other.get(passkeys)).status).toBe(200);
  });
});
