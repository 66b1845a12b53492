import type { Operation } from './people.js';
import type { WithId } from './things.js';

/** Entries of the hay books in one line each, entered over HTTP. Everything here is invented. */
type Body = Record<string, unknown>;
export type Answered = WithId & Record<string, unknown> & { hayLotId: string };

const post = async (operation: Operation, path: string, body: Body): Promise<Answered> =>
  (await operation.as.manager.post<Answered>(operation.at(path), body, { expect: 201 })).body;

export const net = (value: string, unit = 'ton'): Body => ({ basis: 'net', net: { value, unit } });
export const pounds = (value: string): Body => ({ weight: { value, unit: 'lb' } });
export const tons = (value: string): Body => ({ weight: { value, unit: 'ton' } });
export const lump = (amount: string): Body => ({ basis: 'lump-sum', amount });

export function harvest(operation: Operation, ranchId: string, more: Body = {}): Promise<Answered> {
  return post(operation, '/harvests', {
    harvestedOn: '2026-07-10',
    lot: { name: 'Own meadow', ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
    baleCount: 20,
    weight: net('12'),
    cost: { basis: 'per-mass', amount: '80', per: 'ton' },
    ...more,
  });
}
export const sale = (operation: Operation, hayLotId: string, more: Body = {}): Promise<Answered> =>
  post(operation, '/hay-sales', {
    hayLotId,
    buyer: 'A neighbor',
    soldOn: '2026-12-05',
    quantity: tons('1'),
    price: { basis: 'per-mass', amount: '200', per: 'ton' },
    ...more,
  });
export const transfer = (operation: Operation, fromLotId: string, to: Body, more: Body = {}): Promise<Answered> =>
  post(operation, '/hay-transfers', { fromLotId, to, movedOn: '2026-12-01', quantity: tons('1'), ...more });
export const count = (operation: Operation, hayLotId: string, counted: Body, more: Body = {}): Promise<Answered> =>
  post(operation, '/stock-counts', {
    hayLotId,
    countedOn: '2026-12-10',
    counted,
    reason: 'Counted the stack',
    ...more,
  });
export const lateCost = (operation: Operation, receipt: Body, more: Body = {}): Promise<Answered> =>
  post(operation, '/late-costs', {
    receipt,
    billedOn: '2026-12-20',
    owed: 'freight',
    biller: 'A hauler',
    amount: '300',
    ...more,
  });
export const shrink = (operation: Operation, hayLotId: string, more: Body = {}): Promise<Answered> =>
  post(operation, '/storage-shrinks', {
    hayLotId,
    lostOn: '2026-12-15',
    how: { basis: 'weighed', quantity: tons('0.5') },
    ...more,
  });
export const quote = (operation: Operation, more: Body = {}): Promise<Answered> =>
  post(operation, '/hay-quotes', {
    vendor: 'A dealer',
    offeredOn: '2027-01-10',
    name: 'Alfalfa on offer',
    hayKind: 'alfalfa',
    baleForm: 'large-square',
    weight: net('24'),
    price: { basis: 'per-mass', amount: '190', per: 'ton' },
    freight: '480',
    ...more,
  });

/** One of everything in the hay books, so that every table of theirs holds a row. */
export async function aBookYear(
  operation: Operation,
  { ranchId, lotId, purchaseId }: { ranchId: string; lotId: string; purchaseId: string },
): Promise<void> {
  await harvest(operation, ranchId);
  await sale(operation, lotId);
  await transfer(operation, lotId, { name: 'Hauled to the north yard', ranchId });
  await count(operation, lotId, tons('19'));
  await shrink(operation, lotId);
  await lateCost(operation, { kind: 'hay-purchase', id: purchaseId });
  await post(operation, '/storage-measurements', {
    storageMethod: 'tarp',
    measuredOn: '2026-05-01',
    seasonShare: '0.08',
    how: 'Ten bales weighed in fall and in spring',
  });
  const offered = await quote(operation);
  await post(operation, `/hay-quotes/${offered.id}/purchase`, {
    purchasedOn: '2027-01-12',
    lot: { ranchId, storageMethod: 'under-roof' },
  });
  // An owner may do what an accountant may, and every operation has one.
  const { owner } = operation.as;
  const map = await owner.get(operation.at('/account-map'), { expect: 200 });
  await owner.send(
    'PUT',
    operation.at('/account-map'),
    { accounts: [{ role: 'hay-inventory', number: '1410', name: 'Hay and straw' }] },
    { ifMatch: map.headers['etag'] ?? '', expect: 200 },
  );
  const closed = await owner.post<WithId>(operation.at('/closings'), { until: '2026-12-31' }, { expect: 201 });
  await sale(operation, lotId, { soldOn: '2026-12-30', postTo: 'open-period' });
  await owner.post(operation.at(`/closings/${closed.body.id}/reopening`), { reason: 'A late ticket' }, { expect: 200 });
}
