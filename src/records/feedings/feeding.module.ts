import { Module } from '@nestjs/common';
import { CostingModule } from '../hay/costing/costing.module.js';
import { HayLotModule } from '../hay/lots/hay-lot.module.js';
import { HerdStateModule } from '../cattle/standing/herd-state.module.js';
import { HerdModule } from '../cattle/herds/herd.module.js';
import { RanchModule } from '../yard/ranches/ranch.module.js';
import { Reversals } from '../kit/reversal.store.js';
import { StockCountModule } from '../hay/stock-counts/stock-count.module.js';
import { StockModule } from '../hay/stock/stock.module.js';
import { FeedingService } from './feeding.service.js';
import { FeedingRead } from './feeding.read.js';
import { FeedingStore } from './feeding.store.js';

@Module({
  imports: [CostingModule, HerdModule, HerdStateModule, HayLotModule, RanchModule, StockModule, StockCountModule],
  providers: [FeedingService, FeedingRead, FeedingStore, Reversals],
  exports: [FeedingService, FeedingRead],
})
export class FeedingModule {}
