import { purchaseBody } from '../../support/things.js';
import { lb, net } from './measures.js';
import type { Ids, Writer } from './writer.js';

/** Hay bought by the ton and by the bale. Answers the lot and the purchase that stay. */
export async function purchases(writer: Writer, { ranchId }: Ids): Promise<{ lotId: string; purchaseId: string }> {
  const { manager } = writer.who;
  const body = purchaseBody(ranchId, {
    vendor: 'Two Forks Meadows (invented)',
    purchasedOn: '2026-04-01',
    baleCount: 24,
    freight: '350.00',
    moisturePercent: '14.5',
    lot: { name: 'Spring meadow rounds', ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
    weight: { basis: 'weighed-bales', meanBaleWeight: lb('1150'), balesWeighed: 5, standardDeviation: lb('60') },
    price: { basis: 'per-mass', amount: '120.00', per: 'ton' },
  });
  await writer.round(manager, '/hay-purchases', body);
  const bought = await writer.post(manager, '/hay-purchases', body, { as: 'that stays', expect: 201 });
  const lotId = String(bought.body['hayLotId']);
  await writer.post(
    manager,
    '/hay-purchases',
    purchaseBody(ranchId, {
      purchasedOn: '2026-04-02',
      lot: {
        name: 'By the bale',
        ranchId,
        hayKind: 'oat-hay',
        baleForm: 'large-square',
        storageMethod: 'under-roof',
      },
      baleCount: 10,
      price: { basis: 'per-bale', amount: '55' },
      weight: { basis: 'scale-ticket', gross: lb('40000'), tare: lb('28000') },
      moisturePercent: '22',
    }),
    { as: 'by the bale, over the scale', expect: 201 },
  );
  await writer.change(manager, `/hay-lots/${lotId}`, { name: 'Spring meadow rounds, west stack' });
  return { lotId, purchaseId: bought.id };
}

/** Hay of one's own. Answers the lot that stays. */
export async function harvests(writer: Writer, { ranchId }: Ids): Promise<string> {
  const { manager } = writer.who;
  await writer.round(manager, '/harvests', {
    harvestedOn: '2026-07-10',
    lot: { name: 'Own meadow', ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
    baleCount: 20,
    weight: net('12'),
    cost: { basis: 'per-mass', amount: '80', per: 'ton' },
  });
  const cut = await writer.post(
    manager,
    '/harvests',
    {
      harvestedOn: '2026-07-12',
      lot: { name: 'Own meadow, second stack', ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
      baleCount: 30,
      weight: net('18'),
      cost: { basis: 'lump-sum', amount: '1500' },
    },
    { as: 'that stays', expect: 201 },
  );
  const ownId = String(cut.body['hayLotId']);
  return ownId;
}
