import { Module } from '@nestjs/common';
import { CostingModule } from '../costing/costing.module.js';
import { MovementRead } from './movement.read.js';
import { StockRead } from './stock.read.js';
import { StockStore } from './stock.store.js';

@Module({
  imports: [CostingModule],
  providers: [StockRead, StockStore, MovementRead],
  exports: [StockRead, StockStore, MovementRead],
})
export class StockModule {}
