import { Module } from '@nestjs/common';
import { HayLotModule } from '../lots/hay-lot.module.js';
import { LateCostModule } from '../late-costs/late-cost.module.js';
import { RanchModule } from '../../yard/ranches/ranch.module.js';
import { Reversals } from '../../kit/reversal.store.js';
import { StockModule } from '../stock/stock.module.js';
import { HayPurchaseController } from './hay-purchase.controller.js';
import { HayPurchaseRead } from './hay-purchase.read.js';
import { HayPurchaseService } from './hay-purchase.service.js';
import { HayPurchaseStore } from './hay-purchase.store.js';

@Module({
  imports: [HayLotModule, LateCostModule, RanchModule, StockModule],
  controllers: [HayPurchaseController],
  providers: [HayPurchaseService, HayPurchaseRead, HayPurchaseStore, Reversals],
  exports: [HayPurchaseService],
})
export class HayPurchaseModule {}
