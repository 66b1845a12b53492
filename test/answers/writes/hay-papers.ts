import { labTestBody } from '../../support/things.js';
import { net } from './measures.js';
import type { Ids, Writer } from './writer.js';

export async function lateCosts(writer: Writer, purchaseId: string): Promise<void> {
  const { manager } = writer.who;
  await writer.round(manager, '/late-costs', {
    receipt: { kind: 'hay-purchase', id: purchaseId },
    billedOn: '2026-05-20',
    owed: 'freight',
    biller: 'A hauler',
    amount: '300',
  });
  await writer.post(
    manager,
    '/late-costs',
    {
      receipt: { kind: 'hay-purchase', id: purchaseId },
      billedOn: '2026-05-21',
      owed: 'charges',
      biller: 'The scale',
      amount: '12.50',
    },
    { as: 'that stays', expect: 201 },
  );
}

export async function quotes(writer: Writer, { ranchId }: Ids): Promise<void> {
  const { manager } = writer.who;
  const quote = {
    vendor: 'A dealer',
    offeredOn: '2026-11-10',
    name: 'Alfalfa on offer',
    hayKind: 'alfalfa',
    baleForm: 'large-square',
    weight: net('24'),
    price: { basis: 'per-mass', amount: '190', per: 'ton' },
    freight: '480',
  };
  await writer.round(manager, '/hay-quotes', quote);
  const offered = await writer.post(
    manager,
    '/hay-quotes',
    { ...quote, name: 'Alfalfa, taken' },
    { as: 'that is taken', expect: 201 },
  );
  await writer.post(
    manager,
    '/hay-quotes',
    { ...quote, name: 'Alfalfa, open' },
    { as: 'that stays open', expect: 201 },
  );
  await writer.post(
    manager,
    `/hay-quotes/${offered.id}/purchase`,
    { purchasedOn: '2026-11-12', lot: { ranchId, storageMethod: 'under-roof' } },
    { expect: 201 },
  );
  await writer.post(
    manager,
    `/hay-quotes/${offered.id}/purchase`,
    { purchasedOn: '2026-11-12', lot: { ranchId, storageMethod: 'under-roof' } },
    { as: 'twice' },
  );
}

export async function labTests(writer: Writer, lotId: string): Promise<void> {
  const { manager } = writer.who;
  await writer.round(manager, '/lab-tests', labTestBody(lotId, { sampledOn: '2026-04-01', cores: 20 }));
  await writer.post(
    manager,
    '/lab-tests',
    labTestBody(lotId, {
      sampledOn: '2026-04-02',
      analysis: { dryMatter: { value: '88', unit: '%' }, crudeProtein: { value: '88', unit: '%' } },
    }),
    { as: 'that cannot be true' },
  );
  await writer.post(
    manager,
    '/lab-tests',
    labTestBody(lotId, {
      sampledOn: '2026-04-02',
      cores: 3,
      analysis: {
        dryMatter: { value: '71', unit: '%' },
        crudeProtein: { value: '24', unit: '%' },
        nitrate: { value: '2400', unit: 'ppm-NO3-N' },
      },
    }),
    { as: 'that is unlikely' },
  );
  await writer.post(manager, '/lab-tests', labTestBody(lotId, { sampledOn: '2026-04-03' }), {
    as: 'that stays',
    expect: 201,
  });
}
