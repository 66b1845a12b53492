/*
 * Who changes a record says which version they saw. Of two who saw the same one, one is told that it changed meanwhile.
 */
import { Problem } from '../../src/platform/http/problem.js';
import { asker, type Operation, operationWith } from '../support/people.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

describe('changes of a versioned record', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    ranchId = await ranch(operation);
  });
  afterAll(async () => {
    await world.close();
  });

  it('of ten at once, one goes through and nine are told', async () => {
    const id = await ranch(operation, { name: 'Contested' });
    const { headers } = await operation.as.manager.get(operation.at(`/ranches/${id}`), { expect: 200 });
    const answers = await Promise.all(
      Array.from({ length: 10 }, (_, index) =>
        operation.as.manager.patch(
          operation.at(`/ranches/${id}`),
          { name: `Name ${index}` },
          { ifMatch: headers['etag'] ?? '' },
        ),
      ),
    );
    const won = answers.filter((answer) => answer.status === 200);
    expect(won).toHaveLength(1);
    for (const answer of answers.filter((one) => one.status !== 200))
      expect([answer.status, answer.body['type']]).toEqual([412, '/problems/changed-meanwhile']);
    const now = await operation.as.manager.get(operation.at(`/ranches/${id}`), { expect: 200 });
    expect(now.body).toMatchObject({ name: won[0]?.body['name'], version: 2 });
    expect(now.headers['etag']).toBe(won[0]?.headers['etag']);
  });

  it('over two open connections: the second waits for the first, then finds the version gone', async () => {
    const id = await ranch(operation, { name: 'Two connections' });
    const rename = (name: string, firstLetGo: Promise<void>, done: () => void) =>
      world.database.writeIn(asker(world, operation.people.manager), operation.id, async ({ db }) => {
        const { numUpdatedRows } = await db
          .updateTable('ranch')
          .set((e) => ({ name, version: e('version', '+', 1) }))
          .where('operation_id', '=', operation.id)
          .where('id', '=', id)
          .where('version', '=', 1)
          .executeTakeFirstOrThrow();
        done();
        await firstLetGo;
        if (numUpdatedRows === 0n) throw new Problem('changed-meanwhile');
        return { name };
      });
    let letGo: () => void = () => undefined;
    let updated: () => void = () => undefined;
    const released = new Promise<void>((resolve) => {
      letGo = resolve;
    });
    const firstHasUpdated = new Promise<void>((resolve) => {
      updated = resolve;
    });
    const first = rename('First', released, updated);
    await firstHasUpdated;
    const second = rename('Second', Promise.resolve(), () => undefined);
    second.catch(() => undefined);
    letGo();
    await expect(first).resolves.toEqual({ name: 'First' });
    await expect(second).rejects.toMatchObject({ code: 'changed-meanwhile' });
  });

  it.each([
    ['an operation', () => Promise.resolve(''), { name: 'Renamed' }, 'owner'],
    ['a ranch', async () => `/ranches/${await ranch(operation)}`, { name: 'Renamed' }, 'manager'],
    ['a herd', async () => `/herds/${await herd(operation, ranchId)}`, { name: 'Renamed' }, 'manager'],
    ['a lot', async () => `/hay-lots/${(await lot(operation, ranchId)).lotId}`, { name: 'Renamed' }, 'manager'],
  ] as const)('%s: the ETag that was read is the one that is taken', async (_name, make, body, role) => {
    const path = operation.at(await make());
    const client = operation.as[role];
    const read = await client.get(path, { expect: 200 });
    const changed = await client.patch(path, body, { ifMatch: read.headers['etag'] ?? '', expect: 200 });
    expect(changed.body).toMatchObject({ name: 'Renamed', version: Number(read.body['version']) + 1 });
    expect(changed.headers['etag']).not.toBe(read.headers['etag']);
    expect((await client.get(path, { expect: 200 })).headers['etag']).toBe(changed.headers['etag']);
    expect((await client.patch(path, body, { ifMatch: read.headers['etag'] ?? '' })).status).toBe(412);
    expect((await client.patch(path, body)).body['type']).toBe('/problems/precondition-missing');
    expect((await client.patch(path, body, { ifMatch: '*' })).status).toBe(428);
    expect((await client.patch(path, body, { ifMatch: `W/${changed.headers['etag'] ?? ''}` })).status).toBe(412);
    expect((await client.patch(path, body, { ifMatch: '"not-ours"' })).status).toBe(412);
  });

  it('leave alone what was not sent, and take away what is null', async () => {
    const id = await herd(operation, ranchId, { note: 'Came thin', matureWeight: { value: '1250', unit: 'lb' } });
    const path = operation.at(`/herds/${id}`);
    const { headers } = await operation.as.manager.get(path, { expect: 200 });
    const changed = await operation.as.manager.patch(
      path,
      { note: null, name: 'Calves' },
      { ifMatch: headers['etag'] ?? '', expect: 200 },
    );
    expect(changed.body).toMatchObject({
      note: null,
      name: 'Calves',
      matureWeight: { value: '1250', unit: 'lb' },
      bodyWeight: { value: '550', unit: 'lb' },
    });
  });
});
