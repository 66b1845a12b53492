import { Module } from '@nestjs/common';
import { HayLotModule } from '../hay-lots/hay-lot.module.js';
import { Reversals } from '../reversals.js';
import { StockModule } from '../stock/stock.module.js';
import { StockCountController } from './stock-count.controller.js';
import { StockCountService } from './stock-count.service.js';
import { StockCountStore } from './stock-count.store.js';

@Module({ imports: [HayLotModule, StockModule], controllers: [StockCountController], providers: [StockCountService, StockCountStore, Reversals], exports: [StockCountStore] })
export class StockCountModule {}
