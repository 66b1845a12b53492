import { Module } from '@nestjs/common';
import { Reversals } from '../../kit/reversal.store.js';
import { StockModule } from '../stock/stock.module.js';
import { LateCostController } from './late-cost.controller.js';
import { LateCostRead } from './late-cost.read.js';
import { LateCostService } from './late-cost.service.js';
import { LateCostStore } from './late-cost.store.js';
import { MovedBillsService } from './moved-bills.service.js';

@Module({
  imports: [StockModule],
  controllers: [LateCostController],
  providers: [LateCostService, LateCostRead, LateCostStore, MovedBillsService, Reversals],
  exports: [LateCostService, LateCostRead, MovedBillsService],
})
export class LateCostModule {}
