import { Module } from '@nestjs/common';
import { HayLotModule } from '../lots/hay-lot.module.js';
import { LateCostModule } from '../late-costs/late-cost.module.js';
import { RanchModule } from '../../yard/ranches/ranch.module.js';
import { Reversals } from '../../kit/reversal.store.js';
import { StockModule } from '../stock/stock.module.js';
import { HarvestController } from './harvest.controller.js';
import { HarvestRead } from './harvest.read.js';
import { HarvestService } from './harvest.service.js';
import { HarvestStore } from './harvest.store.js';

@Module({
  imports: [HayLotModule, LateCostModule, RanchModule, StockModule],
  controllers: [HarvestController],
  providers: [HarvestService, HarvestRead, HarvestStore, Reversals],
  exports: [HarvestService],
})
export class HarvestModule {}
