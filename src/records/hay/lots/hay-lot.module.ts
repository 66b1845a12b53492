import { Module } from '@nestjs/common';
import { LabTestRead } from '../lab-tests/lab-test.read.js';
import { RanchModule } from '../../yard/ranches/ranch.module.js';
import { StockModule } from '../stock/stock.module.js';
import { HayLotController } from './hay-lot.controller.js';
import { HayLotRead } from './hay-lot.read.js';
import { HayLotStore } from './hay-lot.store.js';
import { HayLotService } from './hay-lot.service.js';

@Module({
  imports: [RanchModule, StockModule],
  controllers: [HayLotController],
  providers: [HayLotService, HayLotRead, HayLotStore, LabTestRead],
  exports: [HayLotService, HayLotRead, HayLotStore, LabTestRead],
})
export class HayLotModule {}
