import { Module } from '@nestjs/common';
import { HayLotModule } from '../lots/hay-lot.module.js';
import { RanchModule } from '../../yard/ranches/ranch.module.js';
import { Reversals } from '../../kit/reversal.store.js';
import { StockModule } from '../stock/stock.module.js';
import { StorageShrinkController } from './storage-shrink.controller.js';
import { StorageShrinkService } from './storage-shrink.service.js';
import { StorageLossRead } from './storage-loss.read.js';
import { StorageShrinkRead } from './storage-shrink.read.js';
import { StorageShrinkStore } from './storage-shrink.store.js';

@Module({
  imports: [HayLotModule, RanchModule, StockModule],
  controllers: [StorageShrinkController],
  providers: [StorageShrinkService, StorageShrinkRead, StorageShrinkStore, StorageLossRead, Reversals],
  exports: [StorageLossRead],
})
export class StorageShrinkModule {}
