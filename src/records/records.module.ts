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

const rooms = [ImportModule, WeatherDayModule, WaterCheckModule, OperationModule, RanchModule, HerdModule, HayLotModule, HayPurchaseModule, StockModule, LabTestModule, FeedingModule, WeighInModule, YardageRateModule];

/** What people write down. */
@Module({ imports: rooms, exports: rooms })
export class RecordsModule {}
