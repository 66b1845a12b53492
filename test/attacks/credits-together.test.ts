/*
 * Credits on one load of hay take back no more than it cost with its bills, however many they are and however they
 * come: a supplier cannot give back more than was paid (common practice, no source). Figures by hand.
 */
import { lateCost, lump, net } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { lot, purchaseBody, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Answered {
  id: string;
  errors?: { pointer?: string; code: string; allowed?: string }[];
}

let world: World;
let operation: Operation;
let ranchId: string;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  ranchId = await ranch(operation);
});
afterAll(() => world.close());

let lots = 0;
const bought = () => {
  lots += 1;
  return lot(operation, ranchId, { name: `Lot ${lots}`, tons: '10', price: lump('2000') });
};
const bill = (purchaseId: string, amount: string, billedOn = '2026-12-24') => ({
  receipt: { kind: 'hay-purchase', id: purchaseId },
  billedOn,
  owed: 'charges',
  biller: 'A neighbor',
  amount,
});
const billed = (purchaseId: string, amount: string, billedOn?: string) =>
  operation.as.manager.post<Answered>(operation.at('/late-costs'), bill(purchaseId, amount, billedOn));
const told = ({ status, body }: { status: number; body: Answered }) => [
  status,
  body.errors?.map(({ pointer, code }) => `${pointer ?? '-'} ${code}`) ?? [],
];
const refusedAt = (pointer: string) => [422, [`${pointer} credit-above-cost`]];

it('one after another they end at what the hay cost, which the refusal says', async () => {
  const { purchaseId } = await bought();
  expect((await billed(purchaseId, '-1500')).status).toBe(201);
  const second = await billed(purchaseId, '-1500');
  expect([...told(second), second.body.errors?.[0]?.allowed]).toEqual([
    ...refusedAt('#/amount'),
    'a credit of at most 500 USD',
  ]);
  expect((await billed(purchaseId, '-500')).status).toBe(201);
  expect(told(await billed(purchaseId, '-0.01'))).toEqual(refusedAt('#/amount'));
});

it('at once too', async () => {
  const { purchaseId } = await bought();
  const all = await Promise.all([1, 2, 3, 4].map(() => billed(purchaseId, '-1500')));
  expect(all.map(({ status }) => status).toSorted()).toEqual([201, 422, 422, 422]);
});

it('a bill makes room for a credit from its day on, and is not taken from under it', async () => {
  const { purchaseId } = await bought();
  const freight = await lateCost(operation, { kind: 'hay-purchase', id: purchaseId }, bill(purchaseId, '400'));
  expect((await billed(purchaseId, '-1500', '2026-12-20')).status).toBe(201);
  // Before the bill of 400 came, only 500 were left.
  expect(told(await billed(purchaseId, '-800', '2026-12-20'))).toEqual(refusedAt('#/amount'));
  const { id: credit } = (await billed(purchaseId, '-800')).body;
  const at = (id: string, what: string) => operation.at(`/late-costs/${id}/${what}`);
  const reason = { reason: 'Wrong bill' };
  const undo = (id: string) => operation.as.manager.post<Answered>(at(id, 'reversal'), reason);
  expect(told(await undo(freight.id))).toEqual([409, ['- credit-above-cost']]);
  const amend = (entry: object) =>
    operation.as.manager.post<Answered & { entry: Answered }>(at(freight.id, 'correction'), { ...reason, entry });
  expect(told(await amend(bill(purchaseId, '200')))).toEqual(refusedAt('#/entry/amount'));
  expect(told(await amend(bill((await bought()).purchaseId, '400')))).toEqual(refusedAt('#/entry/amount'));
  const less = await amend(bill(purchaseId, '300'));
  expect(less.status).toBe(201);
  expect([(await undo(credit)).status, (await undo(less.body.entry.id)).status]).toEqual([201, 201]);
});

it('a ticket is not corrected to less than its credits take back together', async () => {
  const { purchaseId, lotId } = await bought();
  expect([(await billed(purchaseId, '-900')).status, (await billed(purchaseId, '-900')).status]).toEqual([201, 201]);
  const corrected = (amount: string) =>
    operation.as.manager.post<Answered>(operation.at(`/hay-purchases/${purchaseId}/correction`), {
      reason: 'Another price',
      entry: purchaseBody(ranchId, { lot: { id: lotId }, weight: net('10'), price: lump(amount) }),
    });
  expect(told(await corrected('1500'))).toEqual(refusedAt('#/entry/price/amount'));
  expect((await corrected('1800')).status).toBe(201);
});

it('a file of bills is not taken back from under a credit, but with it', async () => {
  const { purchaseId } = await bought();
  const name = `Lot ${lots}`;
  const received = (
    await operation.as.manager.get<{ purchasedOn: string }>(operation.at(`/hay-purchases/${purchaseId}`))
  ).body.purchasedOn;
  const taken = async (...amounts: string[]): Promise<string> => {
    const rows = amounts.map((amount) => `${name},${received},Hauler of ${amount},2026-12-24,freight,${amount}`);
    const text = `lot,received_on,biller,billed_on,owed,amount_usd\n${rows.join('\n')}\n`;
    const options = { headers: { 'Content-Type': 'text/csv' }, query: { duplicates: 'enter' }, expect: 201 };
    return (await operation.as.manager.post<Answered>(operation.at('/imports/late-costs'), text, options)).body.id;
  };
  const undo = (id: string) =>
    operation.as.manager.post<Answered>(operation.at(`/imports/${id}/reversal`), { reason: 'The wrong file' });
  const file = await taken('400');
  const credit = (await billed(purchaseId, '-1500')).body.id;
  const { id: another } = (await billed(purchaseId, '-900')).body;
  expect([(await undo(file)).status, (await undo(file)).body.errors?.[0]?.code]).toEqual([409, 'credit-above-cost']);
  for (const id of [credit, another])
    await operation.as.manager.post(operation.at(`/late-costs/${id}/reversal`), { reason: 'None' }, { expect: 201 });
  expect((await undo(file)).status).toBe(201);
  const both = await taken('401', '-1900', '-500');
  expect((await undo(both)).status).toBe(201);
});
