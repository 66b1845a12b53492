/*
 * A link in a mail is a door that stands in somebody's letter box. It opens one account's proof of one address, once,
 * to its person alone; and nothing about mail tells who else has an account.
 */
import { MailSender } from '../../src/access/mail/mail-sender.js';
import type { ApiClient } from '../support/client.js';
import { type Mailbox, openMailbox, tokenIn } from '../support/mailbox.js';
import { clientOf, join, operationWith, PASSPHRASE, type Person, person } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

let mailbox: Mailbox;
let world: World;
/** Whose address the attacker would like to call proven. */
let vet: Person;
/** The attacker's account, which names that address. */
let impostor: Person;
let asImpostor: ApiClient;
beforeAll(async () => {
  mailbox = await openMailbox();
  world = await openWorld({ outside: mailbox.outside });
});
beforeEach(async () => {
  vet = await person(world, 'vet');
  impostor = await person(world, 'impostor');
  await world.ownerPool.query('UPDATE person SET email = $1 WHERE id = $2', [vet.email, impostor.id]);
  asImpostor = await clientOf(world, impostor);
});
afterAll(async () => {
  await world.close();
  await mailbox.stop();
});

const sent = (): Promise<void> => world.application.get(MailSender).deliverDue();
const ask = (as: ApiClient) => as.post<{ type?: string }>('/v1/me/email-links', undefined, { key: null });
const prove = (as: ApiClient, token: string) =>
  as.post<{ errors?: { code: string }[] }>('/v1/me/email-proofs', { token }, { key: null });
const isProven = async (who: Person): Promise<boolean> => {
  const { rows } = await world.ownerPool.query<{ proven: boolean }>(
    'SELECT email_proven_at IS NOT NULL AS proven FROM person WHERE id = $1',
    [who.id],
  );
  return rows[0]?.proven === true;
};
async function linkFor(as: ApiClient, email: string): Promise<string> {
  expect((await ask(as)).status).toBe(200);
  await sent();
  return tokenIn(mailbox.to(email).at(-1)!);
}

it('used twice works once, and once also for two who use it at the same moment', async () => {
  const as = await clientOf(world, vet);
  const token = await linkFor(as, vet.email);
  const both = await Promise.all([prove(as, token), prove(as, token)]);
  expect(both.map(({ status }) => status).sort()).toEqual([200, 422]);
  expect((await prove(as, token)).status).toBe(422);
});

it('that an impostor had sent to the vet proves nothing, whoever opens it: the vet has not the account', async () => {
  const token = await linkFor(asImpostor, vet.email);
  // The vet reads the mail and, trusting, opens it in the own account.
  expect((await prove(await clientOf(world, vet), token)).status).toBe(422);
  expect([await isProven(vet), await isProven(impostor)]).toEqual([false, false]);
  // The vet's own link is no use to the impostor, who would have to read it first.
  const own = await linkFor(await clientOf(world, vet), vet.email);
  expect((await prove(asImpostor, own)).status).toBe(422);
  expect(await isProven(impostor)).toBe(false);
});

it('opened by a scanner of mail, by any method and without a sign-in, does nothing', async () => {
  const as = await clientOf(world, vet);
  const url = `/yard/account/email-proof?token=${await linkFor(as, vet.email)}`;
  for (const method of ['GET', 'HEAD', 'OPTIONS', 'POST', 'PUT'] as const) {
    const { statusCode } = await world.application.inject({ method, url, headers: { accept: 'text/html' } });
    expect([method, statusCode >= 300 && statusCode < 500]).toEqual([method, true]);
  }
  expect(await isProven(vet)).toBe(false);
});

it('posted from another site, with the cookie of the person who is signed in there, does nothing', async () => {
  const token = await linkFor(await clientOf(world, vet), vet.email);
  await world.ownerPool.query('UPDATE person SET email = $1 WHERE id = $2', [`aside.${vet.email}`, impostor.id]);
  const form = { 'content-type': 'application/x-www-form-urlencoded' };
  const signedIn = await world.application.inject({
    method: 'POST',
    url: '/yard/sign-in',
    headers: { ...form, 'sec-fetch-site': 'same-origin' },
    payload: new URLSearchParams({ email: vet.email, passphrase: PASSPHRASE }).toString(),
  });
  const cookie = String(signedIn.headers['set-cookie']).split(';')[0] ?? '';
  for (const more of [{ 'sec-fetch-site': 'cross-site' }, { origin: 'https://elsewhere.example' }, {}]) {
    const { statusCode } = await world.application.inject({
      method: 'POST',
      url: '/yard/account/email-proof',
      headers: { ...form, ...(more as Record<string, string>), cookie },
      payload: new URLSearchParams({ token }).toString(),
    });
    expect(statusCode).toBe(403);
  }
  expect(await isProven(vet)).toBe(false);
});

it('to an address that was changed since does not prove the new one, nor the old one again', async () => {
  const as = await clientOf(world, vet);
  const token = await linkFor(as, vet.email);
  const moved = { email: `moved.${vet.email}`, presentPassphrase: PASSPHRASE };
  await as.post('/v1/me/email', moved, { key: null, expect: 200 });
  expect((await prove(as, token)).status).toBe(422);
  // Back again, the old link stays ended.
  await as.post('/v1/me/email', { ...moved, email: vet.email }, { key: null });
  expect((await prove(as, token)).status).toBe(422);
  expect(await isProven(vet)).toBe(false);
});

it('with a mail that waits while its address is changed is not sent any more', async () => {
  await mailbox.stop();
  const as = await clientOf(world, vet);
  await ask(as);
  await sent();
  const moved = { email: `later.${vet.email}`, presentPassphrase: PASSPHRASE };
  await as.post('/v1/me/email', moved, { key: null, expect: 200 });
  await mailbox.start();
  world.clock.advance({ minutes: 5 });
  await sent();
  expect(mailbox.to(vet.email)).toEqual([]);
});

it('is refused by the database itself: no row of the server calls an address proven without one', async () => {
  const client = await world.appPool.connect();
  const attempt = async (...statements: string[]): Promise<string> => {
    try {
      await client.query('BEGIN');
      await client.query("SELECT set_config('rickyard.person_id', $1, true), set_config('rickyard.moment', $2, true)", [
        vet.id,
        world.clock.now().toISOString(),
      ]);
      for (const statement of statements) await client.query(statement, [vet.id]);
      return 'done';
    } catch (error) {
      return (error as { code: string }).code;
    } finally {
      await client.query('ROLLBACK');
    }
  };
  try {
    const proven = 'UPDATE person SET email_proven_at = now() WHERE id = $1';
    expect(await attempt(proven)).toBe('RY051');
    const link = (email: string, more: string): string =>
      `INSERT INTO email_link (id, person_id, email, token_hash, expires_at${more === '' ? '' : ', used_at'})
        VALUES (gen_random_uuid(), $1, ${email}, 'known', now() + interval '1 year'${more})`;
    const own = '(SELECT email FROM person WHERE id = $1)';
    const shown = "SELECT set_config('rickyard.proof', 'known', true), $1::uuid";
    expect(await attempt(link("'other@example.test'", ''))).toBe('42501');
    expect(await attempt(link(own, ", current_setting('rickyard.moment')::timestamptz"))).toBe('42501');
    // Not used, not shown, or of another person: not proven.
    expect(await attempt(link(own, ''), shown, proven)).toBe('RY051');
    expect(await attempt('UPDATE email_link SET email = (SELECT email FROM person WHERE id = $1)')).toBe('42501');
  } finally {
    client.release();
  }
});

describe('asked for again and again', () => {
  it('is refused to one person, though they change the address each time', async () => {
    const as = await clientOf(world, vet);
    const answers: number[] = [];
    for (let at = 0; at < 5; at += 1) {
      answers.push((await ask(as)).status);
      const email = `n${at}.${vet.email}`;
      await as.post('/v1/me/email', { email, presentPassphrase: PASSPHRASE }, { key: null });
    }
    expect(answers).toEqual([200, 200, 200, 429, 429]);
  });

  it('by many accounts that name one address does not fill its letter box; none learns of another', async () => {
    const answers = new Set<number>();
    for (let at = 0; at < 8; at += 1) {
      const one = await person(world, `impostor ${at}`);
      await world.ownerPool.query('UPDATE person SET email = $1 WHERE id = $2', [vet.email, one.id]);
      answers.add((await ask(await clientOf(world, one))).status);
      await sent();
    }
    expect([...answers]).toEqual([200]);
    expect(mailbox.to(vet.email)).toHaveLength(4);
    // What waits is sent when its time comes, or given up when the link has expired.
    world.clock.advance({ hours: 1, minutes: 1 });
    await sent();
    expect(mailbox.to(vet.email)).toHaveLength(8);
    world.clock.advance({ days: 2 });
    await sent();
    expect(mailbox.to(vet.email)).toHaveLength(8);
  });

  describe('by throwaway accounts of others, until no mail to the address is left for them', () => {
    const email = () => `held.${vet.email}`;
    let owner: Person;
    let home: string;
    let asOwner: ApiClient;
    beforeEach(async () => {
      owner = await person(world, 'owner of the address');
      asOwner = await clientOf(world, owner);
      home = await vouched(owner);
    });
    /** Another session, since one lasts a quarter of an hour; under an address that names one account. */
    const signInAgain = async (): Promise<void> => {
      await world.ownerPool.query('UPDATE person SET email = $1 WHERE id = $2', [owner.email, owner.id]);
      asOwner = await clientOf(world, owner);
      await vouched(owner, home);
    };
    /** Names the address and is vouched for by an operation of its own, or by this one. */
    const vouched = async (one: Person, by?: string): Promise<string> => {
      const operationId = by ?? (await operationWith(world, { roles: ['owner'] })).id;
      await world.ownerPool.query('UPDATE person SET email = $1, vouched_by_operation = $2 WHERE id = $3', [
        email(),
        operationId,
        one.id,
      ]);
      return operationId;
    };
    const throwaway = async (by?: string): Promise<string> => {
      const one = await person(world, 'throwaway');
      const as = await clientOf(world, one);
      const operationId = await vouched(one, by);
      expect((await ask(as)).status).toBe(200);
      return operationId;
    };
    const linkOf = async (as: ApiClient) =>
      (await as.get<{ link: { state: string; problem: string | null } }>('/v1/me/email', { expect: 200 })).body.link;

    it('the owner of the address still gets a link, and proves it', async () => {
      const of = await throwaway();
      for (let at = 0; at < 7; at += 1) await throwaway(of);
      await sent();
      expect(mailbox.to(email()).length).toBe(4);
      expect((await prove(asOwner, await linkFor(asOwner, email()))).status).toBe(200);
      expect(await isProven(owner)).toBe(true);
      // What is left over for the others is not more for that.
      expect(mailbox.to(email()).length).toBe(5);
      world.clock.advance({ hours: 1, minutes: 1 });
      await sent();
      expect(mailbox.to(email()).length).toBe(9);
    });

    it('of ten operations in one day, none more goes; the owner of the address is told that none went', async () => {
      for (let operation = 0; operation < 10; operation += 1) {
        const of = await throwaway();
        await throwaway(of);
        await throwaway(of);
        // From one network, whose share of mail comes again.
        world.clock.advance({ minutes: 16 });
        await sent();
      }
      expect(mailbox.to(email()).length).toBe(30);
      await signInAgain();
      expect((await ask(asOwner)).status).toBe(200);
      await sent();
      expect(await linkOf(asOwner)).toMatchObject({
        state: 'waiting',
        problem: expect.stringContaining('No mail has gone out') as string,
      });
      expect(mailbox.to(email()).length).toBe(30);
      // In the words of a mail server that is away, so that they tell nothing of others.
      const told = (await linkOf(asOwner)).problem;
      await mailbox.stop();
      const alone = await clientOf(world, await person(world, 'alone'));
      await ask(alone);
      await sent();
      await mailbox.start();
      expect((await linkOf(alone)).problem).toBe(told);
      world.clock.advance({ days: 1, minutes: -1 });
      await sent();
      await signInAgain();
      expect(mailbox.to(email()).length).toBe(31);
      expect(await linkOf(asOwner)).toMatchObject({ state: 'sent', problem: null });
    });

    it('and for so long that the link is over: what the owner is told says that none went', async () => {
      await mailbox.stop();
      await ask(asOwner);
      // Nothing was even tried.
      world.clock.advance({ days: 2 });
      await signInAgain();
      expect(await linkOf(asOwner)).toMatchObject({
        state: 'expired',
        problem: expect.stringContaining('No mail has gone out') as string,
      });
      await mailbox.start();
    });
  });

  it('by accounts that one operation vouched for is refused beyond that operation’s share', async () => {
    const house = await operationWith(world, { roles: ['owner'] });
    const answers: number[] = [];
    for (let at = 0; at < 32; at += 1) {
      const one = await person(world, `hand ${at}`);
      await world.ownerPool.query('UPDATE person SET vouched_by_operation = $1 WHERE id = $2', [house.id, one.id]);
      // From as many networks, so that it is the operation that is counted.
      const { statusCode } = await world.application.inject({
        method: 'POST',
        url: '/v1/me/email-links',
        remoteAddress: `192.0.2.${at}`,
        headers: { authorization: `Bearer ${(await clientOf(world, one)).token ?? ''}` },
      });
      answers.push(statusCode);
    }
    expect(answers.filter((status) => status === 200)).toHaveLength(30);
    expect(answers.slice(30)).toEqual([429, 429]);
  });
});

describe('mail tells nobody who has an account', () => {
  it('to whoever names a known address, a proven one, or one that nobody has: one answer', async () => {
    await prove(await clientOf(world, vet), await linkFor(await clientOf(world, vet), vet.email));
    expect(await isProven(vet)).toBe(true);
    const asker = await person(world, 'curious');
    const as = await clientOf(world, asker);
    const told: unknown[] = [];
    for (const email of [vet.email, `nobody.${vet.email}`]) {
      const answer = await as.post<Record<string, unknown>>(
        '/v1/me/email',
        { email, presentPassphrase: PASSPHRASE.split('').reverse().join('') },
        { key: null },
      );
      told.push([answer.status, { ...answer.body, requestId: '', instance: '' }]);
    }
    expect(told[0]).toEqual(told[1]);
    // With the right passphrase, which is another one than the vet's.
    const own = await ownPassphrase(as);
    const changed: unknown[] = [];
    for (const email of [vet.email, `nobody.${vet.email}`]) {
      const { status, body } = await as.post<Record<string, unknown>>(
        '/v1/me/email',
        { email, presentPassphrase: own },
        { key: null },
      );
      changed.push([status, { ...body, email: '' }]);
    }
    expect(changed[0]).toEqual(changed[1]);
    expect(await isProven(asker)).toBe(false);
  });

  async function ownPassphrase(as: ApiClient): Promise<string> {
    const newPassphrase = 'a barn full of second cutting';
    await as.post('/v1/me/passphrase', { presentPassphrase: PASSPHRASE, newPassphrase }, { key: null, expect: 200 });
    return newPassphrase;
  }

  it('to an owner: an invitation or offer to a proven address of somebody else says unproven', async () => {
    await prove(await clientOf(world, vet), await linkFor(await clientOf(world, vet), vet.email));
    const house = await operationWith(world, { roles: ['owner'] });
    const { owner } = house.as;
    const invitation = await owner.post(house.at('/invitations'), { email: vet.email, role: 'hand' }, { expect: 201 });
    const offer = await owner.post(house.at('/engagements'), { consultantEmail: vet.email }, { expect: 201 });
    expect([invitation.body['emailProven'], offer.body['consultantEmailProven']]).toEqual([false, false]);
    // Nor does an impostor of the same address, once inside, pass for the one who has proven it.
    await join(world, impostor, house.id, 'hand');
    const { items } = (
      await owner.get<{ items: { personId: string; emailProven: boolean }[] }>(house.at('/memberships'))
    ).body;
    expect(items.find(({ personId }) => personId === impostor.id)?.emailProven).toBe(false);
  });
});

describe('what is meant for an address', () => {
  it('shows to an account that has proven it, and not to one that only names it', async () => {
    const ranch = await operationWith(world, { roles: ['owner'] });
    const { body: offered } = await ranch.as.owner.post<{ id: string }>(
      ranch.at('/engagements'),
      { consultantEmail: vet.email, note: 'Two visits' },
      { expect: 201 },
    );
    const proposer = await clientOf(world, await person(world, 'proposer'));
    const { body: proposed } = await proposer.post<{ id: string }>(
      '/v1/me/engagement-proposals',
      { ownerEmail: vet.email },
      { expect: 201 },
    );
    const as = await clientOf(world, vet);
    const seen = async (client: ApiClient): Promise<string[]> => {
      const items = [];
      for (const path of ['/v1/me/engagements', '/v1/me/engagement-proposals'])
        items.push(...(await client.get<{ items: { id: string }[] }>(path, { expect: 200 })).body.items);
      return items.map(({ id }) => id);
    };
    expect([await seen(as), await seen(asImpostor)]).toEqual([[], []]);
    expect((await prove(as, await linkFor(as, vet.email))).status).toBe(200);
    expect([await seen(as), await seen(asImpostor)]).toEqual([[offered.id, proposed.id], []]);

    const at = `/v1/me/engagement-proposals/${proposed.id}`;
    expect((await asImpostor.get(at)).status).toBe(404);
    const ifMatch = (await as.get(at, { expect: 200 })).headers['etag'] ?? '';
    expect((await asImpostor.delete(at, { ifMatch })).status).toBe(404);
    expect((await as.delete(at, { ifMatch })).status).toBe(204);
    const path = `/v1/me/engagements/${offered.id}`;
    const tag = (await as.get(path, { expect: 200 })).headers['etag'] ?? '';
    expect((await asImpostor.post(`${path}/refusal`, {}, { ifMatch: tag, key: null })).status).toBe(404);
    expect((await as.post(`${path}/refusal`, {}, { ifMatch: tag, key: null })).status).toBe(200);
  });
});
