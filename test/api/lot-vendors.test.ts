/* A lot says who sold its hay, by the tickets that stand, also after a part of it was moved. Everything is invented. */
import { harvest, transfer } from '../support/books.js';
import { operationWith } from '../support/people.js';
import { lot, purchaseBody, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

describe('the vendors of a lot', () => {
  let world: World;
  beforeAll(async () => {
    world = await openWorld();
  });
  afterAll(async () => {
    await world.close();
  });

  it('are those of its tickets that were not reversed, and of the lot that it was split off', async () => {
    const operation = await operationWith(world);
    const { manager, owner } = operation.as;
    const ranchId = await ranch(operation);
    const { lotId } = await lot(operation, ranchId, { vendor: 'North fields' });
    const more = purchaseBody(ranchId, { lot: { id: lotId }, vendor: 'Creek bottom' });
    await manager.post(operation.at('/hay-purchases'), more, { expect: 201 });
    const wrong = await manager.post<{ id: string }>(
      operation.at('/hay-purchases'),
      { ...more, vendor: 'Never there' },
      { expect: 201 },
    );
    await manager.post(operation.at(`/hay-purchases/${wrong.body.id}/reversal`), { reason: 'Wrong' }, { expect: 201 });
    const moved = await transfer(operation, lotId, { name: 'Hauled', ranchId });
    const raised = await harvest(operation, ranchId);
    const of = async (id: unknown) =>
      (await owner.get<{ vendors: string[] }>(operation.at(`/hay-lots/${String(id)}`), { expect: 200 })).body.vendors;
    expect([await of(lotId), await of(moved['toLotId']), await of(raised.hayLotId)]).toEqual([
      ['Creek bottom', 'North fields'],
      ['Creek bottom', 'North fields'],
      [],
    ]);
  });
});
