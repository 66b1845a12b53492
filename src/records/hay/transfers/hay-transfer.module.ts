import { Module } from '@nestjs/common';
import { HayLotModule } from '../lots/hay-lot.module.js';
import { RanchModule } from '../../yard/ranches/ranch.module.js';
import { Reversals } from '../../kit/reversal.store.js';
import { StockCountModule } from '../stock-counts/stock-count.module.js';
import { StockModule } from '../stock/stock.module.js';
import { HayTransferController } from './hay-transfer.controller.js';
import { HayTransferRead } from './hay-transfer.read.js';
import { HayTransferService } from './hay-transfer.service.js';
import { HayTransferStore } from './hay-transfer.store.js';

@Module({
  imports: [HayLotModule, RanchModule, StockModule, StockCountModule],
  controllers: [HayTransferController],
  providers: [HayTransferService, HayTransferRead, HayTransferStore, Reversals],
  exports: [HayTransferService],
})
export class HayTransferModule {}
