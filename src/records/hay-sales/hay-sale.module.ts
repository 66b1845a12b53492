import { Module } from '@nestjs/common';
import { HayLotModule } from '../hay-lots/hay-lot.module.js';
import { Reversals } from '../reversals.js';
import { StockCountModule } from '../stock-counts/stock-count.module.js';
import { StockModule } from '../stock/stock.module.js';
import { HaySaleController } from './hay-sale.controller.js';
import { HaySaleService } from './hay-sale.service.js';

@Module({ imports: [HayLotModule, StockModule, StockCountModule], controllers: [HaySaleController], providers: [HaySaleService, Reversals], exports: [HaySaleService] })
export class HaySaleModule {}
