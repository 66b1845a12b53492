import { Module } from '@nestjs/common';
import { HayLotModule } from '../lots/hay-lot.module.js';
import { RanchModule } from '../../yard/ranches/ranch.module.js';
import { Reversals } from '../../kit/reversal.store.js';
import { StockCountModule } from '../stock-counts/stock-count.module.js';
import { StockModule } from '../stock/stock.module.js';
import { HaySaleController } from './hay-sale.controller.js';
import { HaySaleRead } from './hay-sale.read.js';
import { HaySaleService } from './hay-sale.service.js';
import { HaySaleStore } from './hay-sale.store.js';

@Module({
  imports: [HayLotModule, RanchModule, StockModule, StockCountModule],
  controllers: [HaySaleController],
  providers: [HaySaleService, HaySaleRead, HaySaleStore, Reversals],
  exports: [HaySaleService],
})
export class HaySaleModule {}
