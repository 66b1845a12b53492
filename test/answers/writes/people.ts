import { NOTHING, type Writer } from './writer.js';

/** Those who manage keys and people show once more who they are: they signed in a while ago. */
export async function secondLooks(writer: Writer): Promise<void> {
  const { owner, accountant } = writer.who;
  const { ines = owner } = writer.standing.people;
  const passphrases = [
    [owner, 'hay in the barn by august'],
    [accountant, 'every ton has a ticket'],
    [ines, 'protein before the calendar'],
  ] as const;
  for (const [who, presentPassphrase] of passphrases)
    await writer.post(who, '/v1/me/second-look', { presentPassphrase }, { as: who.name, key: null, expect: 200 });
}

/** A key made, rotated and withdrawn. */
export async function keys(writer: Writer): Promise<void> {
  const { accountant } = writer.who;
  const expiresAt = '2026-12-25T00:00:00Z';
  const key = await writer.round(
    accountant,
    '/api-keys',
    { name: 'Recorded key', scopes: ['read'], expiresAt },
    { reverse: false },
  );
  await writer.post(accountant, `/api-keys/${key.id}/rotation`, { overlapHours: 24 }, { expect: 201 });
  await writer.delete(accountant, `/api-keys/${key.id}`, {
    ifMatch: (await writer.look(`/api-keys/${key.id}`, accountant)).etag,
  });
}

/** People invited, and what comes of it. */
export async function invitations(writer: Writer): Promise<void> {
  const { owner, manager } = writer.who;
  const { nobody } = writer.standing;
  const invited = await writer.round(
    owner,
    '/invitations',
    { email: 'new.hand@coldwater.example', role: 'hand' },
    { reverse: false },
  );
  await writer.post(
    manager,
    '/invitations',
    { email: 'other@coldwater.example', role: 'hand' },
    { as: 'by the manager', expect: 403 },
  );
  const other = await writer.post(
    owner,
    '/invitations',
    { email: 'other@coldwater.example', role: 'manager', note: 'For spring' },
    { as: 'that is withdrawn', expect: 201 },
  );
  await writer.delete(owner, `/invitations/${other.id}`, {
    ifMatch: (await writer.look(`/invitations/${other.id}`)).etag,
  });
  const token = invited.body['token'];
  await writer.post(
    nobody,
    '/v1/invitation-acceptances',
    { token: 'ryi_no', name: 'New Hand', passphrase: 'three gates and a cattle guard' },
    { as: 'with a token that is none', key: null },
  );
  await writer.post(
    nobody,
    '/v1/invitation-acceptances',
    { token, name: 'New Hand', passphrase: 'short' },
    { as: 'with a short passphrase', key: null },
  );
  await writer.post(
    nobody,
    '/v1/invitation-acceptances',
    { token, name: 'New Hand', passphrase: 'three gates and a cattle guard' },
    { key: null },
  );
}

/** A membership changed, and one that cannot be ended. */
export async function memberships(writer: Writer): Promise<void> {
  const { owner } = writer.who;
  const members = (await writer.look('/memberships?limit=200')).body['items'] as {
    id: string;
    role: string;
    name?: string;
  }[];
  const of = (role: string): string => members.find((one) => one.role === role)?.id ?? NOTHING;
  const [hand, managing] = [of('hand'), of('manager')];
  await writer.patch(
    owner,
    `/memberships/${hand}`,
    { seesPrices: true },
    { as: 'that shows a hand money', ifMatch: (await writer.look(`/memberships/${hand}`)).etag, expect: 422 },
  );
  await writer.post(owner, `/memberships/${hand}/recovery-tokens`, { reason: 'Lost the paper' });
  await writer.change(owner, `/memberships/${managing}`, { seesPrices: false });
  await writer.look(`/memberships/${managing}/history`);
  const { etag } = await writer.look(`/memberships/${managing}`);
  const back = { seesPrices: true };
  await writer.patch(owner, `/memberships/${managing}`, back, { as: 'back again', ifMatch: etag, expect: 200 });
  const mine = members.find((one) => one.role === 'owner');
  if (mine !== undefined)
    await writer.post(
      owner,
      `/memberships/${mine.id}/end`,
      { reason: 'The last owner' },
      { as: 'of the last owner', ifMatch: (await writer.look(`/memberships/${mine.id}`)).etag },
    );
}

/** Consultants engaged, and those who offer themselves. */
export async function engagements(writer: Writer): Promise<void> {
  const { owner } = writer.who;
  const { ines } = writer.standing.people;
  if (ines === undefined) return;
  await writer.post(
    owner,
    '/engagements',
    { consultantEmail: 'ines@forage-desk.example', seesPrices: true },
    { as: 'of one who is engaged' },
  );
  await writer.post(owner, '/engagements', { consultantEmail: 'nobody@forage-desk.example' }, { as: 'of nobody' });
  const [first] = ((await writer.look('/engagements')).body['items'] ?? []) as { id: string }[];
  if (first !== undefined) await writer.change(owner, `/engagements/${first.id}`, { afterEnd: 'history' });
  await writer.post(
    ines,
    '/v1/me/engagement-proposals',
    { ownerEmail: 'tess@thistle.example', note: 'Rations for the winter' },
    { expect: 201 },
  );
  await writer.post(ines, '/v1/me/engagement-proposals', { ownerEmail: 'nobody@thistle.example' }, { as: 'to nobody' });
  await writer.post(
    ines,
    '/v1/me/api-keys',
    { name: 'Desk', scopes: ['read', 'desk'], expiresAt: '2026-12-25T00:00:00Z' },
    { expect: 201 },
  );
  await writer.post(
    ines,
    '/v1/me/api-keys',
    { name: 'Desk', scopes: ['everything'], expiresAt: '2026-12-25T00:00:00Z' },
    { as: 'of a scope that is none', expect: 400 },
  );
}
