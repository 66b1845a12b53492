/* The head history: a herd never has fewer than no animals, on any day, by any number of clients. */
import { type Operation, operationWith } from '../support/people.js';
import { herd, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Change {
  id: string;
  head: number;
  type?: string;
  detail?: string;
}

describe('the head of a herd', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { roles: ['owner', 'manager'] });
    ranchId = await ranch(operation);
  });
  afterAll(async () => {
    await world.close();
  });

  const change = (herdId: string, body: Record<string, unknown>) =>
    operation.as.manager.post<Change>(operation.at(`/herds/${herdId}/head-changes`), body);
  const headOf = async (herdId: string): Promise<unknown> =>
    (await operation.as.manager.get(operation.at(`/herds/${herdId}`), { expect: 200 })).body['head'];

  it('is shared out to simultaneous sales until none is left', async () => {
    const id = await herd(operation, ranchId, { head: 7 });
    const answers = await Promise.all(
      Array.from({ length: 12 }, () => change(id, { kind: 'sale', head: 1, happenedOn: '2027-01-10' })),
    );
    expect(answers.filter((answer) => answer.status === 201)).toHaveLength(7);
    for (const answer of answers.filter((one) => one.status !== 201))
      expect([answer.status, answer.body.type]).toEqual([409, '/problems/herd-short']);
    expect(await headOf(id)).toBe(0);
  });

  it('is checked on every later day for what is entered late', async () => {
    const id = await herd(operation, ranchId, { name: 'Late entries', head: 100, since: '2026-11-01' });
    await change(id, { kind: 'sale', head: 80, happenedOn: '2027-01-05' });
    const late = await change(id, { kind: 'out', head: 21, happenedOn: '2026-12-01' });
    expect([late.status, late.body.detail]).toEqual([409, 'Late entries would be 1 head short on 2027-01-05.']);
    expect((await change(id, { kind: 'out', head: 20, happenedOn: '2026-12-01' })).status).toBe(201);
    expect((await change(id, { kind: 'out', head: 1, happenedOn: '2026-10-31' })).body.type).toBe(
      '/problems/herd-short',
    );
  });

  it('moves between herds in one step, and back in one', async () => {
    const from = await herd(operation, ranchId, { head: 50, name: 'From' });
    const to = await herd(operation, ranchId, { head: 0, name: 'To' });
    const moved = await change(from, { kind: 'move', head: 20, happenedOn: '2027-01-08', toHerdId: to });
    expect([await headOf(from), await headOf(to)]).toEqual([30, 20]);
    await operation.as.manager.post(
      operation.at(`/herds/${from}/head-changes/${moved.body.id}/reversal`),
      { reason: 'Wrong pen' },
      { expect: 201 },
    );
    expect([await headOf(from), await headOf(to)]).toEqual([50, 0]);
    const again = await operation.as.manager.post(
      operation.at(`/herds/${from}/head-changes/${moved.body.id}/reversal`),
      { reason: 'Wrong pen' },
    );
    expect(again.status).toBe(409);
  });

  it('keeps a move whole where the cattle have gone on from there', async () => {
    const from = await herd(operation, ranchId, { head: 10, name: 'Start' });
    const to = await herd(operation, ranchId, { head: 0, name: 'Middle' });
    const moved = await change(from, { kind: 'move', head: 10, happenedOn: '2027-01-08', toHerdId: to });
    await change(to, { kind: 'sale', head: 4, happenedOn: '2027-01-09' });
    const back = await operation.as.manager.post<Change>(
      operation.at(`/herds/${from}/head-changes/${moved.body.id}/reversal`),
      { reason: 'Wrong pen' },
    );
    expect([back.status, back.body.type]).toEqual([409, '/problems/herd-short']);
    expect([await headOf(from), await headOf(to)]).toEqual([0, 6]);
  });

  it('does not take back what the later history needs', async () => {
    const id = await herd(operation, ranchId, { head: 0 });
    const came = await change(id, { kind: 'in', head: 30, happenedOn: '2026-12-01' });
    await change(id, { kind: 'sale', head: 30, happenedOn: '2027-01-02' });
    const back = await operation.as.manager.post<Change>(
      operation.at(`/herds/${id}/head-changes/${came.body.id}/reversal`),
      { reason: 'Counted wrong' },
    );
    expect([back.status, back.body.type]).toEqual([409, '/problems/herd-short']);
  });
});
