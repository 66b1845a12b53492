import { Module } from '@nestjs/common';
import { HayLotModule } from '../lots/hay-lot.module.js';
import { RanchModule } from '../../yard/ranches/ranch.module.js';
import { Reversals } from '../../kit/reversal.store.js';
import { StockModule } from '../stock/stock.module.js';
import { StockCountController } from './stock-count.controller.js';
import { StockCountRead } from './stock-count.read.js';
import { StockCountService } from './stock-count.service.js';
import { StockCountStore } from './stock-count.store.js';

@Module({
  imports: [HayLotModule, RanchModule, StockModule],
  controllers: [StockCountController],
  providers: [StockCountService, StockCountRead, StockCountStore, Reversals],
  exports: [StockCountService, StockCountRead, StockCountStore],
})
export class StockCountModule {}
