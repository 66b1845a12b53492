/* An entry may say which earlier one it corrects: an entry of the same books, and nothing else that has an id. */
import { newId } from '../../src/platform/identifiers.js';
import { type Operation, operationWith } from '../support/people.js';
import { lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let ours: Operation;
let theirs: Operation;
beforeAll(async () => {
  world = await openWorld();
  [ours, theirs] = [await operationWith(world), await operationWith(world)];
});
afterAll(() => world.close());

const SALE = {
  buyer: 'A neighbor',
  soldOn: '2026-12-05',
  quantity: { weight: { value: '1', unit: 'ton' } },
  price: { basis: 'per-mass', amount: '200', per: 'ton' },
};
const bought = async (of: Operation) =>
  lot(of, await ranch(of), { name: 'Meadow', tons: '10', price: { basis: 'lump-sum', amount: '900' } });

it('what another ranch entered, a lot, or nothing at all is corrected by no entry; an own entry is', async () => {
  const [mine, other] = [await bought(ours), await bought(theirs)];
  const before = (await ours.as.manager.get<{ items: object[] }>(ours.at('/hay-sales'))).body.items;
  for (const correctsId of [other.purchaseId, mine.lotId, newId()]) {
    const { status, body } = await ours.as.manager.post<{ errors?: { pointer: string; code: string }[] }>(
      ours.at('/hay-sales'),
      { ...SALE, hayLotId: mine.lotId, correctsId },
    );
    expect([status, body.errors?.[0]]).toEqual([
      422,
      expect.objectContaining({ pointer: '#/correctsId', code: 'not-a-record' }),
    ]);
  }
  expect((await ours.as.manager.get<{ items: object[] }>(ours.at('/hay-sales'))).body.items).toEqual(before);
  await ours.as.manager.post(
    ours.at('/hay-sales'),
    { ...SALE, hayLotId: mine.lotId, correctsId: mine.purchaseId },
    { expect: 201 },
  );
});
