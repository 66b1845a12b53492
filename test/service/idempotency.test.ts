/* A request that creates something is done once for each key: repeated, simultaneous, or after a failure. */
import { randomUUID } from 'node:crypto';
import { Database } from '../../src/platform/database/database.js';
import { type Operation, operationWith } from '../support/people.js';
import { balance, feeding, feedingBody, herd, lot, purchaseBody, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

describe('the Idempotency-Key', () => {
  let world: World;
  let operation: Operation;
  let other: Operation;
  let ranchId: string;
  let herdId: string;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    other = await operationWith(world, { roles: ['owner', 'manager'] });
    ranchId = await ranch(operation);
    herdId = await herd(operation, ranchId);
  });
  afterAll(async () => {
    await world.close();
  });

  const count = async (table: string): Promise<number> =>
    Number((await world.ownerPool.query<{ n: string }>(`SELECT count(*) AS n FROM ${table}`)).rows[0]?.n);

  it('makes one effect and equal answers of simultaneous equal requests', async () => {
    const before = [
      await count('hay_purchase'),
      await count('stock_movement'),
      await count('stock_cost'),
      await count('hay_lot'),
      await count('audit_entry'),
    ];
    const key = randomUUID();
    const body = purchaseBody(ranchId, { freight: '240' });
    const answers = await Promise.all(
      Array.from({ length: 12 }, () =>
        operation.as.manager.post<WithId>(operation.at('/hay-purchases'), body, { key }),
      ),
    );
    expect(answers.map((answer) => answer.status)).toEqual(answers.map(() => 201));
    expect(new Set(answers.map((answer) => answer.text)).size).toBe(1);
    expect(answers.filter((answer) => answer.headers['idempotency-replayed'] === 'true')).toHaveLength(11);
    expect(new Set(answers.map((answer) => answer.headers['location'])).size).toBe(1);
    const after = [
      await count('hay_purchase'),
      await count('stock_movement'),
      await count('stock_cost'),
      await count('hay_lot'),
      await count('audit_entry'),
    ];
    expect(after.map((n, index) => n - (before[index] ?? 0))).toEqual([1, 1, 2, 1, 1]);
  });

  it('acknowledges nothing where the answer, the last of a transaction, cannot be kept', async () => {
    const asker = {
      personId: operation.people.owner.id,
      apiKeyId: undefined,
      moment: world.clock.now(),
      requestId: 'r',
      address: '10.0.0.1',
      idempotency: undefined,
    };
    const before = await count('idempotency_record');
    const written = world.application.get(Database).writeOnceIn(asker, operation.id, {
      admit: () => ({ route: 'POST /a-test', key: randomUUID(), payloadHash: 'x' }),
      work: (tenant) =>
        tenant.db
          .updateTable('operation')
          .set({ name: 'Lost without a word' })
          .where('id', '=', operation.id)
          .returning('name')
          .executeTakeFirstOrThrow(),
      // PostgreSQL has no such letter.
      kept: () => ({ name: '\u0000' }),
    });
    await expect(written).rejects.toThrow(/Unicode/);
    expect(await count('idempotency_record')).toBe(before);
    expect(await count("operation WHERE name = 'Lost without a word'")).toBe(0);
  });

  it('answers a repeat with the first answer, whatever became of the record since', async () => {
    const key = randomUUID();
    const first = await operation.as.manager.post<WithId>(
      operation.at('/ranches'),
      { name: 'First name' },
      { key, expect: 201 },
    );
    await operation.as.manager.patch(
      operation.at(`/ranches/${first.body.id}`),
      { name: 'Second name' },
      { ifMatch: first.headers['etag'] ?? '', expect: 200 },
    );
    const repeat = await operation.as.manager.post(
      operation.at('/ranches'),
      { name: 'First name' },
      { key, expect: 201 },
    );
    expect(repeat.text).toBe(first.text);
    expect(repeat.headers['idempotency-replayed']).toBe('true');
    expect(first.headers['idempotency-replayed']).toBeUndefined();
  });

  it('does not show again what the one asking may not see any more', async () => {
    const key = randomUUID();
    const body = purchaseBody(ranchId, { vendor: 'Priced', freight: '240' });
    const send = () => operation.as.manager.post<WithId>(operation.at('/hay-purchases'), body, { key });
    const members = await operation.as.owner.get<{ items: { id: string; role: string }[] }>(
      operation.at('/memberships'),
      { expect: 200 },
    );
    const { id } = members.body.items.find(({ role }) => role === 'manager') as WithId;
    const seesPrices = async (sees: boolean): Promise<void> => {
      const membership = operation.at(`/memberships/${id}`);
      const { headers } = await operation.as.owner.get(membership, { expect: 200 });
      await operation.as.owner.patch(membership, { seesPrices: sees }, { ifMatch: headers['etag'] ?? '', expect: 200 });
    };
    const first = await send();
    expect([first.status, first.body]).toMatchObject([201, { landedCost: expect.anything() as unknown }]);
    const made = await count('hay_purchase');
    await seesPrices(false);
    const hidden = await send();
    await seesPrices(true);
    expect(hidden.text).not.toMatch(/landedCost|price|freight|240/);
    expect([hidden.status, hidden.body, hidden.headers['location']]).toMatchObject([
      403,
      { type: '/problems/not-permitted', detail: expect.stringContaining('was done') as unknown },
      operation.at(`/hay-purchases/${first.body.id}`),
    ]);
    expect(await count('hay_purchase')).toBe(made);
    expect((await send()).text).toBe(first.text);
  });

  it('refuses another body, and another query, under the same key', async () => {
    const key = randomUUID();
    await operation.as.manager.post(operation.at('/hay-purchases'), purchaseBody(ranchId), { key, expect: 201 });
    const body = await operation.as.manager.post(
      operation.at('/hay-purchases'),
      purchaseBody(ranchId, { vendor: 'Another' }),
      { key },
    );
    const query = await operation.as.manager.post(operation.at('/hay-purchases'), purchaseBody(ranchId), {
      key,
      query: { units: 'metric' },
    });
    expect([body.status, body.body['type'], query.status, query.body['type']]).toEqual([
      422,
      '/problems/idempotency-key-reused',
      422,
      '/problems/idempotency-key-reused',
    ]);
  });

  it('takes the same fields in another order for the same body', async () => {
    const key = randomUUID();
    const first = await operation.as.manager.post(
      operation.at('/ranches'),
      '{"name":"Ordered","timeZone":"America/Boise"}',
      { key, expect: 201 },
    );
    const repeat = await operation.as.manager.post(
      operation.at('/ranches'),
      '{ "timeZone": "America/Boise",\n "name": "Ordered" }',
      { key, expect: 201 },
    );
    expect(repeat.text).toBe(first.text);
  });

  it('is forgotten with work that failed, so that the same request can be tried again', async () => {
    const { lotId } = await lot(operation, ranchId, { name: 'Short', tons: '1' });
    const key = randomUUID();
    const body = feedingBody(herdId, [[lotId, '3000']]);
    const kept = await count('idempotency_record');
    expect((await operation.as.hand.post(operation.at('/feedings'), body, { key })).status).toBe(409);
    expect(await count('idempotency_record')).toBe(kept);
    await operation.as.manager.post(operation.at('/hay-purchases'), purchaseBody(ranchId, { lot: { id: lotId } }), {
      expect: 201,
    });
    expect((await operation.as.hand.post(operation.at('/feedings'), body, { key })).status).toBe(201);
    expect(
      (await operation.as.hand.post(operation.at('/feedings'), body, { key })).headers['idempotency-replayed'],
    ).toBe('true');
    expect(await balance(operation, lotId)).toBe('23.5');
  });

  it('is the same key however the ids of the address and of the body are written', async () => {
    const key = randomUUID();
    const made = await count('head_change');
    const change = { kind: 'sale', head: 1, happenedOn: '2027-01-10' };
    const path = operation.at(`/herds/${herdId}/head-changes`);
    const first = await operation.as.manager.post<WithId>(path, change, { key, expect: 201 });
    const upper = `/v1/operations/${operation.id.toUpperCase()}/herds/${herdId.toUpperCase()}/head-changes`;
    const again = await operation.as.manager.post<WithId>(upper, change, { key, expect: 201 });
    expect([again.text, again.headers['location'], await count('head_change')]).toEqual([
      first.text,
      first.headers['location'],
      made + 1,
    ]);
    const place = { ranchId, name: 'Spelled', kind: 'pen' };
    const placeKey = randomUUID();
    const lower = await operation.as.manager.post(operation.at('/places'), place, { key: placeKey, expect: 201 });
    const spelled = { ...place, ranchId: ranchId.toUpperCase() };
    const same = await operation.as.manager.post(operation.at('/places'), spelled, { key: placeKey, expect: 201 });
    expect(same.text).toBe(lower.text);
  });

  it("is each person's own, each address's own and each operation's own", async () => {
    const key = randomUUID();
    const made = [
      await operation.as.manager.post<WithId>(operation.at('/ranches'), { name: 'One' }, { key, expect: 201 }),
      await operation.as.owner.post<WithId>(operation.at('/ranches'), { name: 'One' }, { key, expect: 201 }),
      await other.as.manager.post<WithId>(other.at('/ranches'), { name: 'One' }, { key, expect: 201 }),
      await operation.as.manager.post<WithId>(
        operation.at('/places'),
        { ranchId, name: 'One', kind: 'pen' },
        { key, expect: 201 },
      ),
    ];
    expect(new Set(made.map((answer) => answer.body.id)).size).toBe(4);
  });

  it('holds for taking back too', async () => {
    const { lotId } = await lot(operation, ranchId, { name: 'Taken back once' });
    const fed = await feeding(operation, herdId, [[lotId, '2000']]);
    const key = randomUUID();
    const answers = await Promise.all(
      Array.from({ length: 6 }, () =>
        operation.as.manager.post(operation.at(`/feedings/${fed}/reversal`), { reason: 'Wrong lot' }, { key }),
      ),
    );
    expect(answers.map((answer) => answer.status)).toEqual(answers.map(() => 201));
    expect(new Set(answers.map((answer) => answer.text)).size).toBe(1);
    expect(await balance(operation, lotId)).toBe('24');
  });

  it('is kept for 48 hours', async () => {
    const key = randomUUID();
    const first = await operation.as.manager.post<WithId>(
      operation.at('/ranches'),
      { name: 'Dated' },
      { key, expect: 201 },
    );
    const renewed = await operationWithNewTokens(48 * 60 - 1);
    expect(
      (await renewed.post<WithId>(operation.at('/ranches'), { name: 'Dated' }, { key, expect: 201 })).body.id,
    ).toBe(first.body.id);
    const later = await operationWithNewTokens(1);
    expect(
      (await later.post<WithId>(operation.at('/ranches'), { name: 'Dated' }, { key, expect: 201 })).body.id,
    ).not.toBe(first.body.id);
  });

  it('is not forgotten because a clock ran ahead: then it is kept for 48 hours that have passed', async () => {
    const began = world.clock.now();
    const key = randomUUID();
    const first = await (
      await operationWithNewTokens(0)
    ).post<WithId>(operation.at('/ranches'), { name: 'Ahead' }, { key, expect: 201 });
    let hours = 1;
    world.database.forgetKeysBy(() => new Date(began.getTime() + hours * 3_600_000));
    const again = async (): Promise<string> =>
      (
        await (
          await operationWithNewTokens(72 * 60)
        ).post<WithId>(operation.at('/ranches'), { name: 'Ahead' }, { key, expect: 201 })
      ).body.id;
    expect(await again()).toBe(first.body.id);
    hours = 48;
    expect(await again()).not.toBe(first.body.id);
    world.database.forgetKeysBy(() => world.clock.now());
  });

  /** Access tokens do not last that long; the manager signs in again. */
  async function operationWithNewTokens(minutes: number): Promise<Operation['as']['manager']> {
    const { clientOf } = await import('../support/people.js');
    world.clock.advance({ minutes });
    return clientOf(world, operation.people.manager);
  }

  it('is written with or without quotes, and is the same key', async () => {
    const key = randomUUID();
    const client = await operationWithNewTokens(0);
    const quoted = await client.post(
      operation.at('/ranches'),
      { name: 'Quoted' },
      { key: null, headers: { 'Idempotency-Key': `"${key}"` }, expect: 201 },
    );
    const bare = await client.post(
      operation.at('/ranches'),
      { name: 'Quoted' },
      { key: null, headers: { 'Idempotency-Key': key }, expect: 201 },
    );
    expect(bare.text).toBe(quoted.text);
  });

  it.each([
    ['missing', {}, '/problems/idempotency-key-missing'],
    ['blank', { 'Idempotency-Key': ' ' }, '/problems/idempotency-key-missing'],
    ['empty', { 'Idempotency-Key': '""' }, '/problems/invalid-input'],
    ['too long', { 'Idempotency-Key': `"${'x'.repeat(256)}"` }, '/problems/invalid-input'],
  ])('is needed: %s', async (_name, headers, type) => {
    const client = await operationWithNewTokens(0);
    const before = await count('ranch');
    const answer = await client.post(operation.at('/ranches'), { name: 'Keyless' }, { key: null, headers });
    expect([answer.status, answer.body['type']]).toEqual([400, type]);
    expect(await count('ranch')).toBe(before);
  });
});
