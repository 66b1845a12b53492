import { tons } from './measures.js';
import type { Ids, Writer } from './writer.js';

export async function sales(writer: Writer, ownId: string): Promise<void> {
  const { manager } = writer.who;
  await writer.round(manager, '/hay-sales', {
    hayLotId: ownId,
    buyer: 'A neighbor',
    soldOn: '2026-08-05',
    quantity: tons('1'),
    price: { basis: 'per-mass', amount: '200', per: 'ton' },
  });
  await writer.post(
    manager,
    '/hay-sales',
    {
      hayLotId: ownId,
      buyer: 'A neighbor',
      soldOn: '2026-08-06',
      quantity: { bales: '2' },
      price: { basis: 'per-bale', amount: '70' },
    },
    { as: 'that stays', expect: 201 },
  );
  await writer.post(
    manager,
    '/hay-sales',
    {
      hayLotId: ownId,
      buyer: 'A neighbor',
      soldOn: '2026-08-06',
      quantity: tons('900'),
      price: { basis: 'lump-sum', amount: '9' },
    },
    { as: 'of too much', expect: 409 },
  );
  await writer.post(
    manager,
    '/hay-sales',
    {
      hayLotId: ownId,
      buyer: 'A neighbor',
      soldOn: '2026-07-01',
      quantity: tons('1'),
      price: { basis: 'lump-sum', amount: '9' },
    },
    { as: 'before the harvest' },
  );
  await writer.post(
    manager,
    '/hay-sales',
    {
      hayLotId: ownId,
      buyer: 'A neighbor',
      soldOn: '2027-07-01',
      quantity: tons('1'),
      price: { basis: 'lump-sum', amount: '9' },
    },
    { as: 'in days to come' },
  );
}

export async function transfers(writer: Writer, { ranchId }: Ids, ownId: string): Promise<void> {
  const { manager } = writer.who;
  await writer.round(manager, '/hay-transfers', {
    fromLotId: ownId,
    to: { name: 'Hauled to the north yard', ranchId },
    movedOn: '2026-08-10',
    quantity: tons('1'),
  });
  await writer.post(
    manager,
    '/hay-transfers',
    { fromLotId: ownId, to: { name: 'Hauled, stays', ranchId }, movedOn: '2026-08-11', quantity: tons('2') },
    { as: 'that stays', expect: 201 },
  );
  await writer.post(
    manager,
    '/hay-transfers',
    { fromLotId: ownId, to: { id: ownId }, movedOn: '2026-08-11', quantity: tons('2') },
    { as: 'to itself' },
  );
}

export async function countsAndLosses(writer: Writer, ownId: string): Promise<void> {
  const { manager } = writer.who;
  await writer.round(manager, '/stock-counts', {
    hayLotId: ownId,
    countedOn: '2026-09-01',
    counted: tons('14'),
    reason: 'Counted the stack',
  });
  await writer.post(
    manager,
    '/stock-counts',
    {
      hayLotId: ownId,
      countedOn: '2026-09-02',
      counted: { bales: '22' },
      reason: 'Counted the bales',
      treatment: 'expense',
    },
    { as: 'that stays', expect: 201 },
  );
  await writer.round(manager, '/storage-shrinks', {
    hayLotId: ownId,
    lostOn: '2026-09-10',
    how: { basis: 'weighed', quantity: tons('0.5') },
  });
  await writer.post(
    manager,
    '/storage-shrinks',
    { hayLotId: ownId, lostOn: '2026-10-10', how: { basis: 'estimated', figure: 'ut-ground' } },
    { as: 'estimated' },
  );
  await writer.round(manager, '/storage-measurements', {
    storageMethod: 'tarp',
    measuredOn: '2026-05-01',
    seasonShare: '0.08',
    how: 'Ten bales weighed in fall and in spring',
  });
}
