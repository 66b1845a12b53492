/* How files are read is said by whoever may send them, and a column's own name says its unit. Invented. */
import { type Operation, operationWith } from '../support/people.js';
import { lot, ranch } from '../support/things.js';
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

  it('is told with whose word it is, at check and import, and is ended by whoever may send such files', async () => {
    const [as, hand] = [operation.as.manager, operation.as.hand];
    const ranchId = await ranch(operation);
    await lot(operation, ranchId, { name: 'Meadow' });
    // An impostor in the books swaps two columns of a file that others send.
    const header = ['vendor', 'purchased_on', 'lot', 'Scale', 'price_usd_per_ton'];
    const file = (day: string): string => `${header.join(',')}\nX,${day},Meadow,47600,145\n`;
    const sent = async <Answer>(address: string, day: string, expect_: number, key?: null) =>
      (
        await as.post<Answer>(operation.at(`/imports/hay-tickets${address}`), file(day), {
          headers: { 'Content-Type': 'text/csv' },
          expect: expect_,
          ...(key === undefined ? {} : { key }),
        })
      ).body;
    const save = async (column: string) =>
      (
        await as.post<{ id: string }>(
          operation.at('/import-mappings'),
          { kind: 'hay-tickets', header, columns: [{ header: 'Scale', column }] },
          { expect: 201 },
        )
      ).body.id;
    await save('gross_weight_lb');
    const id = await save('net_weight_lb');
    const reading = { id, recordedBy: operation.people.manager.id, recordedByName: operation.people.manager.name };
    expect(await sent('/check', '2026-11-12', 200, null)).toMatchObject({ problems: [], reading });
    const taken = await sent<{ id: string }>('', '2026-11-12', 201);
    expect(taken).toMatchObject({ reading });

    const mapping = operation.at(`/import-mappings/${id}`);
    expect((await hand.delete(mapping)).status).toBe(403);
    expect((await as.delete(mapping)).status).toBe(204);
    expect((await as.delete(mapping)).status).toBe(204);
    // What was saved before it does not come back unseen.
    expect(await sent('/check', '2026-11-13', 200, null)).toMatchObject({
      problems: [{ code: 'missing' }],
      reading: null,
    });
    // What was read by it still says so.
    expect((await hand.get(operation.at(`/imports/${taken.id}`), { expect: 200 })).body).toMatchObject({ reading });
    const { body } = await as.get<{ items: object[] }>(operation.at('/import-mappings?kind=hay-tickets'));
    expect(body.items).toMatchObject([{ id, endedBy: operation.people.manager.id }, { endedBy: null }]);
    const audit = await operation.as.owner.get<{ items: { personId: string; subjectId: string }[] }>(
      operation.at('/audit?action=import-mapping.end'),
      { expect: 200 },
    );
    expect(audit.body.items).toMatchObject([{ personId: operation.people.manager.id, subjectId: id }]);
  });

  it.each(['H\u0000', 'H\uD800'])('has no header that the database could not keep: %j', async (odd) => {
    expect((await save('manager', [], ['buyer', odd])).status).toBe(400);
    const listed = await operation.as.manager.get(operation.at('/confirmed-entries'), { query: { code: '\u0000' } });
    expect(listed.status).toBe(400);
  });
});
