/* A reference in a body that is of no record of these books is told with the field that holds it. Invented. */
import { operationWith } from '../support/people.js';
import { purchaseBody, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
beforeAll(async () => {
  world = await openWorld();
});
afterAll(() => world.close());

it('of the ranch of a new lot, in a ticket', async () => {
  const ours = await operationWith(world, { roles: ['manager'] });
  const theirs = await operationWith(world, { roles: ['manager'] });
  const theirRanch = await ranch(theirs);
  const ownRanch = await ranch(ours);
  const body = purchaseBody(ownRanch) as { lot: object };
  const answer = await ours.as.manager.post<{ type: string; errors: { pointer: string; given: string }[] }>(
    ours.at('/hay-purchases'),
    { ...body, lot: { ...body.lot, ranchId: theirRanch } },
  );
  expect([answer.status, answer.body.type]).toEqual([404, '/problems/not-found']);
  expect(answer.body.errors).toMatchObject([{ pointer: '#/lot/ranchId', given: theirRanch }]);
});
