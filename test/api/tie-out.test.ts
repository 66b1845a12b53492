/*
 * Ledger, journal, position, roll-forward, season cost and closeouts, month by month: they tie whatever was entered,
 * taken back in a later month, billed late, moved between herds or closed. Everything here is invented.
 */
import { lateCost, sale } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Amount {
  amount: string;
}
type Month = Record<string, Amount> & { month: string; differences: string[] };
interface TieOut {
  months: Month[];
  ties: boolean;
}

let world: World;
let operation: Operation;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world, { roles: ['owner', 'manager', 'accountant'] });
  const ranchId = await ranch(operation);
  const steers = await herd(operation, ranchId, { name: 'Steers', head: 0 });
  const heifers = await herd(operation, ranchId, { name: 'Heifers', head: 20, sex: 'heifer' });
  const { lotId, purchaseId } = await lot(operation, ranchId, { purchasedOn: '2026-10-20' });
  const post = async (path: string, body: object): Promise<string> =>
    (await operation.as.manager.post<WithId>(operation.at(path), body, { expect: 201 })).body.id;
  const reverse = (record: string, effectiveOn: string): Promise<string> =>
    post(`/${record}/reversal`, { reason: 'It was not so', effectiveOn });
  const change = (kind: string, happenedOn: string, head: number, amount: string, more: object = {}) =>
    post(`/herds/${steers}/head-changes`, {
      ...{ kind, happenedOn, head, meanWeight: { value: '500', unit: 'lb' }, ...more },
      price: { basis: 'lump-sum', amount },
    });
  await post('/yardage-rates', { fromOn: '2026-10-01', perHeadDay: '0.37' });
  await change('in', '2026-11-01', 40, '61000');
  await change('move', '2026-11-20', 3, '4700', { toHerdId: heifers });
  const unsold = await change('sale', '2026-11-25', 5, '8000');
  await change('death', '2026-11-28', 1, '150');
  await change('sale', '2026-12-28', 10, '17250.50');
  const bill = await post('/herd-costs', {
    ...{ herdId: steers, kind: 'veterinary', happenedOn: '2026-11-10', payee: 'A vet', amount: '480' },
  });
  await post('/herd-costs', {
    ...{ herdId: heifers, kind: 'trucking', happenedOn: '2026-12-02', payee: 'A hauler', amount: '95.25' },
  });
  const wrong = await feeding(operation, steers, [[lotId, '2000']], { fedOn: '2026-11-15' });
  await feeding(operation, steers, [[lotId, '1500']], { fedOn: '2026-11-18' });
  await feeding(operation, heifers, [[lotId, '700']], { fedOn: '2026-12-18' });
  await sale(operation, lotId, { soldOn: '2026-12-05' });
  await lateCost(operation, { kind: 'hay-purchase', id: purchaseId }, { billedOn: '2026-12-20' });
  await reverse(`herds/${steers}/head-changes/${unsold}`, '2026-12-04');
  await reverse(`herd-costs/${bill}`, '2026-12-06');
  await reverse(`feedings/${wrong}`, '2026-12-08');
});
afterAll(() => world.close());

const tieOut = async (): Promise<TieOut> =>
  (
    await operation.as.accountant.get<TieOut>(operation.at('/reports/tie-out'), {
      query: { from: '2026-10-01', until: '2027-01-14' },
      expect: 200,
    })
  ).body;

it.each(['specific-lot', 'moving-average', 'fifo'])('ties in every month under %s', async (costingMethod) => {
  const { owner } = operation.as;
  const { headers } = await owner.get(operation.at(''), { expect: 200 });
  await owner.patch(operation.at(''), { costingMethod }, { ifMatch: headers['etag'] ?? '', expect: 200 });
  const { months, ties } = await tieOut();
  expect(months.map(({ differences }) => differences)).toEqual([[], [], [], []]);
  expect(ties).toBe(true);
});

it('is about something: what the months had of cattle, costs and late bills, by hand', async () => {
  const [, november, december, january] = (await tieOut()).months;
  const told = (month: Month | undefined): (string | undefined)[] =>
    ['closeoutCattle', 'closeoutOtherCosts', 'seasonLateCosts'].map((name) => month?.[name]?.amount);
  // Bought for 61,000; 8,000 for cattle that were not sold, and 150 for a dead one.
  expect(told(november)).toEqual(['52850.00', '480.00', '0.00']);
  // The 8,000 taken back, 17,250.50 brought; 95.25 of hauling, 480 taken back. Of 300 for 24 tons, those of 2,200 lb.
  expect(told(december).slice(0, 2)).toEqual(['-9250.50', '-384.75']);
  expect(Number(december?.['seasonLateCosts']?.amount)).toBeCloseTo(300 * (2200 / 48_000), 1);
  expect(told(january)).toEqual(['0.00', '0.00', '0.00']);
});
