import type { INestApplicationContext } from '@nestjs/common';
import { closeBooks } from '../src/office/closings/closing.schema.js';
import { ClosingService } from '../src/office/closings/closing.service.js';
import { createHayBudgetPlan } from '../src/office/hay-budget/hay-budget.schema.js';
import { HayBudgetService } from '../src/office/hay-budget/hay-budget.service.js';
import type { OperationTenant } from '../src/platform/database/types.js';
import { createHarvest } from '../src/records/hay/harvests/harvest.schema.js';
import { HarvestService } from '../src/records/hay/harvests/harvest.service.js';
import { createHaySale } from '../src/records/hay/sales/hay-sale.schema.js';
import { HaySaleService } from '../src/records/hay/sales/hay-sale.service.js';
import { createLateCost } from '../src/records/hay/late-costs/late-cost.schema.js';
import { LateCostService } from '../src/records/hay/late-costs/late-cost.service.js';
import { createHayQuote } from '../src/records/hay/quotes/hay-quote.schema.js';
import { HayQuoteService } from '../src/records/hay/quotes/hay-quote.service.js';
import { createStockCount } from '../src/records/hay/stock-counts/stock-count.schema.js';
import { StockCountService } from '../src/records/hay/stock-counts/stock-count.service.js';
import {
  createStorageMeasurement,
  createStorageShrink,
} from '../src/records/hay/storage-shrink/storage-shrink.schema.js';
import { StorageShrinkService } from '../src/records/hay/storage-shrink/storage-shrink.service.js';
import { createHayTransfer } from '../src/records/hay/transfers/hay-transfer.schema.js';
import { HayTransferService } from '../src/records/hay/transfers/hay-transfer.service.js';
import { demoAsker, writeAs } from './demo-entry.js';
import type { ScenarioBooks } from './scenario.schema.js';

/**
 * Where the year of the hay books belongs: an existing operation, and the ids of its things and of the people who
 * write.
 */
export interface BooksDemoPlace {
  operationId: string;
  recorderId: string;
  accountantId: string;
  herds: readonly { herdId: string; wastePercent: number }[];
  /** The id of a thing by its key in the scenario. */
  idOf: (key: string) => string;
}

/**
 * What happens besides purchases and feedings: own hay, a transfer, a sale, a storage loss, a count, a late bill,
 * offers, a plan for the winter, and the closing of the old year. Each entry is written on its day, through the
 * services that the API uses.
 */
export async function loadBooksDemo(
  application: INestApplicationContext,
  books: ScenarioBooks,
  place: BooksDemoPlace,
): Promise<void> {
  const { operationId, recorderId, accountantId } = place;
  const writes: Writes = {
    get: (type) => application.get(type, { strict: false }),
    as: (day, work, personId = recorderId) =>
      writeAs(application, demoAsker(personId, new Date(`${day}T23:30:00Z`)), operationId, work),
    params: { operationId },
  };
  await planWinter(writes, books, place);
  const hayLotId = await harvestOwnHay(writes, books, place);
  await moveSomeAway(writes, books, place, hayLotId);
  await measureStorage(writes, books);
  await sellSome(writes, books, hayLotId);
  await loseAndCount(writes, books, hayLotId);
  await billFreightLate(writes, books, place);
  await noteOffers(writes, books);
  await closeOldYear(writes, books, accountantId);
}

/** Writes an entry of the demo through the services: on its day, by a person. */
interface Writes {
  get: <T>(type: new (...parts: never[]) => T) => T;
  as: <T>(day: string, work: (tenant: OperationTenant) => Promise<T>, personId?: string) => Promise<T>;
  params: { operationId: string };
}

async function planWinter(
  { get, as, params }: Writes,
  { plan }: ScenarioBooks,
  { herds }: BooksDemoPlace,
): Promise<void> {
  await as(plan.on, (tenant) =>
    get(HayBudgetService).createPlan(tenant, {
      params,
      body: createHayBudgetPlan.body!.parse({
        name: plan.name,
        from: plan.from,
        until: plan.until,
        herds: herds.map(({ herdId, wastePercent }) => ({
          herdId,
          waste: { basis: 'stated', percent: String(wastePercent) },
        })),
      }),
    }),
  );
}

async function harvestOwnHay(
  { get, as, params }: Writes,
  { harvest }: ScenarioBooks,
  { idOf }: BooksDemoPlace,
): Promise<string> {
  const own = await as(harvest.on, (tenant) =>
    get(HarvestService).create(tenant, {
      params,
      body: createHarvest.body!.parse({
        field: harvest.field,
        harvestedOn: harvest.on,
        baleCount: harvest.bales,
        moisturePercent: harvest.moisture,
        cost: { basis: 'per-mass', amount: harvest.cost, per: harvest.per },
        weight: { basis: 'scale-ticket', gross: harvest.gross, tare: harvest.tare },
        note: 'Weighed on the truck scale, three loads added up',
        lot: {
          name: harvest.name,
          ranchId: idOf(harvest.ranch),
          placeId: idOf(harvest.place),
          hayKind: harvest.hayKind,
          cutting: harvest.cutting,
          baleForm: harvest.baleForm,
          storageMethod: harvest.storageMethod,
          storedSince: harvest.on,
        },
      }),
      query: {},
    }),
  );
  return own.hayLotId;
}

async function moveSomeAway(
  { get, as, params }: Writes,
  { transfer }: ScenarioBooks,
  { idOf }: BooksDemoPlace,
  hayLotId: string,
): Promise<void> {
  await as(transfer.on, (tenant) =>
    get(HayTransferService).create(tenant, {
      params,
      body: createHayTransfer.body!.parse({
        fromLotId: hayLotId,
        movedOn: transfer.on,
        quantity: { bales: transfer.bales },
        to: {
          name: transfer.name,
          ranchId: idOf(transfer.ranch),
          placeId: idOf(transfer.place),
          storageMethod: transfer.storageMethod,
        },
      }),
      query: {},
    }),
  );
}

async function measureStorage({ get, as, params }: Writes, { measurement }: ScenarioBooks): Promise<void> {
  await as(measurement.on, (tenant) =>
    get(StorageShrinkService).measure(tenant, {
      params,
      body: createStorageMeasurement.body!.parse({
        storageMethod: measurement.storageMethod,
        measuredOn: measurement.on,
        seasonShare: measurement.seasonShare,
        how: measurement.how,
      }),
    }),
  );
}

async function sellSome({ get, as, params }: Writes, { sale }: ScenarioBooks, hayLotId: string): Promise<void> {
  await as(sale.on, (tenant) =>
    get(HaySaleService).create(tenant, {
      params,
      body: createHaySale.body!.parse({
        hayLotId,
        buyer: sale.buyer,
        soldOn: sale.on,
        quantity: { bales: sale.bales },
        price: { basis: 'per-bale', amount: sale.perBale },
      }),
      query: {},
    }),
  );
}

async function loseAndCount(
  { get, as, params }: Writes,
  { shrink, count }: ScenarioBooks,
  hayLotId: string,
): Promise<void> {
  await as(shrink.on, (tenant) =>
    get(StorageShrinkService).create(tenant, {
      params,
      body: createStorageShrink.body!.parse({
        hayLotId,
        lostOn: shrink.on,
        how: { basis: 'estimated' },
        note: shrink.note,
      }),
      query: {},
    }),
  );
  await as(count.on, (tenant) =>
    get(StockCountService).create(tenant, {
      params,
      body: createStockCount.body!.parse({
        hayLotId,
        countedOn: count.on,
        counted: { bales: count.bales },
        reason: count.reason,
      }),
      query: {},
    }),
  );
}

async function billFreightLate(
  { get, as, params }: Writes,
  { lateFreight }: ScenarioBooks,
  { idOf }: BooksDemoPlace,
): Promise<void> {
  await as(lateFreight.on, (tenant) =>
    get(LateCostService).create(tenant, {
      params,
      query: {},
      body: createLateCost.body!.parse({
        receipt: { kind: 'hay-purchase', id: idOf(`${lateFreight.lot} ticket`) },
        billedOn: lateFreight.on,
        owed: 'freight',
        biller: lateFreight.biller,
        amount: lateFreight.amount,
        note: lateFreight.note,
      }),
    }),
  );
}

async function noteOffers({ get, as, params }: Writes, { quotes }: ScenarioBooks): Promise<void> {
  for (const { on: offeredOn, vendor, name, hayKind, baleForm, mean, bales, unit, price, per, freight } of quotes) {
    await as(offeredOn, (tenant) =>
      get(HayQuoteService).create(tenant, {
        params,
        body: createHayQuote.body!.parse({
          vendor,
          offeredOn,
          name,
          hayKind,
          baleForm,
          baleCount: bales,
          weight: { basis: 'weighed-bales', meanBaleWeight: { value: mean, unit }, balesWeighed: 2 },
          price: { basis: 'per-mass', amount: price, per },
          freight,
        }),
        query: {},
      }),
    );
  }
}

async function closeOldYear(
  { get, as, params }: Writes,
  { closing }: ScenarioBooks,
  accountantId: string,
): Promise<void> {
  await as(
    closing.on,
    (tenant) =>
      get(ClosingService).close(tenant, {
        params,
        body: closeBooks.body!.parse({ until: closing.until, note: closing.note }),
      }),
    accountantId,
  );
}
