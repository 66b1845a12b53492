/*
 * Who has an account is told to nobody: every road that takes an email answers a known address as an unknown one, does
 * the same work for both (statements of SQL, hashes of a passphrase), and so takes as long, however busy the machine.
 */
import argon2 from '@node-rs/argon2';
import pg from 'pg';
import { newId } from '../../src/platform/identifiers.js';
import { ENDPOINTS, PAGES } from '../../src/platform/http/endpoint.js';
import { type Operation, operationWith, person, type Person } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let yard: Operation;
let known: Person;
let statements: string[] = [];
let hashes = 0;
const spies: jest.SpyInstance[] = [];
beforeAll(async () => {
  world = await openWorld();
  yard = await operationWith(world, { roles: ['owner', 'nutritionist'] });
  known = await person(world, 'rancher');
  const { query } = pg.Client.prototype as unknown as { query: (...given: unknown[]) => unknown };
  spies.push(
    jest.spyOn(pg.Client.prototype, 'query').mockImplementation(function (this: pg.Client, ...given: unknown[]) {
      const [first] = given as [string | { text: string }];
      statements.push(typeof first === 'string' ? first : first.text);
      return query.apply(this, given);
    }),
  );
  for (const name of ['hash', 'verify'] as const) {
    const does = argon2[name] as (...given: unknown[]) => unknown;
    spies.push(
      jest.spyOn(argon2, name).mockImplementation(((...given: unknown[]) => {
        hashes += 1;
        return does(...given);
      }) as never),
    );
  }
});
afterAll(async () => {
  for (const spy of spies) spy.mockRestore();
  await world.close();
});

interface Road {
  url: string;
  body: (email: string) => object;
  headers?: () => Record<string, string>;
  form?: true;
  /** Of a passphrase that was given. */
  hashes: number;
}
const NEW = 'a gate left open all night';
const asOwner = (): Record<string, string> => ({
  authorization: `Bearer ${tokenOf('owner')}`,
  'idempotency-key': newId(),
});
const asConsultant = (): Record<string, string> => ({
  authorization: `Bearer ${tokenOf('nutritionist')}`,
  'idempotency-key': newId(),
});
const tokenOf = (role: 'owner' | 'nutritionist'): string => yard.as[role].token ?? '';

const ROADS: Readonly<Record<string, Road>> = {
  signIn: { hashes: 1, url: '/v1/sign-in', body: (email) => ({ email, passphrase: 'wrong' }) },
  signInByForm: { hashes: 1, url: '/yard/sign-in', body: (email) => ({ email, passphrase: 'wrong' }), form: true },
  recoverByCode: {
    hashes: 1,
    url: '/v1/recovery-by-code',
    body: (email) => ({ email, recoveryCode: '00000-00000-00000-00000-00000', newPassphrase: NEW }),
  },
  createInvitation: {
    hashes: 0,
    url: '/v1/operations/OPERATION/invitations',
    body: (email) => ({ email, role: 'hand' }),
    headers: asOwner,
  },
  offerEngagement: {
    hashes: 0,
    url: '/v1/operations/OPERATION/engagements',
    body: (consultantEmail) => ({ consultantEmail }),
    headers: asOwner,
  },
  createProposal: {
    hashes: 0,
    url: '/v1/me/engagement-proposals',
    body: (ownerEmail) => ({ ownerEmail }),
    headers: asConsultant,
  },
};

describe('Who is enrolled', () => {
  let at = 0;
  async function asked({ url, body, headers, form }: Road, email: string) {
    at += 1;
    const payload = body(email);
    [statements, hashes] = [[], 0];
    const answer = await world.application.inject({
      method: 'POST',
      url: url.replace('OPERATION', yard.id),
      remoteAddress: `172.25.0.${at}`,
      headers: {
        ...(form === undefined
          ? { 'content-type': 'application/json' }
          : { 'content-type': 'application/x-www-form-urlencoded', 'sec-fetch-site': 'same-origin' }),
        ...headers?.(),
      },
      payload:
        form === undefined
          ? JSON.stringify(payload)
          : new URLSearchParams(payload as Record<string, string>).toString(),
    });
    return {
      status: answer.statusCode,
      words: answer.payload
        .replaceAll(email, 'EMAIL')
        .replaceAll(/[0-9a-f]{8}-[0-9a-f-]{27}|ry[a-z]_[A-Za-z0-9_-]{43}|(?:[0-9a-f]{3,5}-){3,}[0-9a-f]+/g, 'ID'),
      hashes,
      // What failed is written down for its person afterward, when the answer is out.
      statements: statements.filter((text) => !/account_event|denied_attempt|^begin|^commit|set_config/i.test(text)),
    };
  }

  it.each(Object.keys(ROADS))('is not told by what %s answers, nor by what it does', async (name) => {
    const road = ROADS[name] as Road;
    // The first of each kind prepares statements, and makes what stands for a hash that is not there.
    await asked(road, `first.${newId()}@example.test`);
    const unknown = await asked(road, `nobody.${newId()}@example.test`);
    const theirs = await asked(road, known.email);
    expect(theirs).toEqual(unknown);
    expect(theirs.statements.length).toBeGreaterThan(0);
    expect(theirs.hashes).toBe(road.hashes);
  });

  it('is asked by no other road: each that takes an email of another is tried above, or says why not', () => {
    const others = {
      changeEmail: 'answers for the passphrase of the person, and is counted as a guess at the other account',
    };
    const taking = [...ENDPOINTS, ...PAGES]
      .filter((one) => one.method === 'POST' && /"[a-zA-Z]*[eE]mail"/.test(fieldsOf(one.body)))
      .map((one) => one.operationId);
    expect(taking.toSorted()).toEqual([...Object.keys(ROADS), ...Object.keys(others)].toSorted());
  });
});

function fieldsOf(body: unknown): string {
  const { shape } = (body ?? {}) as { shape?: Record<string, unknown> };
  return JSON.stringify(Object.keys(shape ?? {}));
}
