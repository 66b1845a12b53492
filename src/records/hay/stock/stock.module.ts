import { Module } from '@nestjs/common';
import { CostingModule } from '../costing/costing.module.js';
import { MovementRead } from './movement.read.js';
import { HeldCountsRead } from './held-counts.read.js';
import { StockRead } from './stock.read.js';
import { StockStore } from './stock.store.js';

@Module({
  imports: [CostingModule],
  providers: [StockRead, StockStore, MovementRead, HeldCountsRead],
  exports: [StockRead, StockStore, MovementRead, HeldCountsRead],
})
export class StockModule {}
