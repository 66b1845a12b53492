import { Module } from '@nestjs/common';
import { FeedingModule } from './feedings/feeding.module.js';
import { HayLotModule } from './hay-lots/hay-lot.module.js';
import { HayPurchaseModule } from './hay-purchases/hay-purchase.module.js';
import { HerdModule } from './herds/herd.module.js';
import { ImportModule } from './import/import.module.js';
import { LabTestModule } from './lab-tests/lab-test.module.js';
import { OperationModule } from './operations/operation.module.js';
import { RanchModule } from './ranches/ranch.module.js';
import { StockModule } from './stock/stock.module.js';
import { WaterCheckModule } from './water-checks/water-check.module.js';
import { WeatherDayModule } from './weather-days/weather-day.module.js';
import { WeighInModule } from './weigh-ins/weigh-in.module.js';
import { YardageRateModule } from './yardage-rates/yardage-rate.module.js';
import { HarvestModule } from './harvests/harvest.module.js';
import { HayQuoteModule } from './quotes/hay-quote.module.js';
import { HaySaleModule } from './hay-sales/hay-sale.module.js';
import { HayTransferModule } from './transfers/hay-transfer.module.js';
import { LateCostModule } from './late-costs/late-cost.module.js';
import { StockCountModule } from './stock-counts/stock-count.module.js';
import { StorageShrinkModule } from './storage-shrink/storage-shrink.module.js';

const rooms = [
  ImportModule,
  WeatherDayModule,
  WaterCheckModule,
  OperationModule,
  RanchModule,
  HerdModule,
  HayLotModule,
  HayPurchaseModule,
  StockModule,
  LabTestModule,
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

/** What people write down. */
@Module({ imports: rooms, exports: rooms })
export class RecordsModule {}
