/* Guesses at passphrases are counted by who really calls and slowed for one account; nobody else is locked out. */
import { setTimeout } from 'node:timers/promises';
import { readConfig } from '../../src/platform/config.js';
import { KnownDevices } from '../../src/access/sign-in/known-devices.js';
import { networkOf } from '../../src/access/sign-in/network.js';
import { clientOf, operationWith, PASSPHRASE, person, type Person } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

const PROXY = '10.9.9.9';

describe('Guessing', () => {
  let world: World;
  let who: Person;
  let next = 0;
  beforeAll(async () => {
    world = await openWorld({
      trustedProxies: ['10.9.0.0/16'],
      requestLimits: { perAddress: 200, perKey: 5, perPerson: 30, perOperation: 50, seconds: 3600 },
    });
  });
  beforeEach(async () => {
    who = await person(world, 'rancher');
    next += 1;
  });
  afterAll(async () => {
    await world.close();
  });

  interface From {
    remote?: string;
    forwarded?: string;
  }
  const attempt = async (email: string, passphrase: string, { remote = PROXY, forwarded }: From): Promise<number> => {
    const answer = await world.application.inject({
      method: 'POST',
      url: '/v1/sign-in',
      remoteAddress: remote,
      headers: forwarded === undefined ? {} : { 'x-forwarded-for': forwarded },
      payload: { email, passphrase },
    });
    return answer.statusCode;
  };
  const counts = (statuses: readonly number[]): Record<number, number> =>
    Object.fromEntries([...new Set(statuses)].map((one) => [one, statuses.filter((other) => other === one).length]));
  /** Wrong passphrases, all at once; how often each status was answered. */
  const guessed = async (count: number, from: (at: number) => From, email = (_at: number) => who.email) =>
    counts(await Promise.all(Array.from({ length: count }, (_, at) => attempt(email(at), 'wrong', from(at)))));

  it('60 failures of one stranger behind a proxy close sign-in to nobody else behind it', async () => {
    const stranger = `203.0.113.${next}`;
    expect(
      await guessed(
        61,
        () => ({ forwarded: stranger }),
        (at) => `nobody${at}@example.test`,
      ),
    ).toEqual({ 401: 60, 429: 1 });
    expect(await attempt(who.email, PASSPHRASE, { forwarded: `198.51.100.${next}` })).toBe(200);
  });

  it('an address that is written into the header by the caller counts for nothing', async () => {
    const statuses = [];
    for (let at = 0; at < 9; at += 1)
      statuses.push(
        await attempt(who.email, 'wrong', { remote: `192.0.2.${next}`, forwarded: `203.0.113.${100 + at}` }),
      );
    expect(statuses).toEqual([401, 401, 401, 401, 401, 401, 401, 401, 429]);
  });

  it("a form of another address is taken on a trusted proxy's word for it, and on nobody else's", async () => {
    const sent = async (remoteAddress: string): Promise<number> =>
      (
        await world.application.inject({
          method: 'POST',
          url: '/yard/sign-in',
          remoteAddress,
          headers: {
            'content-type': 'application/x-www-form-urlencoded',
            host: '10.0.0.1:4180',
            origin: 'https://yard.test',
            'x-forwarded-for': '203.0.113.7',
            'x-forwarded-host': 'yard.test',
            'x-forwarded-proto': 'https',
          },
          payload: new URLSearchParams({ email: who.email, passphrase: PASSPHRASE }).toString(),
        })
      ).statusCode;
    expect([await sent(PROXY), await sent('192.0.2.44')]).toEqual([303, 403]);
  });

  it('56 correct sign-ins and more from one address are no failures', async () => {
    const remote = `192.0.2.${100 + next}`;
    const statuses: number[] = [];
    while (statuses.length < 63)
      statuses.push(
        ...(await Promise.all(Array.from({ length: 7 }, () => attempt(who.email, PASSPHRASE, { remote })))),
      );
    expect(counts(statuses)).toEqual({ 200: 63 });
    expect(await attempt(who.email, 'wrong', { remote })).toBe(401);
  });

  it('addresses of one IPv6 /64 are one caller', async () => {
    const statuses = [];
    for (let at = 1; at < 10; at += 1)
      statuses.push(await attempt(who.email, 'wrong', { remote: `2001:db8:0:${next}::${at.toString(16)}:${at}` }));
    expect(statuses).toEqual([401, 401, 401, 401, 401, 401, 401, 401, 429]);
    expect(await attempt(who.email, PASSPHRASE, { remote: `2001:db8:1:${next}::1` })).toBe(200);
  });

  it('120 addresses that guess at one account are slowed; the person at a known address is not', async () => {
    const home = `198.51.100.${50 + next}`;
    expect(await attempt(who.email, PASSPHRASE, { remote: home })).toBe(200);
    expect(await guessed(120, (at) => ({ remote: `172.16.${next}.${at}` }))).toEqual({ 401: 20, 429: 100 });
    expect(await attempt(who.email, PASSPHRASE, { remote: home })).toBe(200);
    expect(await attempt(who.email, PASSPHRASE, { remote: `172.17.0.${next}` })).toBe(429);
    world.clock.advance({ minutes: 1 });
    expect(await attempt(who.email, PASSPHRASE, { remote: `172.17.0.${next}` })).toBe(200);
  });

  it('from one shared address keep nobody out who comes with a device of theirs', async () => {
    const remote = `192.0.2.${100 + next}`;
    const signIn = async (payload: object, from = remote) =>
      world.application.inject({
        method: 'POST',
        url: '/v1/sign-in',
        remoteAddress: from,
        payload: { email: who.email, passphrase: PASSPHRASE, ...payload },
      });
    const { device } = (await signIn({})).json<{ device: string }>();
    const other = await person(world, 'colleague');
    const theirs = (await signIn({ email: other.email }, '198.51.100.99')).json<{ device: string }>().device;
    expect(await guessed(9, () => ({ remote }))).toEqual({ 401: 8, 429: 1 });
    expect([(await signIn({})).statusCode, (await signIn({ device: theirs })).statusCode]).toEqual([429, 429]);
    // Its own attempts count for the device alone, and take nothing back from those who guess without it.
    for (let at = 0; at < 5; at += 1) expect((await signIn({ device, passphrase: 'wrong' })).statusCode).toBe(401);
    expect((await signIn({ device })).statusCode).toBe(200);
    expect(await guessed(1, () => ({ remote }))).toEqual({ 429: 1 });
    const more = [];
    for (let at = 0; at < 3; at += 1) more.push((await signIn({ device, passphrase: 'wrong' })).statusCode);
    expect(more).toEqual([401, 401, 429]);
  });

  it('with a mark of one account are counted like any other at another account of the same email', async () => {
    const remote = `192.0.2.${180 + next}`;
    const twin = await person(world, 'somebody else');
    await world.ownerPool.query('UPDATE person SET email = $1 WHERE id = $2', [who.email, twin.id]);
    const marked = world.application.get(KnownDevices).mark(twin.id, world.clock.now());
    const statuses = [];
    for (let at = 0; at < 9; at += 1) {
      const payload = { email: who.email, passphrase: 'wrong', device: marked };
      const url = '/v1/sign-in';
      const answer = await world.application.inject({ method: 'POST', url, remoteAddress: remote, payload });
      statuses.push(answer.statusCode);
    }
    expect(statuses.at(-1)).toBe(429);
  });

  it('nor is the person with a known device, wherever they are, while others go on guessing', async () => {
    const signIn = (remoteAddress: string, more: object) =>
      world.application.inject({
        method: 'POST',
        url: '/v1/sign-in',
        remoteAddress,
        payload: { email: who.email, passphrase: PASSPHRASE, ...more },
      });
    const { device } = (await signIn(`198.51.100.${150 + next}`, {})).json<{ device: string }>();
    const other = await person(world, 'stranger');
    const theirs = (await signIn(`198.51.100.${170 + next}`, { email: other.email })).json<{ device: string }>();
    // Some weeks later, where nobody knows them, in the middle of an attack.
    world.clock.advance({ days: 35 });
    const attacked = async (): Promise<void> => void (await guessed(40, (at) => ({ remote: `172.30.${next}.${at}` })));
    await attacked();
    const away = (at: number): string => `172.31.${next}.${at}`;
    expect((await signIn(away(1), {})).statusCode).toBe(429);
    const changed = device.slice(0, 10) + (device[10] === 'A' ? 'B' : 'A') + device.slice(11);
    for (const [at, forged] of [theirs.device, changed, `${device}A`, 'ryd_', 'x'].entries())
      expect((await signIn(away(10 + at), { device: forged })).statusCode).toBe(429);
    expect((await signIn(away(2), { device })).statusCode).toBe(200);
    await attacked();
    expect((await signIn(away(3), { device })).statusCode).toBe(200);
    const byForm = async (at: number, cookie: object): Promise<number> =>
      (
        await world.application.inject({
          method: 'POST',
          url: '/yard/sign-in',
          remoteAddress: away(at),
          headers: {
            'content-type': 'application/x-www-form-urlencoded',
            'sec-fetch-site': 'same-origin',
            ...cookie,
          },
          payload: new URLSearchParams({ email: who.email, passphrase: PASSPHRASE }).toString(),
        })
      ).statusCode;
    expect([await byForm(4, {}), await byForm(5, { cookie: `rickyard_device=${device}` })]).toEqual([429, 303]);
    // A mark that was stolen gives no more guesses than one address has.
    const stolen = [];
    for (let at = 0; at < 10; at += 1)
      stolen.push((await signIn(away(20 + at), { device, passphrase: 'wrong' })).statusCode);
    expect(counts(stolen)).toEqual({ 401: 5, 429: 5 });
    world.clock.advance({ days: 90 });
    await attacked();
    expect((await signIn(away(40), { device })).statusCode).toBe(429);
  });

  it('an account that was enrolled, or took its email, a moment ago is slowed at the same guess as none', async () => {
    const yard = await operationWith(world, { roles: ['owner'] });
    const enrolled = `enrolled.${next}@example.test`;
    const { token } = (
      await yard.as.owner.post<{ token: string }>(
        yard.at('/invitations'),
        { email: enrolled, role: 'hand' },
        { expect: 201 },
      )
    ).body;
    const own = { name: 'Newly enrolled', passphrase: 'a gate left open all night' };
    await world.anyone.post('/v1/invitation-acceptances', { token, ...own }, { key: null, expect: 201 });
    const changed = `changed.${next}@example.test`;
    const as = await clientOf(world, who);
    await as.post('/v1/me/email', { email: changed, presentPassphrase: PASSPHRASE }, { key: null, expect: 200 });
    /** How many guesses until one is refused, from addresses like these. */
    const refusedAt = async (email: string, from: (tried: number) => string): Promise<number> => {
      for (let tried = 1; ; tried += 1)
        if ((await attempt(email, 'wrong', { remote: from(tried) })) === 429) return tried;
    };
    const refused: Record<string, number[]> = {};
    for (const [index, email] of [enrolled, changed, `none.${next}@example.test`].entries())
      refused[email.split('.')[0] ?? ''] = [
        // From where the person enrolled, and from anywhere else.
        await refusedAt(email, () => '127.0.0.1'),
        await refusedAt(email, (tried) => `172.${21 + index}.${next}.${tried}`),
      ];
    expect(refused).toEqual({ enrolled: [9, 13], changed: [9, 13], none: [9, 13] });
  });

  it('an account that is none is slowed alike', async () => {
    const nobody = `nobody.${next}@example.test`;
    const statuses = await Promise.all(
      Array.from({ length: 22 }, (_, at) => attempt(nobody, 'wrong', { remote: `172.18.${next}.${at}` })),
    );
    expect(statuses.filter((status) => status === 429)).toHaveLength(2);
  });

  it('requests of one address are answered up to a number, whatever they ask, and nobody else notices', async () => {
    const from = (remoteAddress: string, url: string) => world.application.inject({ url, remoteAddress });
    const urls = ['/v1/me', '/openapi.json', '/no-such-address', '/yard'];
    const asked = await Promise.all(
      Array.from({ length: 203 }, (_, at) => from('2001:db8:9:9::' + at.toString(16), urls[at % 4] ?? '')),
    );
    const refused = asked.filter(({ statusCode }) => statusCode === 429);
    expect(refused).toHaveLength(3);
    expect(refused[0]?.json()).toMatchObject({ type: '/problems/too-many-requests', status: 429 });
    const wait = Number(refused[0]?.headers['retry-after']);
    expect([wait > 3000, wait <= 3600]).toEqual([true, true]);
    expect((await from('2001:db8:9:10::1', '/v1/me')).statusCode).toBe(401);
    // Whoever checks whether the server is well, and this machine itself.
    expect((await from('2001:db8:9:9::1', '/health/live')).statusCode).toBe(200);
    const here = await Promise.all(Array.from({ length: 202 }, () => from('127.0.0.1', '/v1/me')));
    expect(counts(here.map(({ statusCode }) => statusCode))).toEqual({ 401: 202 });
  });

  it('requests with one key are answered up to a number, from wherever they come', async () => {
    const with_ = (key: string, at: number) =>
      world.application.inject({
        url: '/v1/me',
        remoteAddress: `172.20.${next}.${at}`,
        headers: { authorization: `Bearer ${key}` },
      });
    const key = (letter: string) => `ryk_${'0'.repeat(32)}_${letter.repeat(43)}`;
    const statuses = await Promise.all(Array.from({ length: 7 }, (_, at) => with_(key('a'), at)));
    expect(counts(statuses.map(({ statusCode }) => statusCode))).toEqual({ 401: 5, 429: 2 });
    // Only who has the whole key can use its number up.
    expect((await with_(key('b'), 9)).statusCode).toBe(401);
  });

  it('requests of one person are answered up to a number, by whatever sessions, from wherever', async () => {
    const sessions = await Promise.all([1, 2, 3].map(() => clientOf(world, who)));
    const statuses = [];
    for (let at = 0; at < 33; at += 1) statuses.push((await sessions[at % 3]?.get('/v1/me'))?.status ?? 0);
    expect(counts(statuses)).toEqual({ 200: 30, 429: 3 });
    expect((await (await clientOf(world, await person(world, 'neighbor'))).get('/v1/me')).status).toBe(200);
  });

  it('requests in one operation are answered up to a number that no stranger can use up', async () => {
    const yard = await operationWith(world, { roles: ['owner', 'manager', 'hand'] });
    const stranger = await clientOf(world, who);
    for (let at = 0; at < 29; at += 1) expect((await stranger.get(yard.at('/herds'))).status).toBe(404);
    const statuses = [];
    for (const role of ['manager', 'hand'] as const)
      for (let at = 0; at < 27; at += 1) statuses.push((await yard.as[role].get(yard.at('/herds'))).status);
    expect(counts(statuses)).toEqual({ 200: 50, 429: 4 });
    // Whoever has used up an operation is asked to wait there alone.
    expect((await yard.as.hand.get('/v1/me')).status).toBe(200);
  });

  it('attempts of anybody are gone after a day', async () => {
    const left = async (): Promise<number> =>
      Number((await world.ownerPool.query<{ count: string }>('SELECT count(*) FROM sign_in_attempt')).rows[0]?.count);
    await guessed(5, (at) => ({ remote: `172.19.${next}.${at}` }));
    expect(await left()).toBeGreaterThan(5);
    world.clock.advance({ days: 2 });
    await attempt(who.email, 'wrong', { remote: `172.19.${next}.99` });
    expect(await left()).toBe(3);
  });
});

describe('Two servers on one database', () => {
  const limits = { perAddress: 100, perKey: 100, perPerson: 100, perOperation: 100, seconds: 3600 };
  let first: World;
  let second: World;
  beforeAll(async () => {
    first = await openWorld({ requestLimits: limits });
    second = await openWorld({ requestLimits: limits, beside: first });
  });
  afterAll(async () => {
    await second.close();
    await first.close();
  });

  it('answer a caller no more than one would, but for a twentieth that was not told yet', async () => {
    const ask = async (world: World): Promise<number> =>
      (await world.application.inject({ url: '/v1/me', remoteAddress: '203.0.113.77' })).statusCode;
    const told = async (): Promise<number> =>
      (await first.ownerPool.query<{ requests: number }>('SELECT requests FROM request_count WHERE ends_at > now()'))
        .rows[0]?.requests ?? 0;
    await first.ownerPool.query(
      "INSERT INTO request_count VALUES ('somebody of yesterday', now() - '1 day'::interval, 9)",
    );
    for (let at = 0; at < 60; at += 1) expect(await ask(first)).toBe(401);
    while ((await told()) < 60) await setTimeout(5);
    const there = [];
    for (let at = 0; at < 60; at += 1) {
      there.push(await ask(second));
      // Time for what it is told, however slow the machine is.
      if (at === 10) while ((await told()) < 65) await setTimeout(5);
      await setTimeout(2);
    }
    const { rows } = await first.ownerPool.query('SELECT subject_hash FROM request_count');
    expect(rows).toHaveLength(1);
    const answered = there.filter((status) => status === 401).length;
    expect(answered).toBeGreaterThanOrEqual(40);
    expect(answered).toBeLessThan(60);
  });
});

describe('The network of an address', () => {
  it.each([
    ['203.0.113.7', '203.0.113.7'],
    ['::ffff:203.0.113.7', '203.0.113.7'],
    ['::ffff:cb00:7107', '203.0.113.7'],
    ['2001:db8::1', '2001:db8:0:0::/64'],
    ['2001:DB8:0:0:ffff::1', '2001:db8:0:0::/64'],
    ['2001:db8:0:1::1', '2001:db8:0:1::/64'],
    ['fe80::1%eth0', 'fe80:0:0:0::/64'],
    ['::1', '0:0:0:0::/64'],
  ])('%s is %s', (address, network) => {
    expect(networkOf(address)).toBe(network);
  });
});

describe('TRUSTED_PROXIES', () => {
  const read = (text: string) => readConfig({ TRUSTED_PROXIES: text }, '/').trustedProxies;
  it('takes addresses and ranges', () => {
    expect(read('10.0.0.5, 10.1.0.0/16,fd00::/8')).toEqual(['10.0.0.5', '10.1.0.0/16', 'fd00::/8']);
    expect(readConfig({}, '/').trustedProxies).toEqual([]);
  });
  it.each(['proxy', '10.0.0.0/33', '10.0.0.0/0', '10.0.0', '', 'fd00::/129', '10.0.0.1/8/8'])(
    'refuses "%s"',
    (text) => {
      expect(() => read(text)).toThrow(/TRUSTED_PROXIES: .*IP addresses or CIDR ranges/);
    },
  );
});
