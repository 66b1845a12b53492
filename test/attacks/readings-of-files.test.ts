/* How files are read is said by whoever may send them, and a column's own name says its unit. Invented. */
import { type Operation, operationWith } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world, { roles: ['hand', 'manager'] });
});
afterAll(() => world.close());

const HEADER = ['buyer', 'sold_on', 'lot', 'weight_lb', 'Price'];
const save = async (role: 'hand' | 'manager', columns: object[], header = HEADER) =>
  operation.as[role].post<{ type: string; errors: { code: string }[] }>(operation.at('/import-mappings'), {
    kind: 'hay-sales',
    header,
    columns,
  });

describe('How a file is read', () => {
  it('is not said by who may not send it', async () => {
    const answer = await save('hand', [{ header: 'Price', column: 'price' }]);
    expect([answer.status, answer.body.type]).toEqual([403, '/problems/not-permitted']);
  });

  it('leaves what a column is called by its own name as it is', async () => {
    const answer = await save('manager', [{ header: 'weight_lb', column: 'weight_kg' }]);
    expect([answer.status, answer.body.errors[0]?.code]).toEqual([422, 'a-columns-own-name']);
    expect((await save('manager', [{ header: 'Price', column: 'price' }])).status).toBe(201);
  });

  it.each(['H\u0000', 'H\uD800'])('has no header that the database could not keep: %j', async (odd) => {
    expect((await save('manager', [], ['buyer', odd])).status).toBe(400);
    const listed = await operation.as.manager.get(operation.at('/confirmed-entries'), { query: { code: '\u0000' } });
    expect(listed.status).toBe(400);
  });
});
