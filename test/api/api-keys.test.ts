/* Keys for scheduled pulls: no more than their maker may do, inside their operation, until they end. */
import { newId } from '../../src/platform/identifiers.js';
import type { ApiClient } from '../support/client.js';
import { asker, clientOf, type Operation, operationWith } from '../support/people.js';
import { herd, ranch } from '../support/things.js';
import { aWinterIn } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

interface Key {
  id: string;
  secret: string | null;
  scopes: string[];
  revokedAt: string | null;
  lastUsedAt: string | null;
  version: number;
}

describe('API keys', () => {
  let world: World;
  let operation: Operation;
  let foreign: Operation;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    foreign = await operationWith(world, { roles: ['owner', 'manager'] });
    await aWinterIn(operation);
  });
  afterAll(async () => {
    await world.close();
  });

  const until = (days: number): string => new Date(world.clock.now().getTime() + days * 86_400_000).toISOString();
  const make = async (by: ApiClient, scopes: string[], days = 30): Promise<{ key: Key; client: ApiClient }> => {
    const { body } = await by.post<Key>(
      operation.at('/api-keys'),
      { name: 'Month end', scopes, expiresAt: until(days) },
      { expect: 201 },
    );
    return { key: body, client: world.anyone.as(body.secret ?? '') };
  };

  it('show their secret once, and keep only a hash of it', async () => {
    const key = 'the-same-request';
    const body = { name: 'Once', scopes: ['read'], expiresAt: until(30) };
    const first = await operation.as.accountant.post<Key>(operation.at('/api-keys'), body, { key, expect: 201 });
    expect(first.body.secret).toMatch(/^ryk_[0-9a-f]{32}_[A-Za-z0-9_-]{43}$/);
    const repeat = await operation.as.accountant.post<Key>(operation.at('/api-keys'), body, { key, expect: 201 });
    expect(repeat.body).toEqual({ ...first.body, secret: null });
    const read = await operation.as.accountant.get(operation.at(`/api-keys/${first.body.id}`), { expect: 200 });
    expect(read.body).not.toHaveProperty('secret');
    // The secret itself may hold underscores.
    const secret = first.body.secret?.split('_').slice(2).join('_') ?? '';
    const { rows } = await world.ownerPool.query<{ row: string }>(
      'SELECT api_key::text AS row FROM api_key UNION ALL SELECT idempotency_record::text FROM ' +
        'idempotency_record UNION ALL SELECT audit_entry::text FROM audit_entry',
    );
    expect(rows.map((one) => one.row).join('\n')).not.toContain(secret);
  });

  it('work within their scopes', async () => {
    const { client } = await make(operation.as.owner, ['read']);
    expect((await client.get(operation.at('/hay-lots'))).status).toBe(200);
    const refused = await client.post(operation.at('/ranches'), { name: 'By key' });
    expect([refused.status, refused.body['type'], refused.body['detail']]).toEqual([
      403,
      '/problems/not-permitted',
      'This needs the permission "records" in this operation.',
    ]);
  });

  it('show money only with the scope for it', async () => {
    const purchases = async (client: ApiClient) =>
      (
        await client.get<{ items: { landedCost: unknown }[] }>(operation.at('/hay-purchases'), { expect: 200 })
      ).body.items.map((item) => item.landedCost !== null);
    const without = await make(operation.as.accountant, ['read']);
    const withPrices = await make(operation.as.accountant, ['read', 'prices']);
    const bought = (await purchases(operation.as.owner)).length;
    expect(bought).toBeGreaterThanOrEqual(3);
    expect(await purchases(without.client)).toEqual(Array<boolean>(bought).fill(false));
    expect(await purchases(withPrices.client)).toEqual(Array<boolean>(bought).fill(true));
  });

  it('cannot be given what their maker may not do', async () => {
    const answer = await operation.as.hand.post(operation.at('/api-keys'), {
      name: 'Too much',
      scopes: ['read', 'prices', 'records'],
      expiresAt: until(1),
    });
    expect([answer.status, answer.body['detail']]).toEqual([
      403,
      'A key cannot be allowed what its maker may not do: prices, records.',
    ]);
  });

  it('lose what their maker loses, at once', async () => {
    const { client } = await make(operation.as.manager, ['read', 'prices', 'records']);
    expect((await client.post(operation.at('/ranches'), { name: 'Still allowed' })).status).toBe(201);
    const { id } = operation.people.manager;
    await world.ownerPool.query("UPDATE membership SET role = 'hand', sees_prices = false WHERE person_id = $1", [id]);
    expect((await client.post(operation.at('/ranches'), { name: 'No longer' })).status).toBe(403);
    await world.ownerPool.query('UPDATE membership SET until_at = $2 WHERE person_id = $1', [
      id,
      world.clock.now().toISOString(),
    ]);
    expect((await client.get(operation.at('/hay-lots'))).status).toBe(404);
    await world.ownerPool.query(
      "UPDATE membership SET role = 'manager', sees_prices = true, until_at = NULL WHERE person_id = $1",
      [id],
    );
    expect((await client.get(operation.at('/hay-lots'))).status).toBe(200);
  });

  it('end at their hour', async () => {
    const { client } = await make(operation.as.owner, ['read'], 1);
    world.clock.advance({ minutes: 24 * 60 - 1 });
    expect((await client.get(operation.at('/hay-lots'))).status).toBe(200);
    world.clock.advance({ minutes: 1 });
    expect((await client.get(operation.at('/hay-lots'))).status).toBe(401);
  });

  it('must end, within two years', async () => {
    const owner = await clientOf(world, operation.people.owner);
    for (const days of [-1, 0, 732]) {
      const answer = await owner.post(operation.at('/api-keys'), {
        name: 'Forever',
        scopes: ['read'],
        expiresAt: until(days),
      });
      expect(answer.body).toMatchObject({
        status: 422,
        errors: [{ pointer: '#/expiresAt', code: 'expiry-out-of-range' }],
      });
    }
  });

  it('are revoked at once, by the version that was seen', async () => {
    const owner = await clientOf(world, operation.people.owner);
    const { key, client } = await make(owner, ['read']);
    expect((await client.get(operation.at('/hay-lots'))).status).toBe(200);
    const path = operation.at(`/api-keys/${key.id}`);
    expect((await owner.delete(path)).status).toBe(428);
    const { headers } = await owner.get(path, { expect: 200 });
    await owner.delete(path, { ifMatch: headers['etag'] ?? '', expect: 204 });
    expect((await client.get(operation.at('/hay-lots'))).status).toBe(401);
    expect((await owner.get<Key>(path, { expect: 200 })).body.revokedAt).toBe(world.clock.now().toISOString());
    expect((await owner.delete(path, { ifMatch: headers['etag'] ?? '' })).status).toBe(412);
  });

  it('find no other operation, not even another one of their maker', async () => {
    const owner = await clientOf(world, operation.people.owner);
    const second = await owner.post<{ id: string }>(
      '/v1/operations',
      { name: 'Second', unitPreference: 'us', currency: 'USD', timeZone: 'America/Denver' },
      { expect: 201 },
    );
    const { client } = await make(owner, ['read']);
    const answers = await Promise.all(
      [foreign.id, second.body.id, newId()].map((id) => client.get(`/v1/operations/${id}/hay-lots`)),
    );
    expect(answers.map((answer) => answer.status)).toEqual([404, 404, 404]);
    expect(new Set(answers.map((answer) => answer.body['detail'])).size).toBe(1);
    expect((await client.get('/v1/operations')).status).toBe(403);
    expect((await client.get<{ memberships: object[] }>('/v1/me', { expect: 200 })).body.memberships).toHaveLength(1);
  });

  it('make no keys, and open no operations', async () => {
    const owner = await clientOf(world, operation.people.owner);
    const { client } = await make(owner, ['read', 'records']);
    expect(
      (await client.post(operation.at('/api-keys'), { name: 'Child', scopes: ['read'], expiresAt: until(1) })).status,
    ).toBe(403);
    expect(
      (
        await client.post('/v1/operations', {
          name: 'By key',
          unitPreference: 'us',
          currency: 'USD',
          timeZone: 'America/Denver',
        })
      ).status,
    ).toBe(403);
  });

  it('of others are seen by an owner and by nobody else', async () => {
    const owner = await clientOf(world, operation.people.owner);
    const accountant = await clientOf(world, operation.people.accountant);
    const hand = await clientOf(world, operation.people.hand);
    const { key } = await make(accountant, ['read']);
    expect((await owner.get(operation.at(`/api-keys/${key.id}`))).status).toBe(200);
    expect((await accountant.get(operation.at(`/api-keys/${key.id}`))).status).toBe(200);
    expect((await hand.get(operation.at(`/api-keys/${key.id}`))).status).toBe(404);
    const listed = await hand.get<{ items: Key[] }>(operation.at('/api-keys'), { expect: 200 });
    expect(listed.body.items).toEqual([]);
    expect((await hand.delete(operation.at(`/api-keys/${key.id}`), { ifMatch: '"1-AAAAAAAAAAAAAAAA"' })).status).toBe(
      404,
    );
  });

  it('are not opened by another secret, nor by half of one', async () => {
    const owner = await clientOf(world, operation.people.owner);
    const { key } = await make(owner, ['read']);
    const text = key.secret ?? '';
    const tampered = text.slice(0, -1) + (text.endsWith('A') ? 'B' : 'A');
    for (const token of [tampered, text.slice(0, -1), `${text}x`, text.toUpperCase()])
      expect((await world.anyone.as(token).get(operation.at('/hay-lots'))).status).toBe(401);
  });

  it('note when they were used, but not at every pull', async () => {
    const owner = await clientOf(world, operation.people.owner);
    const { key, client } = await make(owner, ['read']);
    const lastUse = async (): Promise<string | null> =>
      (await owner.get<Key>(operation.at(`/api-keys/${key.id}`), { expect: 200 })).body.lastUsedAt;
    expect(await lastUse()).toBeNull();
    const first = world.clock.now().toISOString();
    await client.get(operation.at('/hay-lots'), { expect: 200 });
    world.clock.advance({ minutes: 0.5 });
    await client.get(operation.at('/hay-lots'), { expect: 200 });
    expect(await lastUse()).toBe(first);
    world.clock.advance({ minutes: 1 });
    await client.get(operation.at('/hay-lots'), { expect: 200 });
    expect(await lastUse()).toBe(world.clock.now().toISOString());
  });

  it('say which address they were last used from, also where it changes within the minute', async () => {
    const owner = await clientOf(world, operation.people.owner);
    const { key } = await make(owner, ['read']);
    const from = async (remoteAddress: string): Promise<unknown> => {
      await world.application.inject({
        url: operation.at('/hay-lots'),
        remoteAddress,
        headers: { authorization: `Bearer ${key.secret ?? ''}` },
      });
      return (await owner.get<Record<string, unknown>>(operation.at(`/api-keys/${key.id}`))).body['lastUsedFrom'];
    };
    expect(await from('203.0.113.1')).toBe('203.0.113.1');
    expect(await from('198.51.100.2')).toBe('198.51.100.2');
  });

  it('stand in the audit as the key, with its maker', async () => {
    const owner = await clientOf(world, operation.people.owner);
    const { key, client } = await make(owner, ['read', 'records']);
    await client.post(operation.at('/ranches'), { name: 'By key' }, { expect: 201 });
    const [last] = await world.database.read(asker(world, operation.people.owner), ({ db }) =>
      db
        .selectFrom('audit_entry')
        .select(['person_id', 'api_key_id', 'action'])
        .orderBy('sequence', 'desc')
        .limit(1)
        .execute(),
    );
    expect(last).toEqual({ person_id: operation.people.owner.id, api_key_id: key.id, action: 'ranch.create' });
  });

  it.each([[['daily']], [['prices']], [['office', 'prices']]])(
    'with the scopes %j either work or cannot be made',
    async (scopes) => {
      const owner = await clientOf(world, operation.people.owner);
      const made = await owner.post<Key>(operation.at('/api-keys'), { name: 'Odd', scopes, expiresAt: until(1) });
      if (made.status === 201)
        expect((await world.anyone.as(made.body.secret ?? '').get(operation.at('/hay-lots'))).status).toBe(200);
      else expect([400, 422]).toContain(made.status);
    },
  );

  it("enter a hand's feeding where they may", async () => {
    const owner = await clientOf(world, operation.people.owner);
    const { client } = await make(owner, ['read', 'daily']);
    const manager = { ...operation, as: { ...operation.as, manager: owner } };
    const herdId = await herd(manager, await ranch(manager), { head: 10 });
    const lots = await owner.get<{ items: { id: string; name: string }[] }>(operation.at('/hay-lots'), {
      query: { onHand: 'true' },
      expect: 200,
    });
    const answer = await client.post(operation.at('/feedings'), {
      herdId,
      fedOn: '2027-01-10',
      method: 'bunk',
      layers: [
        {
          role: 'coarse',
          parts: [
            {
              hayLotId: lots.body.items.find((lot) => lot.name === 'Coarse meadow')?.id,
              weight: { value: '10', unit: 'lb' },
            },
          ],
        },
      ],
    });
    expect(answer.status).toBe(201);
  });
});
