import { Module } from '@nestjs/common';
import { Reversals } from '../reversals.js';
import { StockModule } from '../stock/stock.module.js';
import { LateCostController } from './late-cost.controller.js';
import { LateCostService } from './late-cost.service.js';

@Module({ imports: [StockModule], controllers: [LateCostController], providers: [LateCostService, Reversals], exports: [LateCostService] })
export class LateCostModule {}
