import { Module } from '@nestjs/common';
import { HayLotModule } from '../hay-lots/hay-lot.module.js';
import { Reversals } from '../reversals.js';
import { StockCountModule } from '../stock-counts/stock-count.module.js';
import { StockModule } from '../stock/stock.module.js';
import { HayTransferController } from './hay-transfer.controller.js';
import { HayTransferService } from './hay-transfer.service.js';

@Module({ imports: [HayLotModule, StockModule, StockCountModule], controllers: [HayTransferController], providers: [HayTransferService, Reversals], exports: [HayTransferService] })
export class HayTransferModule {}
