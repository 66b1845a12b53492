import type { INestApplicationContext } from '@nestjs/common';
import { closeBooks } from '../src/office/closings/closing.schema.js';
import { ClosingService } from '../src/office/closings/closing.service.js';
import { createHayBudgetPlan } from '../src/office/hay-budget/hay-budget.schema.js';
import { HayBudgetService } from '../src/office/hay-budget/hay-budget.service.js';
import type { Asker } from '../src/platform/http/asker.js';
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
import type { ScenarioBooks } from './scenario.schema.js';

/**
 * Where the year of the hay books belongs: an operation that exists, and the ids of its things and of the people who
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
 * What a yard sees beside purchases and feedings: own hay, a haul, a sale, a loss in storage, a count, a bill that came
 * late, offers, a plan for the winter, and the old year closed. Each entry is written on its day, through the services
 * that the API uses.
 */
export async function loadBooksDemo(
  application: INestApplicationContext,
  books: ScenarioBooks,
  { operationId, recorderId, accountantId, herds, idOf }: BooksDemoPlace,
): Promise<void> {
  const get = <T>(type: new (...parts: never[]) => T): T => application.get(type, { strict: false });
  const params = { operationId };
  const told = (
    day: string,
    personId = recorderId,
  ): { asker: Asker; params: typeof params; query: undefined; expectedVersion: 0 } => ({
    asker: {
      personId,
      apiKeyId: undefined,
      moment: new Date(`${day}T23:30:00Z`),
      requestId: 'demo',
      address: 'demo',
      idempotency: undefined,
    },
    params,
    query: undefined,
    expectedVersion: 0,
  });
  const on = (day: string): Omit<ReturnType<typeof told>, 'query'> & { query: Record<string, never> } => ({
    ...told(day),
    query: {},
  });
  const { plan, harvest, transfer, measurement, shrink, sale, count, lateFreight, quotes, closing } = books;

  await get(HayBudgetService).createPlan({
    ...told(plan.on),
    body: createHayBudgetPlan.body!.parse({
      name: plan.name,
      from: plan.from,
      until: plan.until,
      herds: herds.map(({ herdId, wastePercent }) => ({
        herdId,
        waste: { basis: 'stated', percent: String(wastePercent) },
      })),
    }),
  });
  const own = await get(HarvestService).create({
    ...on(harvest.on),
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
  });
  const hayLotId = own.hayLotId;
  await get(HayTransferService).create({
    ...on(transfer.on),
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
  });
  await get(StorageShrinkService).measure({
    ...told(measurement.on),
    body: createStorageMeasurement.body!.parse({
      storageMethod: measurement.storageMethod,
      measuredOn: measurement.on,
      seasonShare: measurement.seasonShare,
      how: measurement.how,
    }),
  });
  await get(HaySaleService).create({
    ...on(sale.on),
    body: createHaySale.body!.parse({
      hayLotId,
      buyer: sale.buyer,
      soldOn: sale.on,
      quantity: { bales: sale.bales },
      price: { basis: 'per-bale', amount: sale.perBale },
    }),
  });
  await get(StorageShrinkService).create({
    ...on(shrink.on),
    body: createStorageShrink.body!.parse({
      hayLotId,
      lostOn: shrink.on,
      how: { basis: 'estimated' },
      note: shrink.note,
    }),
  });
  await get(StockCountService).create({
    ...on(count.on),
    body: createStockCount.body!.parse({
      hayLotId,
      countedOn: count.on,
      counted: { bales: count.bales },
      reason: count.reason,
    }),
  });
  await get(LateCostService).create({
    ...told(lateFreight.on),
    body: createLateCost.body!.parse({
      receipt: { kind: 'hay-purchase', id: idOf(`${lateFreight.lot} ticket`) },
      billedOn: lateFreight.on,
      owed: 'freight',
      biller: lateFreight.biller,
      amount: lateFreight.amount,
      note: lateFreight.note,
    }),
  });
  for (const { on: offeredOn, vendor, name, hayKind, baleForm, mean, bales, unit, price, per, freight } of quotes) {
    await get(HayQuoteService).create({
      ...on(offeredOn),
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
    });
  }
  await get(ClosingService).close({
    ...told(closing.on, accountantId),
    body: closeBooks.body!.parse({ until: closing.until, note: closing.note }),
  });
}
