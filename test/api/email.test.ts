/*
 * An email address is a claim until its person, signed in, has opened a link that was mailed to it. The mail goes out
 * by SMTP to a server in this process, after the request is answered.
 */
import { MailOutboxStore } from '../../src/access/mail/mail-outbox.store.js';
import { MailSender } from '../../src/access/mail/mail-sender.js';
import { SecretBox } from '../../src/platform/secrets/secret-box.js';
import { openMailbox, PUBLIC_ADDRESS, type Mailbox, tokenIn } from '../support/mailbox.js';
import type { ApiClient } from '../support/client.js';
import {
  clientOf,
  engage,
  join,
  type Operation,
  operationWith,
  PASSPHRASE,
  type Person,
  person,
  signIn,
} from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

let mailbox: Mailbox;
let world: World;
let who: Person;
let as: ApiClient;
beforeAll(async () => {
  mailbox = await openMailbox();
  world = await openWorld({ outside: mailbox.outside });
});
beforeEach(async () => {
  who = await person(world, 'rancher');
  as = await clientOf(world, who);
});
afterAll(async () => {
  await world.close();
  await mailbox.stop();
});

interface Standing {
  email: string;
  emailProven: boolean;
  provenAt: string | null;
  mailOffered: boolean;
  link: { askedAt: string; expiresAt: string; state: string; problem: string | null } | null;
}
/** All that is due goes out. */
const sent = (): Promise<void> => world.application.get(MailSender).deliverDue();
const standing = async (of = as): Promise<Standing> => (await of.get<Standing>('/v1/me/email', { expect: 200 })).body;
const ask = async (of = as, status = 200): Promise<Standing> =>
  (await of.post<Standing>('/v1/me/email-links', undefined, { key: null, expect: status })).body;
const prove = async (token: string, of = as): Promise<number> =>
  (await of.post('/v1/me/email-proofs', { token }, { key: null })).status;
/** Asks, has it sent, and opens it. */
async function proven(of = as, email = who.email): Promise<void> {
  await ask(of);
  await sent();
  expect(await prove(tokenIn(mailbox.to(email).at(-1)!), of)).toBe(200);
}
const change = (email: string, of = as, presentPassphrase = PASSPHRASE) =>
  of.post<Standing>('/v1/me/email', { email, presentPassphrase }, { key: null });

describe('a link', () => {
  it('is sent to the address, and proves it once it is opened', async () => {
    expect(await standing()).toEqual({
      email: who.email,
      emailProven: false,
      emailNote: 'Nobody has shown yet that mail to this address reaches you.',
      provenAt: null,
      mailOffered: true,
      link: null,
    });
    const now = world.clock.now();
    const asked = await ask();
    expect(asked.link).toEqual({
      askedAt: now.toISOString(),
      expiresAt: new Date(now.getTime() + 86_400_000).toISOString(),
      state: 'waiting',
      problem: null,
    });
    await sent();
    expect((await standing()).link?.state).toBe('sent');
    const [mail, ...others] = mailbox.to(who.email);
    expect(others).toEqual([]);
    expect(mail?.from).toBe('books@ranch.example');
    expect(mail?.headers).toMatchObject({ from: 'Rickyard <books@ranch.example>', 'auto-submitted': 'auto-generated' });
    expect(mail?.headers['message-id']).toMatch(/^<[0-9a-f-]{36}@books\.ranch\.example>$/);
    expect(mail?.text).toContain(`${PUBLIC_ADDRESS}/yard/account/email-proof?token=${tokenIn(mail!)}`);
    expect(mail?.text).toContain('until 2027-01-16 15:00 UTC');

    expect(await prove(tokenIn(mail!))).toBe(200);
    expect(await standing()).toMatchObject({ emailProven: true, provenAt: now.toISOString(), link: { state: 'used' } });
    expect((await as.get<{ person: object }>('/v1/me')).body.person).toMatchObject({ emailProven: true });
    expect((await as.get<{ items: { kind: string }[] }>('/v1/me/activity')).body.items[0]?.kind).toBe('email-proven');
    // There is nothing left to prove.
    await ask(as, 409);
  });

  it('says nothing that anybody typed: a name could be words meant for a stranger', async () => {
    const loud = await person(world, 'Win a Prize');
    const of = await clientOf(world, loud);
    await ask(of);
    await sent();
    expect(JSON.stringify(mailbox.to(loud.email))).not.toContain('Prize');
  });

  it('is kept as a hash, and its mail sealed until it is sent; afterward nothing of it is left', async () => {
    await mailbox.stop();
    await ask();
    const rows = async (): Promise<string> => {
      const { rows: found } = await world.ownerPool.query<{ row: string }>(
        'SELECT l::text || o::text AS row FROM email_link l JOIN mail_outbox o ON o.link_id = l.id ' +
          'WHERE l.person_id = $1',
        [who.id],
      );
      return found.map(({ row }) => row).join('\n');
    };
    await sent();
    const waiting = await rows();
    expect(waiting).toContain('sealed1.');
    await mailbox.start();
    world.clock.advance({ minutes: 2 });
    await sent();
    const token = tokenIn(mailbox.to(who.email)[0]!);
    expect(waiting).not.toContain(token);
    expect(await rows()).not.toContain('sealed1.');
  });

  it('expires after a day, and a newer one ends it', async () => {
    await ask();
    await sent();
    const first = tokenIn(mailbox.to(who.email)[0]!);
    await ask();
    await sent();
    const second = tokenIn(mailbox.to(who.email)[1]!);
    expect(await prove(first)).toBe(422);
    world.clock.advance({ days: 1 });
    as = await clientOf(world, who);
    expect(await prove(second)).toBe(422);
    expect(await standing()).toMatchObject({ emailProven: false, link: { state: 'expired' } });
  });

  it('opened in a browser changes nothing before the button there is pressed', async () => {
    await ask();
    await sent();
    const token = tokenIn(mailbox.to(who.email)[0]!);
    const url = `/yard/account/email-proof?token=${token}`;
    // A scanner of mail, or a person who is not signed in.
    const scanned = await world.application.inject({ url, headers: { accept: 'text/html' } });
    expect(scanned.statusCode).toBe(303);
    expect(scanned.headers['location']).toBe(`/yard/sign-in?next=${encodeURIComponent(url)}`);
    const form = (path: string, fields: Record<string, string>, cookie?: string) =>
      world.application.inject({
        method: 'POST',
        url: path,
        headers: {
          'content-type': 'application/x-www-form-urlencoded',
          'sec-fetch-site': 'same-origin',
          accept: 'text/html',
          ...(cookie === undefined ? {} : { cookie }),
        },
        payload: new URLSearchParams(fields).toString(),
      });
    const signedIn = await form('/yard/sign-in', { email: who.email, passphrase: PASSPHRASE, next: url });
    expect([signedIn.statusCode, signedIn.headers['location']]).toEqual([303, url]);
    const cookie = String(signedIn.headers['set-cookie']).split(';')[0] ?? '';
    const page = await world.application.inject({ url, headers: { accept: 'text/html', cookie } });
    expect(page.payload).toContain(`name="token" value="${token}"`);
    expect((await standing()).emailProven).toBe(false);
    expect((await form('/yard/account/email-proof', { token }, cookie)).headers['location']).toBe('/yard/account');
    expect((await standing()).emailProven).toBe(true);
    const account = await world.application.inject({ url: '/yard/account', headers: { accept: 'text/html', cookie } });
    expect(account.payload).toContain('<b>proven</b>');
    // The page asks for one as well.
    await change(`moved.${who.email}`);
    expect((await form('/yard/account/email-links', {}, cookie)).statusCode).toBe(303);
    await sent();
    expect(mailbox.to(`moved.${who.email}`)).toHaveLength(1);
  });
});

describe('a mail server', () => {
  it('that does not answer keeps nobody waiting, is told, and gets the mail later, once', async () => {
    await mailbox.stop();
    expect((await ask()).link?.state).toBe('waiting');
    await sent();
    expect((await standing()).link).toMatchObject({
      state: 'waiting',
      problem: expect.stringContaining('could not be reached') as string,
    });
    // Not before its time.
    await mailbox.start();
    await sent();
    expect(mailbox.to(who.email)).toEqual([]);
    world.clock.advance({ minutes: 1 });
    await sent();
    await sent();
    expect(mailbox.to(who.email)).toHaveLength(1);
    expect((await standing()).link).toMatchObject({ state: 'sent', problem: null });
  });

  it.each([
    ['that says no for good (5yz of RFC 5321, 4.2.1) is told and not asked again', 550, 'not-delivered'],
    ['that says not now (4yz) is asked again', 451, 'sent'],
  ])('%s', async (_what, code, state) => {
    mailbox.refusing = code;
    await ask();
    await sent();
    const { link } = await standing();
    expect(link?.problem).toContain(code === 550 ? 'No such mailbox here' : 'could not be reached');
    mailbox.refusing = undefined;
    world.clock.advance({ minutes: 5 });
    await sent();
    expect((await standing()).link?.state).toBe(state);
  });

  it('that takes its time holds no transaction, and two servers do not send one mail twice', async () => {
    let release: () => void = () => undefined;
    const held = new Promise<void>((resolve) => (release = resolve));
    const arrived = new Promise<void>((resolve) => {
      mailbox.onMail = () => {
        resolve();
        return held;
      };
    });
    // Another server on the same database: its own sender, the same outbox.
    const box = world.application.get(SecretBox);
    const other = new MailSender(new MailOutboxStore(world.database, box), box, mailbox.outside, world.clock);
    await ask();
    const sending = sent();
    await arrived;
    const { rows } = await world.ownerPool.query<{ open: string }>(
      "SELECT count(*) AS open FROM pg_stat_activity WHERE datname = current_database() AND state LIKE 'idle in%'",
    );
    expect(rows[0]?.open).toBe('0');
    await other.deliverDue();
    mailbox.onMail = undefined;
    release();
    await sending;
    expect(mailbox.to(who.email)).toHaveLength(1);
  });

  it('gets a mail again that somebody had begun to send and never ended, under the same name', async () => {
    await ask();
    await sent();
    // As if the program had ended right after the mail server's word.
    await world.ownerPool.query('UPDATE mail_outbox SET sent_at = NULL, sealed = $2 WHERE person_id = $1', [
      who.id,
      await sealedOf(who.id),
    ]);
    await sent();
    expect(mailbox.to(who.email)).toHaveLength(1);
    world.clock.advance({ minutes: 10 });
    await sent();
    const [first, second] = mailbox.to(who.email);
    expect(second?.headers['message-id']).toBe(first?.headers['message-id']);
  });

  async function sealedOf(personId: string): Promise<string> {
    const { rows } = await world.ownerPool.query<{ id: string }>('SELECT id FROM mail_outbox WHERE person_id = $1', [
      personId,
    ]);
    const content = { kind: 'prove-address', token: 'rym_again', until: '2027-01-16T15:00:00.000Z' };
    return world.application.get(SecretBox).seal(JSON.stringify(content), rows[0]?.id ?? '');
  }
});

describe('another address', () => {
  it('is unproven, opens the account with the same passphrase, and the one before it is told', async () => {
    await proven();
    const before = mailbox.to(who.email).length;
    const email = `new.${who.email}`;
    const changed = await change(email);
    expect([changed.status, changed.body.email, changed.body.emailProven]).toEqual([200, email, false]);
    await sent();
    expect(mailbox.to(who.email).at(-1)?.headers['subject']).toBe('Your email address was changed');
    expect(mailbox.to(who.email)).toHaveLength(before + 1);
    await expect(signIn(world, who)).rejects.toThrow('401');
    await signIn(world, { ...who, email });
    const kinds = (await as.get<{ items: { kind: string }[] }>('/v1/me/activity')).body.items.map(({ kind }) => kind);
    expect(kinds).toContain('email-changed');
    // The passphrase is the same.
    expect(kinds).not.toContain('passphrase-changed');
    await proven(as, email);
  });

  it('is refused with the wrong passphrase, as the same, and where it tells the passphrase', async () => {
    expect((await change(`x.${who.email}`, as, 'not my passphrase at all')).status).toBe(422);
    expect((await change(who.email)).status).toBe(422);
  });
});

describe('everywhere that an address is shown, it says whether it is proven', () => {
  let yard: Operation;
  beforeEach(async () => {
    yard = await operationWith(world, { roles: ['owner'] });
    await join(world, who, yard.id, 'manager');
  });
  const member = async (): Promise<{ emailProven: boolean } | undefined> =>
    (
      await yard.as.owner.get<{ items: { personId: string; emailProven: boolean }[] }>(yard.at('/memberships'))
    ).body.items.find(({ personId }) => personId === who.id);

  it('to members, of themselves and each other', async () => {
    expect((await member())?.emailProven).toBe(false);
    await proven();
    expect((await member())?.emailProven).toBe(true);
    await change(`other.${who.email}`);
    expect((await member())?.emailProven).toBe(false);
  });

  it('of an invitation, once it was accepted by whoever has proven that address', async () => {
    const email = `invited.${who.email}`;
    const { id, token, emailProven } = (
      await yard.as.owner.post<{ id: string; token: string; emailProven: boolean }>(
        yard.at('/invitations'),
        { email, role: 'hand' },
        { expect: 201 },
      )
    ).body;
    expect(emailProven).toBe(false);
    const invitation = async (): Promise<unknown> =>
      (await yard.as.owner.get<{ emailProven: boolean }>(yard.at(`/invitations/${id}`))).body.emailProven;
    // Somebody else has an account of that address, and has proven it: that says nothing of who will accept.
    await change(email);
    await proven(as, email);
    expect(await invitation()).toBe(false);
    const passphrase = 'a barn full of second cutting';
    const { personId } = (
      await world.anyone.post<{ personId: string }>(
        '/v1/invitation-acceptances',
        { token, name: 'Kit Marrow', passphrase },
        { key: null, expect: 201 },
      )
    ).body;
    expect(await invitation()).toBe(false);
    await proven(await clientOf(world, { id: personId, name: 'Kit', email }), email);
    expect(await invitation()).toBe(true);
    const listed = (await yard.as.owner.get<{ items: { id: string; emailProven: boolean }[] }>(yard.at('/invitations')))
      .body.items;
    expect(listed.find((one) => one.id === id)?.emailProven).toBe(true);
  });

  it('of a proposal and an engagement', async () => {
    const vet = await person(world, 'vet');
    let of = await clientOf(world, vet);
    await proven(yard.as.owner, yard.people.owner.email);
    await of.post('/v1/me/engagement-proposals', { ownerEmail: yard.people.owner.email }, { expect: 201 });
    const proposal = async (): Promise<{ id: string; consultantEmailProven: boolean } | undefined> =>
      (
        await yard.as.owner.get<{ items: { id: string; consultantEmailProven: boolean }[] }>(
          '/v1/me/engagement-proposals',
        )
      ).body.items[0];
    expect((await proposal())?.consultantEmailProven).toBe(false);
    await proven(of, vet.email);
    expect((await proposal())?.consultantEmailProven).toBe(true);

    const offer = (
      await yard.as.owner.post<{ id: string; code: string; consultantEmailProven: boolean }>(
        yard.at('/engagements'),
        { consultantEmail: vet.email },
        { expect: 201 },
      )
    ).body;
    // Nobody has accepted it, and an offer does not say who goes by the address.
    expect(offer.consultantEmailProven).toBe(false);
    await engage(yard, of, offer);
    const engagement = async (by: ApiClient, path: string): Promise<boolean> =>
      (await by.get<{ consultantEmailProven: boolean }>(path, { expect: 200 })).body.consultantEmailProven;
    expect(await engagement(yard.as.owner, yard.at(`/engagements/${offer.id}`))).toBe(true);
    expect(await engagement(of, `/v1/me/engagements/${offer.id}`)).toBe(true);
    await change(`gone.${vet.email}`, of);
    of = await clientOf(world, vet);
    expect(await engagement(yard.as.owner, yard.at(`/engagements/${offer.id}`))).toBe(false);
  });
});

describe('a server without mail', () => {
  it('says so, and calls every address unproven', async () => {
    const silent = await openWorld();
    try {
      const yard = await operationWith(silent, { roles: ['owner'] });
      const { owner } = yard.as;
      expect((await owner.get<Standing>('/v1/me/email')).body).toMatchObject({
        emailProven: false,
        mailOffered: false,
      });
      const refused = await owner.post<{ type: string; detail?: string }>('/v1/me/email-links', undefined, {
        key: null,
      });
      expect([refused.status, refused.body.type]).toEqual([409, '/problems/mail-not-offered']);
      expect((await owner.get<{ person: object }>('/v1/me')).body.person).toMatchObject({ emailProven: false });
      const { items } = (await owner.get<{ items: object[] }>(yard.at('/memberships'))).body;
      expect(items[0]).toMatchObject({ emailProven: false });
      const { accessToken } = await signIn(silent, yard.people.owner);
      expect(accessToken).toMatch(/^rya_/);
    } finally {
      await silent.close();
    }
  });
});
