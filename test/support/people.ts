import { ROLES, type Role } from '../../src/platform/roles/roles.data.js';
import { randomUUID } from 'node:crypto';
import { codeAt } from '../../src/access/second-factor/one-time-code.js';
import { hashPassphrase } from '../../src/access/sign-in/passphrase.js';
import { SignInStore } from '../../src/access/sign-in/sign-in.store.js';
import type { Asker } from '../../src/platform/http/asker.js';
import { newId } from '../../src/platform/identifiers.js';
import type { ApiClient } from './client.js';
import type { World, Yard } from './world.js';

export const PASSPHRASE = 'six bales on the north feed ground';
let passphraseHash: Promise<string> | undefined;

export { ROLES, type Role };

export interface Person {
  id: string;
  name: string;
  email: string;
}

/** A person who can sign in. There is no API yet that enrolls people, so the schema's owner inserts them. */
export async function person({ ownerPool }: Yard, name = 'somebody'): Promise<Person> {
  passphraseHash ??= hashPassphrase(PASSPHRASE);
  const id = newId();
  const email = `${name.toLowerCase().replaceAll(/[^a-z]+/g, '.')}.${id.slice(-6)}@example.test`;
  await ownerPool.query('INSERT INTO person (id, email, name, passphrase_hash) VALUES ($1, $2, $3, $4)', [
    id,
    email,
    name,
    await passphraseHash,
  ]);
  return { id, name, email };
}

export interface MembershipOptions {
  seesPrices?: boolean;
  from?: string;
  until?: string;
  /** False: it waits for an owner. */
  confirmed?: boolean;
}

/** Makes a person a member; there is no API yet, so the schema's owner inserts it. */
export async function join(
  { ownerPool, clock }: Yard,
  who: Person,
  operationId: string,
  role: Role,
  { seesPrices = role !== 'hand', from, until, confirmed = true }: MembershipOptions = {},
): Promise<void> {
  await ownerPool.query(
    'INSERT INTO membership (operation_id, id, person_id, role, sees_prices, from_at, until_at, confirmed_at) ' +
      'VALUES ($1, $2, $3, $4, $5, $6, $7, CASE WHEN $8 THEN $6::timestamptz END)',
    [
      operationId,
      newId(),
      who.id,
      role,
      seesPrices,
      from ?? new Date(clock.now().getTime() - 86_400_000).toISOString(),
      until ?? null,
      confirmed,
    ],
  );
}

let addresses = 0;

/** Signs in over HTTP from a network address of its own, so that the limit per address is not shared. */
export async function signIn(
  world: World,
  who: Person,
  passphrase = PASSPHRASE,
): Promise<{ accessToken: string; refreshToken: string }> {
  addresses += 1;
  const answer = await world.application.inject({
    method: 'POST',
    url: '/v1/sign-in',
    remoteAddress: `10.${(addresses >> 16) & 255}.${(addresses >> 8) & 255}.${addresses & 255}`,
    payload: { email: who.email, passphrase },
  });
  if (answer.statusCode !== 200)
    throw new Error(`Sign-in of ${who.name} answered ${answer.statusCode}: ${answer.payload}`);
  return answer.json<{ accessToken: string; refreshToken: string }>();
}

/**
 * A person's client, with a session opened without the passphrase: hashing it for everyone would take most of a test's
 * time.
 */
export async function clientOf(world: World, who: Person): Promise<ApiClient> {
  const session = await world.application.get(SignInStore).openSession(who.id, 'test', world.clock.now());
  return world.anyone.as(session.accessToken);
}

export interface OperationOptions {
  name?: string;
  unitPreference?: 'us' | 'metric';
  currency?: string;
  timeZone?: string;
  costingMethod?: 'specific-lot' | 'moving-average' | 'fifo';
  /** Members besides the owner; if absent, one in every role. */
  roles?: readonly Role[];
}

export interface Operation {
  id: string;
  people: Record<Role, Person>;
  as: Record<Role, ApiClient>;
  /** Path of something in this operation. */
  at(path: string): string;
}

/** An operation, opened over HTTP by its owner, with a person in every role, all signed in. */
export async function operationWith(
  world: World,
  { roles = ROLES, ...settings }: OperationOptions = {},
): Promise<Operation> {
  const owner = await person(world, 'owner');
  const ownerClient = await clientOf(world, owner);
  const opened = await ownerClient.post<{ id: string }>(
    '/v1/operations',
    {
      name: `Winter yard ${randomUUID().slice(0, 8)}`,
      unitPreference: 'us',
      currency: 'USD',
      timeZone: 'America/Denver',
      ...settings,
    },
    { expect: 201 },
  );
  const people: Partial<Record<Role, Person>> = { owner };
  const as: Partial<Record<Role, ApiClient>> = { owner: ownerClient };
  for (const role of roles.filter((one) => one !== 'owner')) {
    const who = await person(world, role);
    await join(world, who, opened.body.id, role);
    people[role] = who;
    as[role] = await clientOf(world, who);
  }
  return {
    id: opened.body.id,
    people: people as Record<Role, Person>,
    as: as as Record<Role, ApiClient>,
    at: (path) => `/v1/operations/${opened.body.id}${path}`,
  };
}

/** The owner confirms that the person who accepted is the one who was meant. */
export async function confirm(of: Pick<Operation, 'as' | 'at'>, personId: string): Promise<void> {
  const { items } = (
    await of.as.owner.get<{ items: { id: string; personId: string; confirmedAt: string | null }[] }>(
      of.at('/memberships'),
      { expect: 200 },
    )
  ).body;
  const waiting = items.find((one) => one.personId === personId && one.confirmedAt === null);
  const path = of.at(`/memberships/${waiting?.id ?? ''}`);
  const { headers } = await of.as.owner.get(path, { expect: 200 });
  await of.as.owner.post(`${path}/confirmation`, undefined, { ifMatch: headers['etag'] ?? '', key: null, expect: 200 });
}

/** Sets up one-time codes and confirms them; returns their secret. */
export async function setUpSecondFactor(world: World, as: ApiClient): Promise<string> {
  const { body } = await as.post<{ secret: string }>(
    '/v1/me/second-factor',
    { presentPassphrase: PASSPHRASE },
    { key: null, expect: 200 },
  );
  await as.post(
    '/v1/me/second-factor/confirmation',
    { oneTimeCode: codeAt(body.secret, world.clock.now()) },
    { key: null, expect: 200 },
  );
  return body.secret;
}

/** The consultant accepts an offer with the code that the owner handed over, and the owner confirms who it was. */
export async function engage(
  of: Pick<Operation, 'as' | 'at'>,
  consultant: ApiClient,
  { id, code }: { id: string; code: string | null },
): Promise<void> {
  const path = `/v1/me/engagements/${id}`;
  const { headers } = await consultant.post('/v1/me/engagement-offers', { code }, { key: null, expect: 200 });
  const ifMatch = headers['etag'] ?? '';
  const { consultantId } = (
    await consultant.post<{ consultantId: string }>(`${path}/acceptance`, { code }, { ifMatch, key: null, expect: 200 })
  ).body;
  await confirm(of, consultantId);
}

/** The asker, as a service gets it; for tests that call `Database` without HTTP. */
export function asker(yard: Yard, who: { id: string }, more: Partial<Asker> = {}): Asker {
  return {
    personId: who.id,
    apiKeyId: undefined,
    moment: yard.clock.now(),
    requestId: 'test',
    address: '127.0.0.1',
    idempotency: undefined,
    ...more,
  };
}
