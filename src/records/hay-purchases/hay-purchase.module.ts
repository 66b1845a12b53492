import { Module } from '@nestjs/common';
import { HayLotModule } from '../hay-lots/hay-lot.module.js';
import { LateCostRead } from '../late-costs/late-cost.read.js';
import { Reversals } from '../reversals.js';
import { StockModule } from '../stock/stock.module.js';
import { HayPurchaseController } from './hay-purchase.controller.js';
import { HayPurchaseService } from './hay-purchase.service.js';

@Module({ imports: [HayLotModule, StockModule], controllers: [HayPurchaseController], providers: [HayPurchaseService, LateCostRead, Reversals], exports: [HayPurchaseService] })
export class HayPurchaseModule {}
