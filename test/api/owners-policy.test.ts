/*
 * What an owner may ask of everybody who comes into the books: a second factor, keys that are not old, and consultants
 * who have shown lately that it is still them. Who falls short is told what is missing, and sees nothing meanwhile.
 */
import type { ApiClient } from '../support/client.js';
import { clientOf, type Operation, operationWith, PASSPHRASE, setUpSecondFactor } from '../support/people.js';
import { herd, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let yard: Operation;
beforeAll(async () => {
  world = await openWorld();
});
beforeEach(async () => {
  yard = await operationWith(world);
  await herd(yard, await ranch(yard));
});
afterAll(() => world.close());

interface Settings {
  accessPolicy: { secondFactor: string; keyDaysMost: number | null; consultantHoursMost: number | null };
}
interface Refusal {
  type: string;
  detail: string;
}
const setPolicy = async (accessPolicy: object): Promise<{ status: number; body: Settings & Refusal }> =>
  yard.as.owner.patch<Settings & Refusal>(
    yard.at(''),
    { accessPolicy },
    { ifMatch: (await yard.as.owner.get(yard.at(''), { expect: 200 })).headers['etag'] ?? '' },
  );
const herds = async (as: ApiClient): Promise<[number, string | undefined]> => {
  const { status, body } = await as.get<Refusal>(yard.at('/herds'));
  return [status, body.type];
};
const withheld = async (as: ApiClient): Promise<unknown> =>
  (await as.get<{ withheld: unknown }>('/v1/me', { expect: 200 })).body.withheld;
const keyFor = async (as: ApiClient, days: number): Promise<{ status: number; body: { secret: string } & Refusal }> =>
  as.post(yard.at('/api-keys'), {
    name: 'Pull',
    scopes: ['read'],
    expiresAt: new Date(world.clock.now().getTime() + days * 86_400_000).toISOString(),
  });

it('asks nothing until an owner says so', async () => {
  expect((await yard.as.hand.get<Settings>(yard.at(''), { expect: 200 })).body.accessPolicy).toEqual({
    secondFactor: 'optional',
    keyDaysMost: null,
    consultantHoursMost: null,
  });
  expect(await withheld(yard.as.hand)).toEqual([]);
});

it('a second factor: who has none is told so and sees nothing, until it is set up', async () => {
  const key = (await keyFor(yard.as.accountant, 30)).body.secret;
  const early = await setPolicy({ secondFactor: 'required' });
  // An owner without one would lock the door with the key inside.
  expect([early.status, early.body.type]).toEqual([422, '/problems/rule-broken']);
  await setUpSecondFactor(world, yard.as.owner);
  expect((await setPolicy({ secondFactor: 'required' })).body.accessPolicy.secondFactor).toBe('required');

  expect(await herds(yard.as.owner)).toEqual([200, undefined]);
  for (const as of [yard.as.manager, yard.as.hand, yard.as.nutritionist, yard.as.accountant, world.anyone.as(key)])
    expect(await herds(as)).toEqual([403, '/problems/owner-asks-more']);
  expect((await yard.as.manager.get<{ items: unknown[] }>('/v1/operations', { expect: 200 })).body.items).toEqual([]);
  expect(await withheld(yard.as.manager)).toEqual([{ operationId: yard.id, missing: 'second-factor' }]);
  // A stranger learns nothing from it.
  const other = await operationWith(world);
  expect(await herds(other.as.owner)).toEqual([404, '/problems/not-found']);

  await setUpSecondFactor(world, yard.as.accountant);
  expect(await herds(yard.as.accountant)).toEqual([200, undefined]);
  expect(await herds(world.anyone.as(key))).toEqual([200, undefined]);
  expect(await withheld(yard.as.accountant)).toEqual([]);
});

it('a portfolio and the database itself leave out what is withheld', async () => {
  await setUpSecondFactor(world, yard.as.owner);
  await setPolicy({ secondFactor: 'required' });
  const { body } = await yard.as.nutritionist.get<{ items: unknown[] }>('/v1/portfolio/herds', { expect: 200 });
  expect(body.items).toEqual([]);
  const client = await world.appPool.connect();
  try {
    await client.query('BEGIN');
    await client.query('SELECT * FROM rickyard.enter($1, NULL, $2, NULL)', [
      yard.people.hand.id,
      world.clock.now().toISOString(),
    ]);
    expect((await client.query('SELECT id FROM herd')).rows).toEqual([]);
    expect((await client.query('SELECT id FROM operation')).rows).toEqual([]);
  } finally {
    await client.query('ROLLBACK');
    client.release();
  }
});

it('keys: a longer life is refused with what is allowed, and an older key ends with the policy', async () => {
  const old = (await keyFor(yard.as.accountant, 600)).body.secret;
  world.clock.advance({ minutes: 40 * 24 * 60 });
  yard.as.owner = await clientOf(world, yard.people.owner);
  yard.as.accountant = await clientOf(world, yard.people.accountant);
  expect(await herds(world.anyone.as(old))).toEqual([200, undefined]);
  expect((await setPolicy({ keyDaysMost: 30 })).status).toBe(200);
  expect(await herds(world.anyone.as(old))).toEqual([403, '/problems/owner-asks-more']);
  const long = await keyFor(yard.as.accountant, 31);
  expect([long.status, long.body.type, JSON.stringify(long.body)]).toEqual([
    422,
    '/problems/rule-broken',
    expect.stringContaining('30 days'),
  ]);
  const fresh = (await keyFor(yard.as.accountant, 30)).body.secret;
  expect(await herds(world.anyone.as(fresh))).toEqual([200, undefined]);
  // Taken back, it is as if it had never been.
  expect((await setPolicy({ keyDaysMost: null })).status).toBe(200);
  expect(await herds(world.anyone.as(old))).toEqual([200, undefined]);
});

it("consultants show every so many hours that it is still them; the ranch's own people need not", async () => {
  expect((await setPolicy({ consultantHoursMost: 8 })).body.accessPolicy.consultantHoursMost).toBe(8);
  const token = { nutritionist: yard.as.nutritionist, manager: yard.as.manager };
  expect(await herds(token.nutritionist)).toEqual([200, undefined]);
  // Within one access token's life, so that it is this rule that refuses.
  expect((await setPolicy({ consultantHoursMost: 1 })).status).toBe(200);
  await world.ownerPool.query(
    "UPDATE person_session SET proven_at = proven_at - interval '61 minutes' WHERE person_id = ANY ($1)",
    [[yard.people.nutritionist.id, yard.people.manager.id]],
  );
  expect(await herds(token.nutritionist)).toEqual([403, '/problems/owner-asks-more']);
  expect(await withheld(token.nutritionist)).toEqual([{ operationId: yard.id, missing: 'second-look' }]);
  expect(await herds(token.manager)).toEqual([200, undefined]);
  await token.nutritionist.post('/v1/me/second-look', { presentPassphrase: PASSPHRASE }, { key: null, expect: 200 });
  expect(await herds(token.nutritionist)).toEqual([200, undefined]);
});

it('is set by owners alone, one part at a time, and stands in the audit', async () => {
  const ifMatch = (await yard.as.manager.get(yard.at(''), { expect: 200 })).headers['etag'] ?? '';
  expect((await yard.as.manager.patch(yard.at(''), { accessPolicy: { keyDaysMost: 90 } }, { ifMatch })).status).toBe(
    403,
  );
  await setPolicy({ keyDaysMost: 90 });
  await setPolicy({ consultantHoursMost: 12 });
  expect((await yard.as.owner.get<Settings>(yard.at(''))).body.accessPolicy).toEqual({
    secondFactor: 'optional',
    keyDaysMost: 90,
    consultantHoursMost: 12,
  });
  for (const wrong of [{ keyDaysMost: 0 }, { keyDaysMost: 731 }, { consultantHoursMost: 0 }, { secondFactor: 'maybe' }])
    expect((await setPolicy(wrong)).status).toBe(400);
  const { rows } = await world.ownerPool.query<{ before: object; after: object }>(
    "SELECT before, after FROM audit_entry WHERE operation_id = $1 AND action = 'operation.change' ORDER BY sequence",
    [yard.id],
  );
  expect(rows).toEqual([
    {
      before: expect.objectContaining({ key_days_most: null }) as object,
      after: expect.objectContaining({ key_days_most: 90 }) as object,
    },
    { before: expect.anything() as object, after: expect.objectContaining({ consultant_hours_most: 12 }) as object },
  ]);
});
