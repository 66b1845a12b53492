import { Module } from '@nestjs/common';
import { HayLotModule } from '../hay-lots/hay-lot.module.js';
import { Reversals } from '../reversals.js';
import { StockModule } from '../stock/stock.module.js';
import { StorageShrinkController } from './storage-shrink.controller.js';
import { StorageShrinkService } from './storage-shrink.service.js';
import { StorageLossRead } from './storage-loss.read.js';

@Module({ imports: [HayLotModule, StockModule], controllers: [StorageShrinkController], providers: [StorageShrinkService, StorageLossRead, Reversals], exports: [StorageLossRead] })
export class StorageShrinkModule {}
