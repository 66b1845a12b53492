import { Module } from '@nestjs/common';
import { HayLotModule } from '../hay-lots/hay-lot.module.js';
import { LateCostRead } from '../late-costs/late-cost.read.js';
import { Reversals } from '../reversals.js';
import { StockModule } from '../stock/stock.module.js';
import { HarvestController } from './harvest.controller.js';
import { HarvestService } from './harvest.service.js';

@Module({ imports: [HayLotModule, StockModule], controllers: [HarvestController], providers: [HarvestService, LateCostRead, Reversals], exports: [HarvestService] })
export class HarvestModule {}
