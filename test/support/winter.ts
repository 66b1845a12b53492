import { aDeskIn, type Desk } from './desk.js';
import { aBookYear } from './books.js';
import type { Operation } from './people.js';
import { feeding, herd, labTestBody, lot, ranch, type WithId } from './things.js';
import type { Yard } from './world.js';

export interface Winter {
  ranchId: string;
  herdId: string;
  lots: { lotId: string; purchaseId: string }[];
  feedingId: string;
  weighInId: string;
  labTestId: string;
  desk: Desk;
}

/** One of everything that can be recorded, so that every table of an operation holds a row. Invented. */
export async function aWinterIn(operation: Operation): Promise<Winter> {
  const { manager, owner } = operation.as;
  const ranchId = await ranch(operation);
  await manager.post(operation.at('/places'), { ranchId, name: 'North feed ground', kind: 'pasture' }, { expect: 201 });
  const herdId = await herd(operation, ranchId);
  const lots = [
    await lot(operation, ranchId, { name: 'Coarse meadow', freight: '240' }),
    await lot(operation, ranchId, { name: 'Alfalfa, second cutting', hayKind: 'alfalfa', tons: '12' }),
    await lot(operation, ranchId, { name: 'Bought by mistake', tons: '3' }),
  ];
  const [coarse, rich, mistake] = lots.map((one) => one);
  if (coarse === undefined || rich === undefined || mistake === undefined) throw new Error('three lots were bought');
  const feedingId = await feeding(operation, herdId, [
    [coarse.lotId, '1200'],
    [rich.lotId, '400'],
  ]);
  const labTest = await manager.post<WithId>(operation.at('/lab-tests'), labTestBody(coarse.lotId), { expect: 201 });
  await manager.post(
    operation.at('/hay-observations'),
    { hayLotId: coarse.lotId, seenOn: '2027-01-11', mold: 'none', smell: 'sweet' },
    { expect: 201 },
  );
  const weighIn = await manager.post<WithId>(
    operation.at('/weigh-ins'),
    {
      scope: 'animal',
      herdId,
      weighedOn: '2027-01-12',
      fill: 'full',
      animals: [
        { visualTag: 'A 1', weight: { value: '561', unit: 'lb' } },
        { visualTag: 'A 2', weight: { value: '573.5', unit: 'lb' } },
      ],
    },
    { expect: 201 },
  );
  await manager.post(
    operation.at(`/hay-purchases/${mistake.purchaseId}/reversal`),
    { reason: 'Entered twice' },
    { expect: 201 },
  );
  await owner.post(
    operation.at('/api-keys'),
    { name: 'Month end', scopes: ['read', 'prices'], expiresAt: '2027-12-31T00:00:00Z' },
    { expect: 201 },
  );
  await manager.post(operation.at('/yardage-rates'), { fromOn: '2026-11-01', perHeadDay: '0.35' }, { expect: 201 });
  const changes = await manager.get<{ items: WithId[] }>(operation.at(`/herds/${herdId}/head-changes`), {
    expect: 200,
  });
  for (const { id } of changes.body.items)
    await manager.post(
      operation.at(`/herds/${herdId}/head-changes/${id}/price`),
      { price: { basis: 'per-head', amount: '1400', party: 'A neighbor' } },
      { expect: 201 },
    );
  await manager.post(
    operation.at('/herd-costs'),
    { herdId, kind: 'veterinary', happenedOn: '2026-11-03', payee: 'A veterinarian', amount: '480' },
    { expect: 201 },
  );
  const plan = { herdId, month: '2026-11', line: 'hay', amount: '2000' };
  await owner.post(operation.at('/budget-entries'), plan, { expect: 201 });
  const desk = await aDeskIn(operation, { ranchId, herdId, lotIds: [coarse.lotId, rich.lotId] });
  const bought = await lot(operation, ranchId, { name: 'For the books', tons: '30' });
  await aBookYear(operation, { ranchId, ...bought });
  return { ranchId, herdId, lots, feedingId, weighInId: weighIn.body.id, labTestId: labTest.body.id, desk };
}

/** Every table of an operation, from the catalogue, so that later tables are included automatically. */
export async function operationTables(world: Pick<Yard, 'ownerPool'>): Promise<string[]> {
  const { rows } = await world.ownerPool.query<{ table_name: string }>(
    `SELECT c.relname AS table_name FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
      JOIN pg_attribute a ON a.attrelid = c.oid
      WHERE n.nspname = 'public' AND c.relkind IN ('r', 'p') AND a.attname = 'operation_id' AND NOT a.attisdropped
        ORDER BY 1`,
  );
  return rows.map((row) => row.table_name);
}
