/*
 * An account says a name and an email; that it is the person's, nobody has shown. Whoever enrolled somebody in
 * another's name must get nothing by it: no books, no answer about who is enrolled, no operations without end.
 */
import { WAITING_MOST, WAITING_OF_PERSON_MOST } from '../../src/access/invitations/invitation.store.js';
import { newId } from '../../src/platform/identifiers.js';
import { OPENED_MOST } from '../../src/records/yard/operations/operation.store.js';
import type { ApiClient } from '../support/client.js';
import {
  clientOf,
  confirm,
  type Operation,
  operationWith,
  PASSPHRASE as KNOWN_PASSPHRASE,
  person,
  signIn,
} from '../support/people.js';
import { aWinterIn } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

const PASSPHRASE = 'a barn full of second cutting';
const SEASON_COST = '/reports/season-cost?from=2026-11-01&until=2027-01-15';

const INVITED =
  'Nobody has proven that this address is theirs; ask them in person or by phone for the code that you handed over.';

let world: World;
/** The attacker's own operation, and the one whose books are wanted. */
let hers: Operation;
let theirs: Operation;
beforeAll(async () => {
  world = await openWorld();
  hers = await operationWith(world, { roles: ['owner'], name: 'Stranger Cattle' });
  theirs = await operationWith(world, { roles: ['owner'] });
  await aWinterIn({ ...theirs, as: { ...theirs.as, manager: theirs.as.owner, hand: theirs.as.owner } });
});
afterAll(() => world.close());

interface Engagement {
  id: string;
  code: string | null;
  state: string;
  version: number;
}
interface Member {
  id: string;
  personId: string;
  email: string;
  present: boolean;
  confirmedAt: string | null;
  emailProven: boolean;
  account: { vouchedBy: string | null; enrolledAt: string } | null;
}

/** Whoever holds the token of an invitation takes it, under whatever name. */
async function acceptedIn(inviting: Operation, email: string, role: string): Promise<string> {
  const { token } = (
    await inviting.as.owner.post<{ token: string }>(inviting.at('/invitations'), { email, role }, { expect: 201 })
  ).body;
  const { personId } = (
    await world.anyone.post<{ personId: string }>(
      '/v1/invitation-acceptances',
      { token, name: 'Somebody Else', passphrase: PASSPHRASE },
      { key: null, expect: 201 },
    )
  ).body;
  return personId;
}

/** She invites the address to her own operation and accepts it herself. */
async function enrolledBy(attacker: Operation, email: string): Promise<ApiClient> {
  await acceptedIn(attacker, email, 'hand');
  const { accessToken } = await signIn(world, { id: '', name: email, email }, PASSPHRASE);
  return world.anyone.as(accessToken);
}
const offer = async (email: string): Promise<Engagement> =>
  (
    await theirs.as.owner.post<Engagement>(
      theirs.at('/engagements'),
      { consultantEmail: email, seesPrices: true },
      { expect: 201 },
    )
  ).body;
const etag = async (client: ApiClient, path: string): Promise<string> =>
  (await client.get(path, { expect: 200 })).headers['etag'] ?? '';
const accept = async (as: ApiClient, { id }: Engagement, code: unknown): Promise<number> => {
  // Whoever only claims the address reads no tag either, so the owner's stands for one that was guessed.
  const ifMatch = await etag(theirs.as.owner, theirs.at(`/engagements/${id}`));
  return (await as.post(`/v1/me/engagements/${id}/acceptance`, { code }, { ifMatch, key: null })).status;
};
const membersOf = async (of: Operation): Promise<Member[]> =>
  (await of.as.owner.get<{ items: Member[] }>(of.at('/memberships'), { expect: 200 })).body.items;

describe('an account made in the name of a vet', () => {
  it('accepts no engagement without the code that the ranch hands over, and reads nothing', async () => {
    const email = 'vet@clinic.example';
    const impostor = await enrolledBy(hers, email);
    const engagement = await offer(email);
    expect(await accept(impostor, engagement, undefined)).toBe(400);
    expect(await accept(impostor, engagement, '00000-00000-00000-00000-00000-000')).toBe(404);
    expect((await impostor.get(theirs.at(SEASON_COST))).status).toBe(404);
    expect((await impostor.get<{ memberships: object[] }>('/v1/me')).body.memberships).toEqual([]);
  });

  it('is told as unproven in words wherever its address or its name is shown to whoever must trust it', async () => {
    const email = `vet.${newId().slice(-8)}@clinic.example`;
    const impostor = await enrolledBy(hers, email);
    const engagement = await offer(email);
    expect(await accept(impostor, engagement, engagement.code)).toBe(200);
    const members = theirs.at('/memberships');
    const engaged = (await theirs.as.owner.get(theirs.at(`/engagements/${engagement.id}`), { expect: 200 })).body;
    expect(engaged).toMatchObject({ consultantEmailProven: false, consultantEmailNote: INVITED });
    const member = (await membersOf(theirs)).find((one) => one.email === email);
    expect(member).toMatchObject({ emailProven: false, emailNote: INVITED });
    const path = `${members}/${member?.id ?? ''}`;
    const ifMatch = await etag(theirs.as.owner, path);
    expect((await theirs.as.owner.post(`${path}/confirmation`, undefined, { ifMatch, key: null })).body).toMatchObject({
      emailNote: INVITED,
    });
    const { items } = (await hers.as.owner.get<{ items: object[] }>(hers.at('/invitations'), { expect: 200 })).body;
    expect(items).toContainEqual(expect.objectContaining({ email, emailNote: INVITED }));

    const proposed = (
      await impostor.post<{ id: string; code: string }>(
        '/v1/me/engagement-proposals',
        { ownerEmail: theirs.people.owner.email },
        { expect: 201 },
      )
    ).body;
    const { body: proposal } = await theirs.as.owner.post(
      '/v1/me/received-proposals',
      { code: proposed.code },
      { key: null, expect: 200 },
    );
    expect(proposal).toMatchObject({
      consultantEmailProven: false,
      consultantEmailNote: expect.stringMatching(/^Nobody has proven that this address is theirs/) as string,
    });
    const audit = await theirs.as.owner.get<{ items: { person: string; personNote: string | null }[] }>(
      theirs.at('/audit?action=membership.confirm'),
      { expect: 200 },
    );
    expect(audit.body.items[0]?.personNote).toMatch(/^Nobody has proven/);
    expect((await impostor.get('/v1/me', { expect: 200 })).body).toMatchObject({
      person: { emailNote: expect.stringMatching(/reaches you/) as string },
    });
  });

  it('reads and declines no offer without its code; who holds a code of their own declines that alone', async () => {
    const email = `vet.${newId().slice(-8)}@clinic.example`;
    const impostor = await enrolledBy(hers, email);
    const engagement = await offer(email);
    const path = `/v1/me/engagements/${engagement.id}`;
    const ifMatch = await etag(theirs.as.owner, theirs.at(`/engagements/${engagement.id}`));
    expect((await impostor.get<{ items: object[] }>('/v1/me/engagements')).body.items).toEqual([]);
    expect((await impostor.get(path)).status).toBe(404);
    for (const code of [undefined, '00000-00000-00000-00000-00000-000', (await offer(`other.${email}`)).code])
      expect([
        (await impostor.post(`${path}/refusal`, { code }, { ifMatch, key: null })).status,
        (await impostor.post('/v1/me/engagement-offers', { code }, { key: null })).status,
      ]).toEqual([404, code === undefined ? 400 : 404]);
    const stands = async (): Promise<string> =>
      (await theirs.as.owner.get<Engagement>(theirs.at(`/engagements/${engagement.id}`))).body.state;
    expect(await stands()).toBe('offered');
    // Whoever was handed the code need not have proven the address.
    const read = await impostor.post<Engagement>(
      '/v1/me/engagement-offers',
      { code: engagement.code },
      { key: null, expect: 200 },
    );
    expect(read.body).toMatchObject({ id: engagement.id, state: 'offered', code: null });
    await impostor.post(
      `${path}/refusal`,
      { code: engagement.code },
      { ifMatch: read.headers['etag'] ?? '', key: null, expect: 200 },
    );
    expect(await stands()).toBe('declined');
  });

  it('opens nothing even with the code before an owner has seen who accepted, and that another vouched', async () => {
    const email = 'vet2@clinic.example';
    const impostor = await enrolledBy(hers, email);
    const engagement = await offer(email);
    expect(engagement.code).toMatch(/^[0-9a-f]{5}(-[0-9a-f]{3,5})+$/);
    expect(await accept(impostor, engagement, engagement.code)).toBe(200);
    for (const path of [SEASON_COST, '/herds', '/hay-lots', '/memberships', '/engagements'])
      expect([path, (await impostor.get(theirs.at(path))).status]).toEqual([path, 404]);
    expect((await impostor.get<{ items: object[] }>('/v1/operations')).body.items).toEqual([]);

    const waiting = (await membersOf(theirs)).find((one) => one.email === email);
    expect(waiting).toMatchObject({
      present: false,
      confirmedAt: null,
      emailProven: false,
      account: {
        vouchedBy: 'Stranger Cattle',
        vouchedHere: false,
        enrolledAt: world.clock.now().toISOString(),
      },
    });
    const { state } = (await theirs.as.owner.get<Engagement>(theirs.at(`/engagements/${engagement.id}`))).body;
    expect(state).toBe('unconfirmed');

    // The owner sees that it is not her vet, and ends it.
    const path = theirs.at(`/memberships/${waiting?.id ?? ''}`);
    await theirs.as.owner.post(
      `${path}/end`,
      { reason: 'Not our vet' },
      { ifMatch: await etag(theirs.as.owner, path), key: null, expect: 200 },
    );
    expect((await theirs.as.owner.get<Engagement>(theirs.at(`/engagements/${engagement.id}`))).body.state).toBe(
      'withdrawn',
    );
    expect((await impostor.get(theirs.at(SEASON_COST))).status).toBe(404);
  });

  it('is confirmed as who the owner saw: another address since then asks her to look again', async () => {
    const email = `vet.${newId().slice(-8)}@clinic.example`;
    const other = `somebody.${newId().slice(-8)}@else.example`;
    const impostor = await enrolledBy(hers, email);
    const engagement = await offer(email);
    expect(await accept(impostor, engagement, engagement.code)).toBe(200);
    const seen = (await membersOf(theirs)).find((one) => one.email === email);
    const path = theirs.at(`/memberships/${seen?.id ?? ''}`);
    const ifMatch = await etag(theirs.as.owner, path);
    await impostor.post('/v1/me/email', { email: other, presentPassphrase: PASSPHRASE }, { key: null, expect: 200 });
    const confirmation = `${path}/confirmation`;
    expect((await theirs.as.owner.post(confirmation, undefined, { ifMatch, key: null })).status).toBe(412);
    const now = await theirs.as.owner.get<Member>(path, { expect: 200 });
    expect(now.body).toMatchObject({ email: other, confirmedAt: null });
    // Her own change of nothing that is shown asks for nothing, and the history tells of the membership alone.
    await impostor.post(
      '/v1/me/passphrase',
      { presentPassphrase: PASSPHRASE, newPassphrase: 'two stacks behind the shed' },
      { key: null, expect: 200 },
    );
    await theirs.as.owner.post(confirmation, undefined, {
      ifMatch: now.headers['etag'] ?? '',
      key: null,
      expect: 200,
    });
    const { changes } = (await theirs.as.owner.get<{ changes: { what: string }[] }>(`${path}/history`, { expect: 200 }))
      .body;
    expect(changes.map(({ what }) => what)).toEqual(['begun', 'changed']);
  });

  it('of the right person opens with the confirmation, and not by confirming oneself', async () => {
    const email = `vet.${newId().slice(-8)}@clinic.example`;
    const vet = await enrolledBy(hers, email);
    const engagement = await offer(email);
    expect(await accept(vet, engagement, engagement.code)).toBe(200);
    const waiting = (await membersOf(theirs)).find((one) => one.email === email);
    const path = theirs.at(`/memberships/${waiting?.id ?? ''}`);
    const ifMatch = await etag(theirs.as.owner, path);
    expect((await vet.post(`${path}/confirmation`, undefined, { ifMatch, key: null })).status).toBe(404);
    await theirs.as.owner.post(`${path}/confirmation`, undefined, { ifMatch, key: null, expect: 200 });
    await vet.get(theirs.at(SEASON_COST), { expect: 200 });
    expect((await theirs.as.owner.get<Engagement>(theirs.at(`/engagements/${engagement.id}`))).body.state).toBe(
      'accepted',
    );
    // Confirmed once.
    expect(
      (
        await theirs.as.owner.post(`${path}/confirmation`, undefined, {
          ifMatch: await etag(theirs.as.owner, path),
          key: null,
        })
      ).status,
    ).toBe(409);
  });

  it('cannot propose itself into the books: the answer to a proposal is an offer with a code', async () => {
    const email = `vet.${newId().slice(-8)}@clinic.example`;
    const impostor = await enrolledBy(hers, email);
    const { id, code } = (
      await impostor.post<{ id: string; code: string }>(
        '/v1/me/engagement-proposals',
        { ownerEmail: theirs.people.owner.email, note: 'It is me' },
        { expect: 201 },
      )
    ).body;
    const made = (
      await theirs.as.owner.post<Engagement>(
        theirs.at('/engagements/by-proposal'),
        { proposalId: id, code, seesPrices: true },
        { expect: 201 },
      )
    ).body;
    expect([made.state, (await impostor.get(theirs.at(SEASON_COST))).status]).toEqual(['offered', 404]);
  });
});

describe('an account in the address of an owner', () => {
  interface Proposal {
    id: string;
    code: string | null;
    state: string;
  }
  const propose = async (as: ApiClient, ownerEmail: string): Promise<Proposal> =>
    (await as.post<Proposal>('/v1/me/engagement-proposals', { ownerEmail }, { expect: 201 })).body;

  it('reads, accepts and declines no proposal without its code; with it the owner does', async () => {
    const impostor = await enrolledBy(hers, theirs.people.owner.email);
    const vet = await clientOf(world, await person(world, 'proposing vet'));
    const proposal = await propose(vet, theirs.people.owner.email);
    const another = await propose(vet, `another.${theirs.people.owner.email}`);
    expect(proposal.code).toMatch(/^[0-9a-f]{5}(-[0-9a-f]{3,5})+$/);
    const path = `/v1/me/engagement-proposals/${proposal.id}`;
    const ifMatch = await etag(vet, path);
    expect((await impostor.get<{ items: object[] }>('/v1/me/engagement-proposals')).body.items).toEqual([]);
    expect((await impostor.get(path)).status).toBe(404);
    expect((await impostor.delete(path, { ifMatch })).status).toBe(404);
    for (const code of [undefined, '00000-00000-00000-00000-00000-000', another.code])
      expect([
        (await impostor.post(`${path}/refusal`, { code }, { ifMatch, key: null })).status,
        (await impostor.post('/v1/me/received-proposals', { code }, { key: null })).status,
      ]).toEqual([404, code === undefined ? 400 : 404]);
    const stands = async (): Promise<string> => (await vet.get<Proposal>(path, { expect: 200 })).body.state;
    expect(await stands()).toBe('open');
    // The owner has not proven the address either, and has the code from the vet.
    const { owner } = theirs.as;
    const byProposal = theirs.at('/engagements/by-proposal');
    expect((await owner.post(byProposal, { proposalId: proposal.id })).status).toBe(404);
    const read = await owner.post<Proposal>(
      '/v1/me/received-proposals',
      { code: proposal.code },
      { key: null, expect: 200 },
    );
    expect(read.body).toMatchObject({ id: proposal.id, state: 'open', code: null });
    const { status } = await owner.post(byProposal, { proposalId: proposal.id, code: proposal.code });
    expect([status, await stands()]).toEqual([201, 'accepted']);
  });

  it('declines a proposal with its code, which tells the consultant that it was declined', async () => {
    const vet = await clientOf(world, await person(world, 'declined vet'));
    const { id, code } = await propose(vet, theirs.people.owner.email);
    const read = await theirs.as.owner.post('/v1/me/received-proposals', { code }, { key: null, expect: 200 });
    const path = `/v1/me/engagement-proposals/${id}`;
    const declining = { ifMatch: read.headers['etag'] ?? '', key: null };
    // Who made it withdraws it instead.
    expect((await vet.post(`${path}/refusal`, { code }, declining)).status).toBe(404);
    expect((await theirs.as.owner.post<Proposal>(`${path}/refusal`, { code }, declining)).body).toMatchObject({
      id,
      state: 'declined',
    });
    expect((await vet.get<Proposal>(path, { expect: 200 })).body.state).toBe('declined');
  });

  it('shows no proposal of an address, whatever the program asks: the database holds it back', async () => {
    const vet = await clientOf(world, await person(world, 'hidden vet'));
    const { id } = await propose(vet, theirs.people.owner.email);
    const client = await world.appPool.connect();
    try {
      await client.query('BEGIN');
      await client.query("SELECT set_config('rickyard.person_id', $1, true)", [theirs.people.owner.id]);
      await client.query('SELECT rickyard.know_own_email()');
      expect((await client.query('SELECT 1 FROM engagement_proposal WHERE id = $1', [id])).rowCount).toBe(0);
    } finally {
      await client.query('ROLLBACK');
      client.release();
    }
  });
});

describe('accounts in the address of one who has not come yet', () => {
  const invited = async (by: Operation, email: string): Promise<string> =>
    (await by.as.owner.post<{ token: string }>(by.at('/invitations'), { email, role: 'hand' }, { expect: 201 })).body
      .token;
  const taken = async (token: string, remoteAddress: string, passphrase = PASSPHRASE): Promise<number> =>
    (
      await world.application.inject({
        method: 'POST',
        url: '/v1/invitation-acceptances',
        remoteAddress,
        payload: { token, name: 'Somebody', passphrase },
      })
    ).statusCode;

  it('do not use up the limit of the true newcomer, from the same address or any other', async () => {
    const email = `kit.${newId().slice(-8)}@ranch.example`;
    const statuses: number[] = [];
    for (let index = 0; index < 9; index += 1)
      statuses.push(await taken(await invited(hers, email), '10.77.0.1', `${PASSPHRASE} no ${index}`));
    for (let index = 9; index < 24; index += 1)
      statuses.push(await taken(await invited(hers, email), `10.78.${index}.1`, `${PASSPHRASE} no ${index}`));
    // From one address up to 8, and of this email up to 20.
    expect([statuses.filter((status) => status === 201).length, statuses.at(8), statuses.at(-1)]).toEqual([
      20, 429, 429,
    ]);
    expect(await taken(await invited(theirs, email), '10.77.0.1', 'bales under the north roof')).toBe(201);
  });

  it('nor do wrong tokens from the same address', async () => {
    const statuses: number[] = [];
    for (let index = 0; index < 61; index += 1)
      statuses.push(await taken(`ri_${String(index).padStart(43, 'x')}`, '10.79.0.1'));
    expect(statuses.at(-1)).toBe(429);
    const email = `lee.${newId().slice(-8)}@ranch.example`;
    expect(await taken(await invited(theirs, email), '10.79.0.1', 'bales under the north roof')).toBe(201);
  });

  it('nor keep a person from taking the address for an account that stands', async () => {
    const email = `move.${newId().slice(-8)}@ranch.example`;
    for (let index = 0; index < 9; index += 1)
      await taken(await invited(hers, email), '127.0.0.1', `${PASSPHRASE} no ${index}`);
    const as = await clientOf(world, await person(world, 'moving'));
    await as.post('/v1/me/email', { email, presentPassphrase: KNOWN_PASSPHRASE }, { key: null, expect: 200 });
  });
});

describe('an invitation that somebody else accepted', () => {
  it('opens nothing until an owner has confirmed who it was', async () => {
    const email = `partner.${newId().slice(-8)}@ranch.example`;
    // Read over the shoulder, or found in a message.
    await acceptedIn(theirs, email, 'owner');
    const thief = world.anyone.as((await signIn(world, { id: '', name: email, email }, PASSPHRASE)).accessToken);
    for (const path of ['', SEASON_COST, '/herds', '/memberships', '/audit', '/invitations'])
      expect([path, (await thief.get(theirs.at(path))).status]).toEqual([path, 404]);
  });

  it('shows no row of the operation, whatever the program asks: the database holds it back', async () => {
    const email = `partner.${newId().slice(-8)}@ranch.example`;
    const personId = await acceptedIn(theirs, email, 'owner');
    const { rows: tables } = await world.ownerPool.query<{ name: string }>(
      'SELECT c.relname AS name FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid ' +
        "AND a.attname = 'operation_id' WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r' " +
        "UNION ALL SELECT 'operation'",
    );
    expect(tables.length).toBeGreaterThan(40);
    const client = await world.appPool.connect();
    try {
      await client.query('BEGIN');
      const entered = await client.query('SELECT * FROM rickyard.enter($1, NULL, $2, NULL)', [
        personId,
        world.clock.now().toISOString(),
      ]);
      expect(entered.rowCount).toBe(0);
      const seen: string[] = [];
      for (const { name } of tables) if ((await client.query(`SELECT 1 FROM ${name}`)).rowCount !== 0) seen.push(name);
      // Their own place and its own history, by which they may leave again.
      expect(seen.sort()).toEqual(['membership', 'membership_change']);
      // No confirming of oneself, in whatever words.
      await expect(
        client.query('UPDATE membership SET confirmed_at = now(), confirmed_by = $1, until_at = $2', [
          personId,
          world.clock.now().toISOString(),
        ]),
      ).rejects.toMatchObject({ code: 'RY051' });
    } finally {
      await client.query('ROLLBACK');
      client.release();
    }
  });
});

describe('who is enrolled', () => {
  const invited = async (email: string): Promise<string> =>
    (await hers.as.owner.post<{ token: string }>(hers.at('/invitations'), { email, role: 'hand' }, { expect: 201 }))
      .body.token;
  const accept = async (email: string, passphrase: string) =>
    world.anyone.post<Record<string, unknown>>(
      '/v1/invitation-acceptances',
      { token: await invited(email), name: 'Somebody', passphrase },
      { key: null },
    );

  it('is not told: an invitation to a known address is answered as one to an unknown', async () => {
    const known = await person(world, 'known vet');
    const answers = [await accept(known.email, PASSPHRASE), await accept('nobody.yet@clinic.example', PASSPHRASE)];
    expect(answers.map(({ status }) => status)).toEqual([201, 201]);
    expect(answers.map(({ body }) => Object.keys(body).sort())).toEqual([
      Object.keys(answers[0]?.body ?? {}).sort(),
      Object.keys(answers[0]?.body ?? {}).sort(),
    ]);
    // Nor by what follows: both new passphrases open an account, and that of the known person still opens theirs.
    for (const email of [known.email, 'nobody.yet@clinic.example'])
      await signIn(world, { id: '', name: email, email }, PASSPHRASE);
    const theirOwn = world.anyone.as((await signIn(world, known)).accessToken);
    expect((await theirOwn.get<{ person: { id: string } }>('/v1/me')).body.person.id).toBe(known.id);
    const impostor = world.anyone.as((await signIn(world, known, PASSPHRASE)).accessToken);
    expect((await impostor.get<{ person: { id: string } }>('/v1/me')).body.person.id).toBe(
      answers[0]?.body['personId'],
    );
    // One computation tells which account a passphrase opens, so that its time tells nothing either.
    const { rows } = await world.ownerPool.query<{ salts: string; accounts: string }>(
      "SELECT count(DISTINCT split_part(passphrase_hash, '$', 5)) AS salts, count(*) AS accounts FROM person " +
        'WHERE email = $1',
      [known.email],
    );
    expect(rows).toEqual([{ salts: '1', accounts: '2' }]);
  });

  it('is told to one who has the passphrase of the account, and to nobody else', async () => {
    const known = await person(world, 'forgot that she has an account');
    const answer = await accept(known.email, KNOWN_PASSPHRASE);
    expect([answer.status, answer.body['detail']]).toEqual([
      409,
      expect.stringContaining('sign in and accept at /v1/me/invitation-acceptances'),
    ]);
  });

  it('is not guessed at by invitations more often than by signing in', async () => {
    const known = await person(world, 'guessed at');
    const statuses: number[] = [];
    for (let guess = 0; guess < 10; guess += 1) {
      const token = await invited(known.email);
      const { statusCode } = await world.application.inject({
        method: 'POST',
        url: '/v1/invitation-acceptances',
        remoteAddress: '10.99.0.1',
        payload: { token, name: 'Somebody', passphrase: `${PASSPHRASE} no ${guess}` },
      });
      statuses.push(statusCode);
    }
    expect(statuses).toEqual([201, 201, 201, 201, 201, 201, 201, 201, 429, 429]);
  });

  it('gives no more guesses at an account to one who signs in to another of the same email in between', async () => {
    const known = await person(world, 'guessed between');
    expect((await accept(known.email, PASSPHRASE)).status).toBe(201);
    const from = async (passphrase: string): Promise<number> =>
      (
        await world.application.inject({
          method: 'POST',
          url: '/v1/sign-in',
          remoteAddress: '10.98.0.1',
          payload: { email: known.email, passphrase },
        })
      ).statusCode;
    const statuses: number[] = [];
    for (let guess = 0; guess < 9; guess += 1) {
      // Into the account in her name, which makes the address known to it.
      if (guess % 3 === 0) statuses.push(await from(PASSPHRASE));
      statuses.push(await from(`${PASSPHRASE} no ${guess}`));
    }
    expect(statuses).toEqual([200, 401, 401, 401, 200, 401, 401, 401, 200, 401, 401, 429]);
  });

  it('does not matter to the real person: an account in their name takes nothing of theirs', async () => {
    const email = `vet.${newId().slice(-8)}@clinic.example`;
    const impostor = await enrolledBy(hers, email);
    // The real vet is invited by her client, under the address that is hers.
    const { token } = (
      await theirs.as.owner.post<{ token: string }>(
        theirs.at('/invitations'),
        { email, role: 'nutritionist' },
        { expect: 201 },
      )
    ).body;
    const passphrase = 'bales under the north roof';
    const { personId } = (
      await world.anyone.post<{ personId: string }>(
        '/v1/invitation-acceptances',
        { token, name: 'Dr. Wren Halvorsen', passphrase },
        { key: null, expect: 201 },
      )
    ).body;
    expect((await membersOf(theirs)).find((one) => one.personId === personId)?.account).toMatchObject({
      vouchedHere: true,
    });
    await confirm(theirs, personId);
    const vet = world.anyone.as((await signIn(world, { id: '', name: email, email }, passphrase)).accessToken);
    await vet.get(theirs.at(SEASON_COST), { expect: 200 });
    const { items } = (await vet.get<{ items: Engagement[] }>('/v1/me/engagements', { expect: 200 })).body;
    expect(items).toHaveLength(1);
    expect((await impostor.get<{ items: object[] }>('/v1/me/engagements')).body.items).toEqual([]);
    expect((await impostor.get(`/v1/me/engagements/${items[0]?.id ?? ''}`)).status).toBe(404);
  });
});

describe('invitations without end', () => {
  it('wait in one operation up to a number, one by one or at once; one withdrawn makes room', async () => {
    const inviting = await operationWith(world, { roles: ['owner'], name: 'Inviting Cattle' });
    const invite = async (index: number) =>
      inviting.as.owner.post<{ id: string }>(inviting.at('/invitations'), {
        email: `hand${index}@example.test`,
        role: 'hand',
      });
    const sent: Awaited<ReturnType<typeof invite>>[] = [];
    for (let index = 0; index < WAITING_MOST - 2; index += 1) sent.push(await invite(index));
    sent.push(...(await Promise.all([91, 92, 93, 94].map(invite))));
    expect(sent.filter(({ status }) => status === 201)).toHaveLength(WAITING_MOST);
    expect((await invite(99)).body).toMatchObject({
      status: 422,
      errors: [{ code: 'too-many-invitations', allowed: expect.stringContaining(String(WAITING_MOST)) as string }],
    });
    const first = inviting.at(`/invitations/${sent[0]?.body.id ?? ''}`);
    await inviting.as.owner.delete(first, {
      ifMatch: (await inviting.as.owner.get(first)).headers['etag'] ?? '',
      expect: 204,
    });
    expect((await invite(99)).status).toBe(201);
    world.clock.advance({ days: 40 });
    inviting.as.owner = await clientOf(world, inviting.people.owner);
    expect((await invite(100)).status).toBe(201);
  });

  it('wait from one person up to a number, over all operations that are theirs', async () => {
    const as = await clientOf(world, hers.people.owner);
    await world.ownerPool.query(
      'INSERT INTO invitation (operation_id, id, email, role, sees_prices, token_hash, invited_by, expires_at) ' +
        "SELECT $1, gen_random_uuid(), 'a@example.test', 'hand', false, gen_random_uuid()::text, $2, $3 " +
        'FROM generate_series(1, $4)',
      [
        theirs.id,
        hers.people.owner.id,
        new Date(world.clock.now().getTime() + 86_400_000).toISOString(),
        WAITING_OF_PERSON_MOST,
      ],
    );
    expect((await as.post(hers.at('/invitations'), { email: 'b@example.test', role: 'hand' })).body).toMatchObject({
      errors: [{ code: 'too-many-invitations', given: WAITING_OF_PERSON_MOST + 1 }],
    });
    expect((await as.get<{ items: { email: string }[] }>(hers.at('/invitations'))).body.items).not.toContainEqual(
      expect.objectContaining({ email: 'a@example.test' }),
    );
  });
});

describe('operations without end', () => {
  it('are not opened by one person, one after the other or at once; the answer says how many', async () => {
    const as = await clientOf(world, await person(world, 'opener'));
    const open = async (index: number) =>
      as.post('/v1/operations', {
        name: `Yard ${index}`,
        unitPreference: 'us',
        currency: 'USD',
        timeZone: 'America/Denver',
      });
    const statuses: number[] = [];
    for (let index = 0; index < OPENED_MOST - 2; index += 1) statuses.push((await open(index)).status);
    const atOnce = await Promise.all([1, 2, 3, 4].map(open));
    expect([...statuses, ...atOnce.map(({ status }) => status)].filter((status) => status === 201)).toHaveLength(
      OPENED_MOST,
    );
    const refused = await open(99);
    expect(refused.body).toMatchObject({
      status: 422,
      errors: [{ code: 'too-many-operations', allowed: expect.stringContaining(String(OPENED_MOST)) as string }],
    });
  });
});
