/* A person without prices learns none from what is refused, and whatever they may enter is taken without a fault. */
import { harvest, lateCost, quote, sale } from '../support/books.js';
import { clientOf, join, type Operation, operationWith, person } from '../support/people.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

describe('Hidden numbers', () => {
  let world: World;
  let operation: Operation;
  /** The same operation, its manager being one who sees no prices. */
  let blind: Operation;
  let receipts: string[];
  let ranchId: string;
  let lotId: string;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { roles: ['manager'] });
    const who = await person(world, 'blind manager');
    await join(world, who, operation.id, 'manager', { seesPrices: false });
    blind = { ...operation, as: { ...operation.as, manager: await clientOf(world, who) } };
    ranchId = await ranch(operation);
    await herd(operation, ranchId);
    const bought = [];
    for (const amount of ['55.37', '155.37', '980.01'])
      bought.push(
        await lot(operation, ranchId, { name: `Lot ${amount}`, tons: '10', price: { basis: 'lump-sum', amount } }),
      );
    receipts = bought.map(({ purchaseId }) => purchaseId);
    lotId = bought[0]?.lotId ?? '';
  });
  afterAll(async () => {
    await world.close();
  });

  it('a credit is refused alike whatever the hay cost: bisecting finds nothing', async () => {
    const answers = new Set<string>();
    for (const id of receipts)
      for (const amount of ['-0.01', '-55.37', '-55.38', '-155.37', '-155.38', '-980.01', '-980.02', '-999999']) {
        const answer = await blind.as.manager.post<Record<string, unknown>>(blind.at('/late-costs'), {
          receipt: { kind: 'hay-purchase', id },
          billedOn: '2026-12-20',
          owed: 'charges',
          biller: 'A hauler',
          amount,
        });
        answers.add(JSON.stringify([answer.status, { ...answer.body, requestId: '' }]));
      }
    expect([...answers].map((one) => (JSON.parse(one) as [number])[0])).toEqual([403]);
  });

  it('who sees prices enters a credit up to what the hay cost', async () => {
    const credit = (amount: string) =>
      operation.as.manager.post(operation.at('/late-costs'), {
        receipt: { kind: 'hay-purchase', id: receipts[0] },
        billedOn: '2026-12-20',
        owed: 'charges',
        biller: 'A hauler',
        amount,
      });
    expect((await credit('-55.38')).status).toBe(422);
    expect((await credit('-55.37')).status).toBe(201);
  });

  it('a yardage rate of one who sees no prices is taken, and stands as entered', async () => {
    const made = await blind.as.manager.post<{ id: string; perHeadDay: { amount: string } }>(
      blind.at('/yardage-rates'),
      { fromOn: '2026-11-01', perHeadDay: '0.4500' },
      { expect: 201 },
    );
    const read = await operation.as.manager.get<Record<string, unknown>>(
      operation.at(`/yardage-rates/${made.body.id}`),
      { expect: 200 },
    );
    expect(made.body).toEqual(read.body);
    expect((await blind.as.manager.get(blind.at(`/yardage-rates/${made.body.id}`))).status).toBe(403);
  });

  it('every other amount that they may enter is taken too', async () => {
    await lateCost(blind, { kind: 'hay-purchase', id: receipts[1] ?? '' });
    await harvest(blind, ranchId);
    await sale(blind, lotId);
    await quote(blind);
    await lot(blind, ranchId, { name: 'Blind buy', tons: '5', price: { basis: 'lump-sum', amount: '400' } });
    await blind.as.manager.post(
      blind.at('/hay-budget-plans'),
      {
        name: 'Winter',
        from: '2027-01-01',
        until: '2027-03-01',
        prices: [{ hayKind: 'brome', amount: '110', per: 'ton' }],
      },
      { expect: 201 },
    );
  });
});
