import { Module } from '@nestjs/common';
import { ConfirmedEntryModule } from './confirmed-entries/confirmed-entry.module.js';
import { FeedingModule } from './feedings/feeding.module.js';
import { HayLotModule } from './hay/lots/hay-lot.module.js';
import { HayPurchaseModule } from './hay/purchases/hay-purchase.module.js';
import { HerdCostModule } from './cattle/herd-costs/herd-cost.module.js';
import { HerdModule } from './cattle/herds/herd.module.js';
import { HerdStateModule } from './cattle/standing/herd-state.module.js';
import { ImportModule } from './import/import.module.js';
import { HayObservationModule } from './hay/observations/hay-observation.module.js';
import { LabTestModule } from './hay/lab-tests/lab-test.module.js';
import { OperationModule } from './yard/operations/operation.module.js';
import { RanchModule } from './yard/ranches/ranch.module.js';
import { StockModule } from './hay/stock/stock.module.js';
import { WaterCheckModule } from './yard/water-checks/water-check.module.js';
import { WeatherDayModule } from './yard/weather-days/weather-day.module.js';
import { WeighInModule } from './cattle/weigh-ins/weigh-in.module.js';
import { YardageRateModule } from './yard/yardage-rates/yardage-rate.module.js';
import { HarvestModule } from './hay/harvests/harvest.module.js';
import { HayQuoteModule } from './hay/quotes/hay-quote.module.js';
import { HaySaleModule } from './hay/sales/hay-sale.module.js';
import { HayTransferModule } from './hay/transfers/hay-transfer.module.js';
import { LateCostModule } from './hay/late-costs/late-cost.module.js';
import { SamplingPlanModule } from './hay/sampling/sampling-plan.module.js';
import { StockCountModule } from './hay/stock-counts/stock-count.module.js';
import { StorageShrinkModule } from './hay/storage-shrink/storage-shrink.module.js';

const rooms = [
  ImportModule,
  ConfirmedEntryModule,
  WeatherDayModule,
  WaterCheckModule,
  OperationModule,
  RanchModule,
  HerdModule,
  HerdStateModule,
  HerdCostModule,
  HayLotModule,
  HayPurchaseModule,
  StockModule,
  LabTestModule,
  HayObservationModule,
  SamplingPlanModule,
  FeedingModule,
  WeighInModule,
  YardageRateModule,
  HarvestModule,
  HaySaleModule,
  HayTransferModule,
  StockCountModule,
  StorageShrinkModule,
  LateCostModule,
  HayQuoteModule,
];

/** The records that people enter. */
@Module({ imports: rooms, exports: rooms })
export class RecordsModule {}
