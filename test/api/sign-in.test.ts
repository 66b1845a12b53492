/* Signing in, staying signed in, signing out; and that nobody can lock another person out. */
import { ACCESS_MINUTES, REFRESH_DAYS } from '../../src/access/sign-in/sign-in.store.js';
import { join, type Operation, operationWith, PASSPHRASE, person, type Person, signIn } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

interface Session {
  accessToken: string;
  accessExpiresAt: string;
  refreshToken: string;
  refreshExpiresAt: string;
  person: { id: string };
}

describe('signing in', () => {
  let world: World;
  let who: Person;
  let address = 1;
  beforeEach(async () => {
    who = await person(world, 'rancher');
    address += 1;
  });
  beforeAll(async () => {
    world = await openWorld();
  });
  afterAll(async () => {
    await world.close();
  });

  /** A sign-in from an address of the test's choosing. */
  const attempt = async (email: string, passphrase: string, from = `10.1.1.${address}`) => {
    const answer = await world.application.inject({
      method: 'POST',
      url: '/v1/sign-in',
      remoteAddress: from,
      payload: { email, passphrase },
    });
    const body = JSON.parse(answer.payload) as Session & { type?: string };
    world.description.check({
      method: 'POST',
      path: '/v1/sign-in',
      status: answer.statusCode,
      headers: answer.headers as Record<string, string>,
      text: answer.payload,
    });
    return { status: answer.statusCode, body, headers: answer.headers };
  };
  const refresh = (refreshToken: string) =>
    world.anyone.post<Session & { type?: string }>('/v1/token-refresh', { refreshToken }, { key: null });
  const works = async (token: string): Promise<boolean> => (await world.anyone.as(token).get('/v1/me')).status === 200;

  it('gives a pair of tokens that say how long they last', async () => {
    const { status, body } = await attempt(who.email, PASSPHRASE);
    expect(status).toBe(200);
    expect(body.person.id).toBe(who.id);
    expect(Date.parse(body.accessExpiresAt) - world.clock.now().getTime()).toBe(ACCESS_MINUTES * 60_000);
    expect(Date.parse(body.refreshExpiresAt) - world.clock.now().getTime()).toBe(REFRESH_DAYS * 86_400_000);
    expect(await works(body.accessToken)).toBe(true);
  });

  it('takes the email in any case and with blanks around it', async () => {
    expect((await attempt(`  ${who.email.toUpperCase()} `, PASSPHRASE)).status).toBe(200);
  });

  it('tells the same to a wrong passphrase and to an unknown email', async () => {
    const wrong = await attempt(who.email, `${PASSPHRASE}.`);
    const unknown = await attempt('nobody@example.test', PASSPHRASE);
    expect([wrong.status, wrong.body.type]).toEqual([401, '/problems/sign-in-failed']);
    expect({ ...unknown.body, requestId: '' }).toEqual({ ...wrong.body, requestId: '' });
  });

  it('does not let somebody in who has no passphrase yet', async () => {
    await world.ownerPool.query('UPDATE person SET passphrase_hash = NULL WHERE id = $1', [who.id]);
    expect((await attempt(who.email, 'nobody has this passphrase')).status).toBe(401);
  });

  it('keeps no token and no passphrase as it is', async () => {
    const { body } = await attempt(who.email, PASSPHRASE);
    const { rows } = await world.ownerPool.query<{ row: string }>(
      'SELECT session_token::text AS row FROM session_token UNION ALL SELECT person::text FROM person UNION ALL ' +
        'SELECT sign_in_attempt::text FROM sign_in_attempt',
    );
    const stored = rows.map((one) => one.row).join('\n');
    for (const secret of [body.accessToken, body.refreshToken, PASSPHRASE]) expect(stored).not.toContain(secret);
    expect(stored).toContain('$argon2id$');
  });

  it('ends with the access token, and goes on with the refresh token', async () => {
    const { body } = await attempt(who.email, PASSPHRASE);
    world.clock.advance({ minutes: ACCESS_MINUTES });
    const late = await world.anyone.as(body.accessToken).get('/v1/me');
    expect([late.status, late.body['type'], late.headers['www-authenticate']]).toEqual([
      401,
      '/problems/not-signed-in',
      'Bearer error="invalid_token"',
    ]);
    const renewed = await refresh(body.refreshToken);
    expect(renewed.status).toBe(200);
    expect(renewed.body.refreshToken).not.toBe(body.refreshToken);
    expect(await works(renewed.body.accessToken)).toBe(true);
  });

  it('a refresh token works once; used a second time it ends the whole session', async () => {
    const { body } = await attempt(who.email, PASSPHRASE);
    const renewed = await refresh(body.refreshToken);
    expect(await works(renewed.body.accessToken)).toBe(true);
    expect((await refresh(body.refreshToken)).body.type).toBe('/problems/refresh-failed');
    expect(await works(renewed.body.accessToken)).toBe(false);
    expect((await refresh(renewed.body.refreshToken)).status).toBe(401);
  });

  it('of two simultaneous uses of a refresh token, no pair of tokens is left that works', async () => {
    const { body } = await attempt(who.email, PASSPHRASE);
    const [one, other] = await Promise.all([refresh(body.refreshToken), refresh(body.refreshToken)]);
    expect([one.status, other.status].sort()).toEqual([200, 401]);
    expect(await works((one.status === 200 ? one : other).body.accessToken)).toBe(false);
  });

  it("a reused refresh token leaves the person's other sessions alone", async () => {
    const phone = (await attempt(who.email, PASSPHRASE)).body;
    const desk = (await attempt(who.email, PASSPHRASE)).body;
    await refresh(phone.refreshToken);
    await refresh(phone.refreshToken);
    expect(await works(desk.accessToken)).toBe(true);
  });

  it('a refresh token ends with its month', async () => {
    const { body } = await attempt(who.email, PASSPHRASE);
    world.clock.advance({ days: REFRESH_DAYS });
    expect((await refresh(body.refreshToken)).body.type).toBe('/problems/refresh-failed');
  });

  it("neither token does the other's work", async () => {
    const { body } = await attempt(who.email, PASSPHRASE);
    expect((await refresh(body.accessToken)).status).toBe(401);
    expect(await works(body.refreshToken)).toBe(false);
    expect((await refresh('ryr_unknown')).body.type).toBe('/problems/refresh-failed');
  });

  it('signing out ends this session only', async () => {
    const phone = (await attempt(who.email, PASSPHRASE)).body;
    const desk = (await attempt(who.email, PASSPHRASE)).body;
    await world.anyone.as(phone.accessToken).post('/v1/sign-out', {}, { key: null, expect: 204 });
    expect([await works(phone.accessToken), await works(desk.accessToken)]).toEqual([false, true]);
    expect((await refresh(phone.refreshToken)).status).toBe(401);
  });

  it('signing out everywhere ends every session of this person and of nobody else', async () => {
    const other = await person(world, 'neighbor');
    const neighbor = (await attempt(other.email, PASSPHRASE)).body;
    const phone = (await attempt(who.email, PASSPHRASE)).body;
    const desk = (await attempt(who.email, PASSPHRASE)).body;
    await world.anyone.as(phone.accessToken).post('/v1/sign-out', { everywhere: true }, { key: null, expect: 204 });
    expect([await works(phone.accessToken), await works(desk.accessToken), await works(neighbor.accessToken)]).toEqual([
      false,
      false,
      true,
    ]);
    expect((await refresh(desk.refreshToken)).status).toBe(401);
  });

  it('nine wrong tries from one address are too many, and only from there', async () => {
    const far = `10.2.2.${address}`;
    const statuses: number[] = [];
    for (let n = 0; n < 9; n += 1) statuses.push((await attempt(who.email, 'wrong', far)).status);
    expect(statuses).toEqual([401, 401, 401, 401, 401, 401, 401, 401, 429]);
    const right = await attempt(who.email, PASSPHRASE, far);
    expect([right.status, right.body.type, right.headers['retry-after']]).toEqual([
      429,
      '/problems/too-many-attempts',
      '900',
    ]);
    // The person at another address, and another person at this one, are not held up by it.
    expect((await attempt(who.email, PASSPHRASE)).status).toBe(200);
    expect((await attempt((await person(world, 'other')).email, PASSPHRASE, far)).status).toBe(200);
    world.clock.advance({ minutes: 15 });
    expect((await attempt(who.email, PASSPHRASE, far)).status).toBe(200);
  });

  it('a person who signs in is not counted as one who guesses', async () => {
    for (let n = 0; n < 7; n += 1) await attempt(who.email, 'wrong');
    expect((await attempt(who.email, PASSPHRASE)).status).toBe(200);
    for (let n = 0; n < 7; n += 1) expect((await attempt(who.email, 'wrong')).status).toBe(401);
    expect((await attempt(who.email, PASSPHRASE)).status).toBe(200);
  });

  it('one address cannot try many emails', async () => {
    const far = `10.3.3.${address}`;
    const answers = await Promise.all(
      Array.from({ length: 61 }, (_, n) => attempt(`guess${n}@example.test`, 'wrong', far)),
    );
    expect(answers.filter((answer) => answer.status === 429).length).toBeGreaterThanOrEqual(1);
    expect((await attempt(who.email, PASSPHRASE, far)).status).toBe(429);
    expect((await attempt(who.email, PASSPHRASE)).status).toBe(200);
  });

  it('does not echo the passphrase where the form was wrong', async () => {
    const answer = await world.anyone.post(
      '/v1/sign-in',
      { email: 'not an email', passphrase: 'x'.repeat(300) },
      { key: null },
    );
    expect(answer.status).toBe(400);
    expect(answer.text).not.toContain('xxx');
    expect(answer.text).toContain('not an email');
  });

  it.each([
    '',
    'Bearer',
    'Bearer ',
    'Basic cnlhOng=',
    'Bearer rya_unknown',
    'Bearer ryk_unknown',
    'Bearer a b',
    `Bearer ${'x'.repeat(300)}`,
  ])('%j is no sign-in', async (authorization) => {
    const answer = await world.anyone.get('/v1/me', {
      headers: authorization === '' ? {} : { Authorization: authorization },
    });
    expect([answer.status, answer.body['type']]).toEqual([401, '/problems/not-signed-in']);
    expect(answer.headers['www-authenticate']).toMatch(/^Bearer/);
  });
});

describe('who I am', () => {
  let world: World;
  let operation: Operation;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { name: 'Cottonwood Creek', roles: ['owner', 'manager'] });
  });
  afterAll(async () => {
    await world.close();
  });

  it('lists where one belongs, with role and whether money shows', async () => {
    const second = await operationWith(world, { name: 'Badger Flat', roles: ['owner'] });
    const who = await person(world, 'consultant');
    await join(world, who, operation.id, 'nutritionist', { seesPrices: false });
    await join(world, who, second.id, 'accountant');
    const { accessToken } = await signIn(world, who);
    const { body } = await world.anyone
      .as(accessToken)
      .get<{ person: object; memberships: { operation: string }[] }>('/v1/me', { expect: 200 });
    expect(body.person).toEqual({
      id: who.id,
      name: 'consultant',
      email: who.email,
      emailProven: false,
      emailNote: 'Nobody has shown yet that mail to this address reaches you.',
    });
    expect([...body.memberships].sort((a, b) => (a.operation < b.operation ? -1 : 1))).toEqual([
      { operationId: second.id, operation: 'Badger Flat', role: 'accountant', seesPrices: true },
      { operationId: operation.id, operation: 'Cottonwood Creek', role: 'nutritionist', seesPrices: false },
    ]);
  });

  it('a membership that ended works no longer, with the token still good', async () => {
    const who = await person(world, 'guest');
    await join(world, who, operation.id, 'nutritionist', {
      until: new Date(world.clock.now().getTime() + 60_000).toISOString(),
    });
    const client = world.anyone.as((await signIn(world, who)).accessToken);
    expect((await client.get(operation.at('/herds'))).status).toBe(200);
    world.clock.advance({ minutes: 1 });
    expect((await client.get(operation.at('/herds'))).status).toBe(404);
    expect((await client.get('/v1/me')).body['memberships']).toEqual([]);
  });
});
