/*
 * What a thread answers, but for files of records, is a read: its transactions are such that PostgreSQL lets them write
 * nothing, also those that a handler opens for itself.
 */
import { ENDPOINTS, transactionOf } from '../../src/platform/http/endpoint.js';
import { type Operation, operationWith } from '../support/people.js';
import { aWinterIn, type Winter } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let ranch: Operation;
let winter: Winter;
beforeAll(async () => {
  world = await openWorld();
  ranch = await operationWith(world);
  winter = await aWinterIn(ranch);
});
afterEach(() => world.database.onlyRead(false));
afterAll(() => world.close());

/** Files of records are written there; `test/faults/file-in-thread.test.ts` is about them. */
const inThreads = ENDPOINTS.filter(({ inThread }) => inThread !== undefined && inThread !== 'long-file');
/** One request for each that opens its own transactions; a new one is missing here. */
const REQUESTS: Record<string, () => { path: string; body: object }> = {
  solveLeastCostRation: () => ({
    path: `/herds/${winter.herdId}/least-cost-ration`,
    body: { days: 30, lots: winter.lots.slice(0, 2).map(({ lotId }) => ({ hayLotId: lotId })) },
  }),
};

describe('An endpoint that a thread answers', () => {
  it('is no write', () => {
    expect(inThreads.filter((one) => transactionOf(one) === 'write').map((one) => one.operationId)).toEqual([]);
  });

  it('with transactions of its own is among those tried here', () => {
    const own = inThreads.filter((one) => transactionOf(one) === 'own').map((one) => one.operationId);
    expect(Object.keys(REQUESTS).toSorted()).toEqual(own.toSorted());
  });

  it.each(Object.keys(REQUESTS))('%s answers the same where nothing can be written', async (operationId) => {
    const { path, body } = REQUESTS[operationId]?.() ?? { path: '', body: {} };
    const ask = async () => (await ranch.as.owner.post(ranch.at(path), body, { key: null, expect: 200 })).body;
    const before = await ask();
    world.database.onlyRead(true);
    expect(await ask()).toEqual(before);
  });

  it('could write nothing there: the database refuses', async () => {
    world.database.onlyRead(true);
    await expect(
      world.database.withProof({}, (db) =>
        db.updateTable('operation').set({ name: 'Renamed' }).where('id', '=', ranch.id).execute(),
      ),
    ).rejects.toMatchObject({ code: '25006' });
  });
});
