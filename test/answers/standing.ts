import type { Asker, Asking } from './asking.js';
import type { DemoPerson } from './demo-world.js';

export interface OperationOf {
  id: string;
  name: string;
  /** One word of the name, for what is recorded. */
  short: string;
  owner: Asker;
  /** Those who belong to it, and its keys; everybody else is a stranger. */
  members: Asker[];
  strangers: Asker[];
}

export interface Standing {
  people: Record<string, Asker>;
  nobody: Asker;
  keys: { prices: Asker; read: Asker };
  operations: OperationOf[];
}

interface Mine {
  items: { id: string; name: string; role: string }[];
}

/** Signs everybody in, at the API and at the pages, makes two keys, and asks the server who belongs where. */
export async function signEverybodyIn(asking: Asking, persons: readonly DemoPerson[]): Promise<Standing> {
  const nobody: Asker = { name: 'nobody', role: 'none' };
  const people: Record<string, Asker> = {};
  const belongs = new Map<string, { name: string; members: { asker: Asker; role: string }[] }>();
  for (const person of persons) {
    const asker: Asker = { name: person.key, role: 'person' };
    people[person.key] = asker;
    await signIn(asking, nobody, asker, person);
    const mine = await asking.record<Mine>(asker, {
      name: 'GET /v1/operations (standing)',
      method: 'GET',
      url: '/v1/operations',
    });
    for (const { id, name, role } of mine.body.items) {
      const there = belongs.get(id) ?? { name, members: [] };
      there.members.push({ asker: { ...asker, role }, role });
      belongs.set(id, there);
    }
  }
  const coldwater = [...belongs].find(([, { name }]) => name.startsWith('Coldwater'))?.[0] ?? '';
  const rolf = people['rolf'] ?? nobody;
  const keys = {
    prices: await makeKey(asking, rolf, coldwater, ['read', 'prices']),
    read: await makeKey(asking, rolf, coldwater, ['read']),
  };
  const operations = [...belongs].map(([id, { name, members }]): OperationOf => {
    const here = [...members.map((one) => one.asker), ...(id === coldwater ? [keys.prices, keys.read] : [])];
    const everybody = [...Object.values(people), keys.prices, keys.read, nobody];
    const owner = members.find((one) => one.role === 'owner')?.asker;
    if (owner === undefined) throw new Error(`${name} has no owner`);
    return {
      id,
      name,
      short: (name.split(' ')[0] ?? name).toLowerCase(),
      owner,
      members: here,
      strangers: everybody.filter((one) => !here.some((member) => member.name === one.name)),
    };
  });
  return { people, nobody, keys, operations };
}

async function signIn(
  asking: Asking,
  nobody: Asker,
  asker: Asker,
  { key, email, passphrase }: DemoPerson,
): Promise<void> {
  const opened = await asking.record<{ accessToken: string }>(nobody, {
    name: `POST /v1/sign-in as ${key}`,
    method: 'POST',
    url: '/v1/sign-in',
    body: { email, passphrase },
  });
  asker.token = opened.body.accessToken;
  const page = await asking.record(nobody, {
    name: `POST /yard/sign-in as ${key}`,
    method: 'POST',
    url: '/yard/sign-in',
    headers: { 'Content-Type': 'application/x-www-form-urlencoded', 'Sec-Fetch-Site': 'same-origin' },
    body: new URLSearchParams({ email, passphrase }).toString(),
  });
  const [cookie = ''] = [page.headers['set-cookie'] ?? []].flat();
  asker.cookie = cookie.split(';')[0] ?? '';
  if (asker.token === undefined || asker.cookie === '') throw new Error(`${key} could not sign in`);
}

async function makeKey(asking: Asking, who: Asker, operationId: string, scopes: string[]): Promise<Asker> {
  const name = `key of ${scopes.join(' and ')}`;
  const made = await asking.record<{ secret: string }>(who, {
    name: `POST /v1/operations/{coldwater}/api-keys ${name}`,
    method: 'POST',
    url: `/v1/operations/${operationId}/api-keys`,
    headers: { 'Idempotency-Key': `"${scopes.join('-')}"` },
    body: { name: `A ${name}`, scopes, expiresAt: '2026-12-20T00:00:00Z' },
  });
  return { name, role: 'key', token: made.body.secret };
}
