/*
 * The access matrix (test/catalogue/access-matrix.ts), all of it, asked of the running server: every route of the
 * API description, as every role in its own operation, as a member of another, as one whose place has ended, with a
 * key, with an expired key, as nobody.
 */
import { randomBytes } from 'node:crypto';
import { DenialRecorder } from '../../src/access/denials/denial-recorder.store.js';
import { ACCESS_MATRIX, type AnswerClass, type MatrixGroup, OPEN_TO_KEYS, SECOND_LOOK } from './access-matrix.js';
import { keyText } from '../../src/access/api-keys/api-key.store.js';
import { hashToken } from '../../src/access/sign-in/tokens.js';
import { mayAct } from '../../src/platform/roles/roles.data.js';
import { type AnyEndpoint, ENDPOINTS, PAGES } from '../../src/platform/http/endpoint.js';
import { newId } from '../../src/platform/identifiers.js';
import { clientOf, join, type Operation, operationWith, person, ROLES, type Role } from '../support/people.js';
import { snapshot } from '../support/snapshot.js';
import { openWorld, type World } from '../support/world.js';

/** What the API describes, and the pages of a browser. */
const ROUTES = (): AnyEndpoint[] => [...ENDPOINTS, ...PAGES];
const STANDINGS = ['own', 'other', 'ended', 'readKey', 'expiredKey'] as const;
type Standing = (typeof STANDINGS)[number];
/** Where the answer is that of every role, two of the roles ask each route, in turn. */
const IN_TURN: readonly Standing[] = ['other', 'ended', 'expiredKey', 'readKey'];
function asks(role: Role, standing: Standing, route: number): boolean {
  const place = (route + ROLES.indexOf(role)) % ROLES.length;
  return !IN_TURN.includes(standing) || place < 2;
}

let world: World;
let ours: Operation;
const tokens = new Map<string, string>();

beforeAll(async () => {
  world = await openWorld();
  ours = await operationWith(world);
  const theirs = await operationWith(world);
  const yesterday = new Date(world.clock.now().getTime() - 86_400_000).toISOString();
  for (const role of ROLES) {
    const token = (client: { token?: string | undefined }): string => client.token ?? '';
    tokens.set(`own ${role}`, token(ours.as[role]));
    tokens.set(`other ${role}`, token(theirs.as[role]));
    const left = await person(world, `left ${role}`);
    await join(world, left, ours.id, role, {
      from: new Date(world.clock.now().getTime() - 3 * 86_400_000).toISOString(),
      until: yesterday,
    });
    tokens.set(`ended ${role}`, token(await clientOf(world, left)));
    tokens.set(`readKey ${role}`, await key(ours, ours.people[role].id, '2027-12-31T00:00:00Z'));
    tokens.set(`expiredKey ${role}`, await key(ours, ours.people[role].id, yesterday));
  }
});
afterAll(async () => {
  await world.application.get(DenialRecorder).settled();
  await world.close();
});

async function key(of: Operation, personId: string, expiresAt: string): Promise<string> {
  const id = newId();
  const secret = randomBytes(32).toString('base64url');
  await world.ownerPool.query(
    'INSERT INTO api_key (operation_id, id, name, secret_hash, scopes, expires_at, created_by, created_at) VALUES ' +
      '($1, $2, $3, $4, $5, $6, $7, $8)',
    [of.id, id, 'Matrix', hashToken(secret), ['read'], expiresAt, personId, world.clock.now()],
  );
  return keyText(id, secret);
}

const groupOf = new Map<string, MatrixGroup>(
  ACCESS_MATRIX.flatMap((group) => group.routes.map((route): [string, MatrixGroup] => [route, group])),
);

function expected(one: AnyEndpoint, standing: Standing | 'anonymous', role: Role): AnswerClass | 'no row' {
  const group = groupOf.get(one.operationId);
  if (group === undefined) return 'no row';
  if (standing === 'own') return group[role];
  if (standing === 'readKey' && SECOND_LOOK.includes(one.operationId)) return 'refused';
  if (standing === 'readKey' && one.access === 'signed-in' && OPEN_TO_KEYS.test(one.path)) return 'served';
  return group[standing];
}

/**
 * A request that gets past the door and no further: made-up ids, a body that no schema takes. The door comes before
 * both.
 */
async function ask(one: AnyEndpoint, token: string | undefined): Promise<string> {
  const url = one.path.replace(':operationId', ours.id).replaceAll(/:[A-Za-z]+/g, () => newId());
  const answer = await world.application.inject({
    method: one.method,
    url,
    remoteAddress: '10.44.0.1',
    headers: {
      ...(token === undefined ? {} : { authorization: `Bearer ${token}` }),
      ...(one.body === undefined ? {} : { 'content-type': 'application/json' }),
    },
    ...(one.body === undefined ? {} : { payload: '{"no such field":true}' }),
  });
  const { statusCode } = answer;
  if (statusCode >= 500) return `${statusCode} ${answer.payload.slice(0, 300)}`;
  if (statusCode === 401) return 'unknown';
  if (statusCode === 403) return 'refused';
  if (statusCode === 404 && answer.json<{ detail?: string }>().detail?.includes('no such operation') === true)
    return 'hidden';
  return 'served';
}

describe('the access matrix', () => {
  it('has one row for every route, and none for a route that is gone', () => {
    const named = ACCESS_MATRIX.flatMap((group) => group.routes);
    const missing = ROUTES()
      .filter((one) => !groupOf.has(one.operationId))
      .map(
        (one) =>
          `${one.operationId}: add it to test/catalogue/access-matrix.ts, to a group with access ` +
          `'${one.access}' (${one.tag})`,
      );
    expect(missing).toEqual([]);
    expect(named.filter((name) => !ROUTES().some((one) => one.operationId === name))).toEqual([]);
    expect(named.filter((name, index) => named.indexOf(name) !== index)).toEqual([]);
  });

  it('says the same as the API description and as the table of roles that the database shares', () => {
    const described = Object.values(world.description.document.paths).flatMap((methods) =>
      Object.values(methods).map((one) => one.operationId),
    );
    expect(described.sort()).toEqual(ENDPOINTS.map((one) => one.operationId).sort());
    for (const one of ROUTES()) {
      const group = groupOf.get(one.operationId);
      expect([one.operationId, group?.access]).toEqual([one.operationId, one.access]);
      if (group === undefined || one.access === 'public' || one.access === 'signed-in') continue;
      const { access } = one;
      expect([one.operationId, ROLES.map((role) => group[role])]).toEqual([
        one.operationId,
        ROLES.map((role) => (mayAct(role, role !== 'hand', null, access) ? 'served' : 'refused')),
      ]);
    }
  });

  it.each(ROLES.flatMap((role) => STANDINGS.map((standing) => ({ role, standing }))))(
    'holds for a $role, $standing',
    async ({ role, standing }) => {
      const wrong: string[] = [];
      for (const one of ROUTES().filter((_, route) => asks(role, standing, route))) {
        const answer = await ask(one, tokens.get(`${standing} ${role}`));
        if (answer !== expected(one, standing, role))
          wrong.push(`${one.method} ${one.path}: ${answer} instead of ${expected(one, standing, role)}`);
      }
      expect(wrong).toEqual([]);
    },
  );

  it('holds for nobody', async () => {
    const wrong: string[] = [];
    for (const one of ROUTES()) {
      const answer = await ask(one, undefined);
      if (answer !== expected(one, 'anonymous', 'hand')) wrong.push(`${one.method} ${one.path}: ${answer}`);
    }
    expect(wrong).toEqual([]);
  });

  it('is written down whole, to be read in a review', () => {
    const LETTERS: Readonly<Record<AnswerClass | 'no row', string>> = {
      served: 'served',
      refused: '403',
      hidden: '404',
      unknown: '401',
      'no row': 'no row',
    };
    const head = ['route', ...ROLES, 'other', 'ended', 'read key', 'expired key', 'nobody'];
    const rows = ROUTES()
      .map((one) => [
        `${one.method} ${one.path}`,
        ...ROLES.map((role) => LETTERS[expected(one, 'own', role)]),
        ...(['other', 'ended', 'readKey', 'expiredKey', 'anonymous'] as const).map(
          (standing) => LETTERS[expected(one, standing, 'hand')],
        ),
      ])
      .sort(([a = ''], [b = '']) => (a < b ? -1 : 1));
    const lines = [head, head.map(() => '---'), ...rows].map((cells) => `| ${cells.join(' | ')} |`);
    const asked = ROLES.flatMap((role) =>
      STANDINGS.flatMap((standing) => ROUTES().filter((_, route) => asks(role, standing, route))),
    );
    const requests = asked.length + ROUTES().length;
    snapshot(
      'access-matrix-whole.md',
      `# The access matrix\n\nMade from test/catalogue/access-matrix.ts; ${ROUTES().length} routes, ` +
        `${requests} requests asked of the running server by ` +
        `test/catalogue/matrix.test.ts.\n\n${lines.join('\n')}\n`,
    );
  });
});
