/* How people come in, prove who they are, recover and leave. */
import { randomBytes } from 'node:crypto';
import path from 'node:path';
import { dictionary } from '@zxcvbn-ts/language-common';
import { readScenario } from '../../seed/scenario.schema.js';
import { isCommon } from '../../src/access/people/common-passphrases.js';
import { codeAt } from '../../src/access/second-factor/one-time-code.js';
import { createApplication } from '../../src/application.js';
import { newId } from '../../src/platform/identifiers.js';
import { createLogger } from '../../src/platform/logs.js';
import { SecretBox } from '../../src/platform/secrets/secret-box.js';
import type { ApiClient } from '../support/client.js';
import {
  clientOf,
  confirm,
  join,
  type Operation,
  operationWith,
  PASSPHRASE,
  person,
  signIn,
} from '../support/people.js';
import { inThisThread, openWorld, type World } from '../support/world.js';

let world: World;
let ranch: Operation;
beforeAll(async () => {
  world = await openWorld();
  ranch = await operationWith(world);
});
afterAll(async () => {
  await world.close();
});

const NEW = 'a barn full of second cutting';
const someEmail = (): string => `p${newId().slice(-12)}@example.test`;
const etag = async (client: ApiClient, path: string): Promise<string> =>
  (await client.get(path, { expect: 200 })).headers['etag'] ?? '';
interface Invited {
  id: string;
  token: string;
  version: number;
}
const invite = async (of: Operation, body: Record<string, unknown>): Promise<Invited> =>
  (await of.as.owner.post<Invited & Record<string, unknown>>(of.at('/invitations'), body, { expect: 201 })).body;

describe('an invitation', () => {
  it('makes somebody new a member, once, with what the owner granted', async () => {
    const email = someEmail();
    const { token, id } = await invite(ranch, { email, role: 'manager', seesPrices: false, note: 'From May on' });
    const joined = await world.anyone.post<{ personId: string; role: string; seesPrices: boolean }>(
      '/v1/invitation-acceptances',
      { token, name: 'Wren Halvorsen', passphrase: NEW },
      { expect: 201, key: null },
    );
    expect(joined.body).toMatchObject({ role: 'manager', seesPrices: false });
    const session = await signIn(world, { id: joined.body.personId, name: 'Wren', email }, NEW);
    const as = world.anyone.as(session.accessToken);
    expect((await as.get<{ memberships: unknown[] }>('/v1/me')).body.memberships).toEqual([]);
    await confirm(ranch, joined.body.personId);
    expect((await as.get<{ memberships: unknown[] }>('/v1/me')).body.memberships).toEqual([
      expect.objectContaining({ operationId: ranch.id, role: 'manager', seesPrices: false }),
    ]);
    expect(
      (await world.anyone.post('/v1/invitation-acceptances', { token, name: 'Again', passphrase: NEW }, { key: null }))
        .status,
    ).toBe(404);
    expect((await ranch.as.owner.get<{ state: string }>(ranch.at(`/invitations/${id}`))).body).toMatchObject({
      state: 'accepted',
      acceptedAt: expect.any(String) as string,
    });
  });

  it('shows its token once: a repeat of the same request answers without', async () => {
    const key = newId();
    const body = { email: someEmail(), role: 'hand' };
    const first = await ranch.as.owner.post<{ token: string | null }>(ranch.at('/invitations'), body, {
      expect: 201,
      key,
    });
    const second = await ranch.as.owner.post<{ token: string | null }>(ranch.at('/invitations'), body, {
      expect: 201,
      key,
    });
    expect(first.body.token).toMatch(/^ryi_/);
    expect(second.body).toEqual({ ...first.body, token: null });
    const { rows } = await world.ownerPool.query(
      'SELECT 1 FROM invitation WHERE token_hash = $1 OR to_jsonb(invitation)::text LIKE $2',
      [first.body.token, `%${first.body.token ?? ''}%`],
    );
    expect(rows).toEqual([]);
  });

  it('joins somebody who is enrolled already, but only the one it was written to', async () => {
    const known = await person(world, 'known');
    const stranger = await person(world, 'other');
    const { token } = await invite(ranch, { email: known.email.toUpperCase(), role: 'accountant' });
    expect(
      (
        await world.anyone.post(
          '/v1/invitation-acceptances',
          { token, name: 'Known', passphrase: PASSPHRASE },
          { key: null },
        )
      ).status,
    ).toBe(409);
    expect(
      (await (await clientOf(world, stranger)).post('/v1/me/invitation-acceptances', { token }, { key: null })).status,
    ).toBe(404);
    const as = await clientOf(world, known);
    await as.post('/v1/me/invitation-acceptances', { token }, { expect: 201, key: null });
    expect((await as.get(ranch.at('/herds'))).status).toBe(404);
    await confirm(ranch, known.id);
    await as.get(ranch.at('/herds'), { expect: 200 });
    expect((await as.post('/v1/me/invitation-acceptances', { token }, { key: null })).status).toBe(404);
  });

  it.each([
    [
      'withdrawn',
      async ({ id }: Invited) => {
        await ranch.as.owner.delete(ranch.at(`/invitations/${id}`), {
          ifMatch: await etag(ranch.as.owner, ranch.at(`/invitations/${id}`)),
          expect: 204,
        });
      },
    ],
    [
      'expired',
      async ({ id }: Invited) => {
        await world.ownerPool.query("UPDATE invitation SET expires_at = '2027-01-01' WHERE id = $1", [id]);
      },
    ],
  ])('is no good when %s', async (_state, spoil) => {
    const invited = await invite(ranch, { email: someEmail(), role: 'hand' });
    await spoil(invited);
    expect(
      (
        await world.anyone.post(
          '/v1/invitation-acceptances',
          { token: invited.token, name: 'Late', passphrase: NEW },
          { key: null },
        )
      ).status,
    ).toBe(404);
  });

  it('begins and ends when the owner said', async () => {
    const email = someEmail();
    const { token } = await invite(ranch, {
      email,
      role: 'hand',
      from: '2027-02-01T00:00:00Z',
      until: '2027-03-01T00:00:00Z',
    });
    const { personId } = (
      await world.anyone.post<{ personId: string }>(
        '/v1/invitation-acceptances',
        { token, name: 'Season hand', passphrase: NEW },
        { expect: 201, key: null },
      )
    ).body;
    const member = async (at: string): Promise<number> => {
      const { rows } = await world.ownerPool.query<{ n: string }>(
        'SELECT count(*) AS n FROM membership WHERE person_id = $1 AND from_at <= $2 AND until_at > $2',
        [personId, at],
      );
      return Number(rows[0]?.n);
    };
    expect([
      await member('2027-01-20T00:00:00Z'),
      await member('2027-02-01T00:00:00Z'),
      await member('2027-03-01T00:00:00Z'),
    ]).toEqual([0, 1, 0]);
    await confirm(ranch, personId);
    expect((await (await clientOf(world, { id: personId, name: '', email })).get(ranch.at('/herds'))).status).toBe(404);
  });

  it('cannot be turned into more by the one who joins: the database holds the row against the offer', async () => {
    const known = await person(world, 'climber');
    const { token } = await invite(ranch, { email: known.email, role: 'hand' });
    const { hashToken } = await import('../../src/access/sign-in/tokens.js');
    const grab = world.database.withProof(
      { proof: hashToken(token), person_id: known.id, moment: world.clock.now().toISOString() },
      (db) =>
        db
          .insertInto('membership')
          .values({
            operation_id: ranch.id,
            id: newId(),
            person_id: known.id,
            role: 'owner',
            sees_prices: true,
            from_at: world.clock.now().toISOString(),
          })
          .execute(),
    );
    await expect(grab).rejects.toMatchObject({ code: '42501' });
  });

  it('of a hand with prices, or with a passphrase too short or telling, is refused', async () => {
    expect(
      (await ranch.as.owner.post(ranch.at('/invitations'), { email: someEmail(), role: 'hand', seesPrices: true }))
        .status,
    ).toBe(422);
    const email = `${newId().slice(-12)}@example.test`;
    const { token } = await invite(ranch, { email, role: 'hand' });
    for (const [passphrase, status] of [
      ['short', 400],
      ['aaaaaaaaaaaaaaaa', 400],
      [email, 422],
    ] as const) {
      expect(
        (
          await world.anyone.post(
            '/v1/invitation-acceptances',
            { token, name: 'Kit Marrow', passphrase },
            { key: null },
          )
        ).status,
      ).toBe(status);
    }
  });
});

describe('a passphrase', () => {
  it('is changed by who knows the present one, and every other session ends', async () => {
    const who = await person(world, 'changer');
    const first = world.anyone.as((await signIn(world, who)).accessToken);
    const second = world.anyone.as((await signIn(world, who)).accessToken);
    const wrong = await first.post(
      '/v1/me/passphrase',
      { presentPassphrase: 'not this one', newPassphrase: NEW },
      { key: null },
    );
    expect([wrong.status, wrong.body['errors']]).toEqual([
      422,
      [expect.objectContaining({ pointer: '#/presentPassphrase' })],
    ]);
    await first.post(
      '/v1/me/passphrase',
      { presentPassphrase: PASSPHRASE, newPassphrase: NEW },
      { key: null, expect: 200 },
    );
    expect([(await first.get('/v1/me')).status, (await second.get('/v1/me')).status]).toEqual([200, 401]);
    await expect(signIn(world, who)).rejects.toThrow('401');
    await signIn(world, who, NEW);
  });

  it(
    'is not one of the most common, nor made of them: said ' + 'with the field, in every place where one is set',
    async () => {
      // Ordered as the published lists are; those of twelve characters and more, since shorter ones are refused for
      // their
      // length.
      const common = dictionary['passwords-common'];
      const long = [...common].filter((one) => one.length >= 12);
      expect(long.length).toBeGreaterThan(300);
      expect(long.filter((one) => !isCommon(one))).toEqual([]);
      const doubled = [...common]
        .slice(0, 1000)
        .map((one) => `${one}${one}`)
        .filter((one) => one.length >= 12);
      expect(doubled.length).toBeGreaterThan(600);
      expect(doubled.filter((one) => !isCommon(one))).toEqual([]);
      for (const made of [
        'Password123!',
        'qwertyuiop12',
        '1qaz2wsx3edc',
        'abcdefghijkl',
        'iloveyou1234',
        'zaq12wsxcde3',
      ])
        expect([made, isCommon(made)]).toEqual([made, true]);
      const { people } = readScenario(path.resolve(__dirname, '../..'));
      for (const good of [PASSPHRASE, NEW, ...people.map((one) => one.passphrase)])
        expect([good, isCommon(good)]).toEqual([good, false]);

      const who = await person(world, 'common');
      const as = await clientOf(world, who);
      const { codes } = (
        await as.post<{ codes: string[] }>(
          '/v1/me/recovery-codes',
          { presentPassphrase: PASSPHRASE },
          { key: null, expect: 200 },
        )
      ).body;
      const { token } = await invite(ranch, { email: someEmail(), role: 'hand' });
      const refused = {
        status: 422,
        body: {
          type: '/problems/rule-broken',
          errors: [{ code: 'too-common', allowed: expect.stringContaining('four or five words') as string }],
        },
      };
      const newPassphrase = 'Password123!';
      const answers = [
        await as.post('/v1/me/passphrase', { presentPassphrase: PASSPHRASE, newPassphrase }, { key: null }),
        await world.anyone.post(
          '/v1/recovery-by-code',
          { email: who.email, recoveryCode: codes[0], newPassphrase },
          { key: null },
        ),
        await world.anyone.post('/v1/recovery-by-token', { token: 'ryx_none', newPassphrase }, { key: null }),
        await world.anyone.post(
          '/v1/invitation-acceptances',
          { token, name: 'Kit Marrow', passphrase: newPassphrase },
          { key: null },
        ),
      ];
      for (const answer of answers) expect(answer).toMatchObject(refused);
      expect(answers.map((one) => (one.body['errors'] as { pointer: string }[])[0]?.pointer)).toEqual([
        '#/newPassphrase',
        '#/newPassphrase',
        '#/newPassphrase',
        '#/passphrase',
      ]);
      for (const answer of answers) expect(answer.text).not.toContain(newPassphrase);
      // Nothing was used up: the same code and the same invitation serve with a good one.
      expect(
        (
          await world.anyone.post(
            '/v1/recovery-by-code',
            { email: who.email, recoveryCode: codes[0], newPassphrase: who.email },
            { key: null },
          )
        ).body,
      ).toMatchObject({ status: 422, errors: [{ code: 'tells-itself' }] });
      await world.anyone.post(
        '/v1/recovery-by-code',
        { email: who.email, recoveryCode: codes[0], newPassphrase: NEW },
        { key: null, expect: 204 },
      );
      await world.anyone.post(
        '/v1/invitation-acceptances',
        { token, name: 'Kit Marrow', passphrase: NEW },
        { key: null, expect: 201 },
      );
    },
  );

  it('may be 256 characters long, and every one of them counts', async () => {
    const who = await person(world, 'verbose');
    const as = await clientOf(world, who);
    const long = NEW.padEnd(256, ', and more of it');
    expect(
      (await as.post('/v1/me/passphrase', { presentPassphrase: PASSPHRASE, newPassphrase: `${long}.` }, { key: null }))
        .status,
    ).toBe(400);
    await as.post(
      '/v1/me/passphrase',
      { presentPassphrase: PASSPHRASE, newPassphrase: long },
      { key: null, expect: 200 },
    );
    await expect(signIn(world, who, long.slice(0, 255))).rejects.toThrow('401');
    await signIn(world, who, long);
  });

  it('cannot be guessed through a session that was left open', async () => {
    const who = await person(world, 'guessed');
    const as = await clientOf(world, who);
    const statuses: number[] = [];
    for (let attempt = 0; attempt < 10; attempt += 1)
      statuses.push(
        (await as.post('/v1/me/recovery-codes', { presentPassphrase: `guess ${attempt}` }, { key: null })).status,
      );
    expect(statuses).toEqual([422, 422, 422, 422, 422, 422, 422, 422, 429, 429]);
    // That is counted for the person in that session: sign-in elsewhere is not locked.
    await signIn(world, who);
  });
});

describe('sessions', () => {
  it("are listed, and ended one by one, one's own only", async () => {
    const who = await person(world, 'sessions');
    const here = world.anyone.as((await signIn(world, who)).accessToken);
    const there = world.anyone.as((await signIn(world, who)).accessToken);
    const { items } = (
      await here.get<{ items: { id: string; present: boolean; address: string | null }[] }>('/v1/me/sessions', {
        expect: 200,
      })
    ).body;
    expect(items).toHaveLength(2);
    expect(items.filter((one) => one.present)).toHaveLength(1);
    expect(items[0]?.address).toMatch(/^10\./);
    const other = items.find((one) => !one.present);
    expect((await ranch.as.manager.delete(`/v1/me/sessions/${other?.id ?? ''}`)).status).toBe(404);
    await here.delete(`/v1/me/sessions/${other?.id ?? ''}`, { expect: 204 });
    expect([(await here.get('/v1/me')).status, (await there.get('/v1/me')).status]).toEqual([200, 401]);
    expect((await here.delete(`/v1/me/sessions/${other?.id ?? ''}`)).status).toBe(404);
  });
});

describe('a second factor', () => {
  const begin = async (): Promise<{
    who: Awaited<ReturnType<typeof person>>;
    as: ApiClient;
    secret: string;
    codes: string[];
  }> => {
    const who = await person(world, 'careful');
    const as = await clientOf(world, who);
    const { secret } = (
      await as.post<{ secret: string; keyUri: string }>(
        '/v1/me/second-factor',
        { presentPassphrase: PASSPHRASE },
        { key: null, expect: 200 },
      )
    ).body;
    expect((await as.get('/v1/me/second-factor')).body).toMatchObject({ inForce: false });
    const { codes } = (
      await as.post<{ codes: string[] }>(
        '/v1/me/second-factor/confirmation',
        { oneTimeCode: codeAt(secret, world.clock.now()) },
        { key: null, expect: 200 },
      )
    ).body;
    return { who, as, secret, codes };
  };
  const trySignIn = async (email: string, more: object, address = '10.77.0.1'): Promise<[number, string]> => {
    const answer = await world.application.inject({
      method: 'POST',
      url: '/v1/sign-in',
      remoteAddress: address,
      payload: { email, passphrase: PASSPHRASE, ...more },
    });
    return [answer.statusCode, answer.json<{ type?: string }>().type ?? ''];
  };

  it('generates the codes of RFC 6238, appendix B', () => {
    // SHA-1, secret "12345678901234567890"; the RFC prints eight digits, of which six are these (the last six).
    const secret = 'GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ';
    const vectors = [
      [59, '94287082'],
      [1111111109, '07081804'],
      [1111111111, '14050471'],
      [1234567890, '89005924'],
      [2000000000, '69279037'],
      [20000000000, '65353130'],
    ] as const;
    for (const [seconds, digits] of vectors)
      expect([seconds, codeAt(secret, new Date(seconds * 1000))]).toEqual([seconds, digits.slice(2)]);
  });

  it('is asked for only after the right passphrase, takes a code once, and a recovery code once', async () => {
    const { who, secret, codes } = await begin();
    expect(
      (
        await world.application.inject({
          method: 'POST',
          url: '/v1/sign-in',
          remoteAddress: '10.77.1.1',
          payload: { email: who.email, passphrase: 'wrong' },
        })
      ).json(),
    ).toMatchObject({ type: '/problems/sign-in-failed' });
    expect(await trySignIn(who.email, {})).toEqual([401, '/problems/second-factor-needed']);
    world.clock.advance({ minutes: 1 });
    const code = codeAt(secret, world.clock.now());
    expect(await trySignIn(who.email, { oneTimeCode: code })).toEqual([200, '']);
    expect(await trySignIn(who.email, { oneTimeCode: code })).toEqual([401, '/problems/sign-in-failed']);
    expect(codes).toHaveLength(10);
    expect(await trySignIn(who.email, { recoveryCode: codes[0]?.toUpperCase() })).toEqual([200, '']);
    expect(await trySignIn(who.email, { recoveryCode: codes[0] })).toEqual([401, '/problems/sign-in-failed']);
  });

  it('lets two uses of one code at once be one', async () => {
    const { who, secret } = await begin();
    world.clock.advance({ minutes: 1 });
    const code = codeAt(secret, world.clock.now());
    const answers = await Promise.all(
      ['10.78.0.1', '10.78.0.2', '10.78.0.3', '10.78.0.4'].map((address) =>
        trySignIn(who.email, { oneTimeCode: code }, address),
      ),
    );
    expect(answers.map(([status]) => status).sort()).toEqual([200, 401, 401, 401]);
  });

  it('cannot be guessed from many addresses', async () => {
    const { who } = await begin();
    const statuses: number[] = [];
    for (let attempt = 0; attempt < 10; attempt += 1)
      statuses.push((await trySignIn(who.email, { oneTimeCode: String(100_000 + attempt) }, `10.79.0.${attempt}`))[0]);
    expect(statuses.slice(0, 8)).toEqual(Array.from({ length: 8 }, () => 401));
    expect(statuses.slice(8)).toEqual([429, 429]);
  });

  it(
    'is kept sealed: no secret stands in the database, and one ' + 'that was moved to another person opens nothing',
    async () => {
      const [one, two] = [await begin(), await begin()];
      const { rows } = await world.ownerPool.query<{ person_id: string; secret: string }>(
        'SELECT person_id, secret FROM second_factor',
      );
      for (const { secret } of [one, two]) expect(rows.some((row) => row.secret.includes(secret))).toBe(false);
      await world.ownerPool.query(
        'UPDATE second_factor SET secret = (SELECT secret FROM second_factor ' +
          'WHERE person_id = $2) WHERE person_id = $1',
        [one.who.id, two.who.id],
      );
      world.clock.advance({ minutes: 1 });
      expect(
        await trySignIn(one.who.email, { oneTimeCode: codeAt(two.secret, world.clock.now()) }, '10.80.0.1'),
      ).toEqual([409, '/problems/second-factor-unreadable']);
    },
  );

  it('brought back without its key says so, and a recovery code leads on', async () => {
    const { who, secret, codes } = await begin();
    const elsewhere = await createApplication({
      database: world.database,
      clock: world.clock,
      secrets: new SecretBox(randomBytes(32)),
      workers: inThisThread,
      logger: createLogger('silent'),
    });
    const send = async (
      url: string,
      payload: object,
      token?: string,
    ): Promise<{ status: number; body: Record<string, unknown> }> => {
      const answer = await elsewhere.inject({
        method: 'POST',
        url,
        remoteAddress: '10.81.0.1',
        payload,
        headers: token === undefined ? {} : { authorization: `Bearer ${token}` },
      });
      return { status: answer.statusCode, body: answer.payload === '' ? {} : answer.json() };
    };
    world.clock.advance({ minutes: 1 });
    const code = codeAt(secret, world.clock.now());
    const known = { email: who.email, passphrase: PASSPHRASE };
    expect(await send('/v1/sign-in', { ...known, oneTimeCode: code })).toMatchObject({
      status: 409,
      body: { type: '/problems/second-factor-unreadable' },
    });
    expect(
      await send('/v1/recovery-by-code', {
        email: who.email,
        recoveryCode: codes[0],
        oneTimeCode: code,
        newPassphrase: NEW,
      }),
    ).toMatchObject({ status: 409 });
    const session = await send('/v1/sign-in', { ...known, recoveryCode: codes[0] });
    const token = String(session.body['accessToken']);
    expect(
      await send('/v1/me/second-factor/removal', { presentPassphrase: PASSPHRASE, oneTimeCode: code }, token),
    ).toMatchObject({ status: 409 });
    expect(
      await send('/v1/me/second-factor/removal', { presentPassphrase: PASSPHRASE, recoveryCode: codes[1] }, token),
    ).toMatchObject({ status: 204 });
    const anew = await send('/v1/me/second-factor', { presentPassphrase: PASSPHRASE }, token);
    expect(
      await send(
        '/v1/me/second-factor/confirmation',
        { oneTimeCode: codeAt(String(anew.body['secret']), world.clock.now()) },
        token,
      ),
    ).toMatchObject({ status: 200 });
    world.clock.advance({ minutes: 1 });
    expect(
      await send('/v1/sign-in', { ...known, oneTimeCode: codeAt(String(anew.body['secret']), world.clock.now()) }),
    ).toMatchObject({ status: 200 });
    await elsewhere.close();
  });

  it('is removed with passphrase and code', async () => {
    const { who, as, codes } = await begin();
    expect((await as.post('/v1/me/second-factor', { presentPassphrase: PASSPHRASE }, { key: null })).status).toBe(409);
    expect(
      (await as.post('/v1/me/second-factor/removal', { presentPassphrase: PASSPHRASE }, { key: null })).status,
    ).toBe(422);
    await as.post(
      '/v1/me/second-factor/removal',
      { presentPassphrase: PASSPHRASE, recoveryCode: codes[3] },
      { key: null, expect: 204 },
    );
    await signIn(world, who);
  });
});

describe('recovery', () => {
  it('by a code sets a new passphrase, once, and ends every session', async () => {
    const who = await person(world, 'forgetful');
    const as = await clientOf(world, who);
    const { codes } = (
      await as.post<{ codes: string[] }>(
        '/v1/me/recovery-codes',
        { presentPassphrase: PASSPHRASE },
        { key: null, expect: 200 },
      )
    ).body;
    await world.anyone.post(
      '/v1/recovery-by-code',
      { email: who.email, recoveryCode: codes[4], newPassphrase: NEW },
      { key: null, expect: 204 },
    );
    expect((await as.get('/v1/me')).status).toBe(401);
    await signIn(world, who, NEW);
    expect(
      (
        await world.anyone.post(
          '/v1/recovery-by-code',
          { email: who.email, recoveryCode: codes[4], newPassphrase: NEW },
          { key: null },
        )
      ).body,
    ).toMatchObject({ status: 401, type: '/problems/recovery-failed' });
  });

  it('needs the second factor too, where there is one, and uses nothing up without', async () => {
    const who = await person(world, 'doubly');
    const as = await clientOf(world, who);
    const { secret } = (
      await as.post<{ secret: string }>(
        '/v1/me/second-factor',
        { presentPassphrase: PASSPHRASE },
        { key: null, expect: 200 },
      )
    ).body;
    const { codes } = (
      await as.post<{ codes: string[] }>(
        '/v1/me/second-factor/confirmation',
        { oneTimeCode: codeAt(secret, world.clock.now()) },
        { key: null, expect: 200 },
      )
    ).body;
    expect(
      (
        await world.anyone.post(
          '/v1/recovery-by-code',
          { email: who.email, recoveryCode: codes[0], newPassphrase: NEW },
          { key: null },
        )
      ).status,
    ).toBe(401);
    await world.anyone.post(
      '/v1/recovery-by-code',
      { email: who.email, recoveryCode: codes[0], secondRecoveryCode: codes[1], newPassphrase: NEW },
      { key: null, expect: 204 },
    );
  });

  const issue = async (of: Operation, membershipId: string): Promise<{ status: number; token: string }> => {
    const answer = await of.as.owner.post<{ token: string }>(of.at(`/memberships/${membershipId}/recovery-tokens`), {
      reason: 'Forgot it over the summer',
    });
    return { status: answer.status, token: answer.body.token };
  };
  const membershipOf = async (of: Operation, personId: string): Promise<string> => {
    const { items } = (
      await of.as.owner.get<{ items: { id: string; personId: string }[] }>(of.at('/memberships'), { expect: 200 })
    ).body;
    return items.find((one) => one.personId === personId)?.id ?? '';
  };

  it('by a token of the owner works for a member of the house, once, and stands in the audit', async () => {
    const house = await operationWith(world, { roles: ['owner', 'hand'] });
    const { token, status } = await issue(house, await membershipOf(house, house.people.hand.id));
    expect([status, token.slice(0, 4)]).toEqual([201, 'ryx_']);
    await world.anyone.post('/v1/recovery-by-token', { token, newPassphrase: NEW }, { key: null, expect: 204 });
    await signIn(world, house.people.hand, NEW);
    expect(
      (await world.anyone.post('/v1/recovery-by-token', { token, newPassphrase: NEW }, { key: null })).status,
    ).toBe(401);
    const { items } = (
      await house.as.owner.get<{ items: { action: string }[] }>(house.at('/audit'), {
        query: { action: 'recovery-token' },
      })
    ).body;
    expect(items.map((one) => one.action)).toEqual(['recovery-token.use', 'recovery-token.issue']);
  });

  it("by a token never opens an account that belongs elsewhere too, nor an owner's or a consultant's", async () => {
    const mine = await operationWith(world, { roles: ['owner', 'accountant', 'nutritionist'] });
    const theirs = await operationWith(world, { roles: ['owner'] });
    await join(world, mine.people.accountant, theirs.id, 'accountant');
    const { token } = await issue(mine, await membershipOf(mine, mine.people.accountant.id));
    expect(
      (await world.anyone.post('/v1/recovery-by-token', { token, newPassphrase: NEW }, { key: null })).body,
    ).toMatchObject({ type: '/problems/recovery-failed' });
    await signIn(world, mine.people.accountant);
    for (const role of ['owner', 'nutritionist'] as const)
      expect((await issue(mine, await membershipOf(mine, mine.people[role].id))).status).toBe(422);
  });

  it('says the same for an email that nobody has', async () => {
    const body = { recoveryCode: '00000-00000-00000-00000', newPassphrase: NEW };
    const unknown = await world.anyone.post('/v1/recovery-by-code', { ...body, email: someEmail() }, { key: null });
    const known = await world.anyone.post(
      '/v1/recovery-by-code',
      { ...body, email: ranch.people.hand.email },
      { key: null },
    );
    expect({ ...unknown.body, requestId: '' }).toEqual({ ...known.body, requestId: '' });
  });
});
