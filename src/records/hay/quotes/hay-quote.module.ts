import { Module } from '@nestjs/common';
import { HayPurchaseModule } from '../purchases/hay-purchase.module.js';
import { Reversals } from '../../kit/reversal.store.js';
import { HayQuoteController } from './hay-quote.controller.js';
import { HayQuoteService } from './hay-quote.service.js';
import { HayQuoteRead } from './hay-quote.read.js';
import { HayQuoteStore } from './hay-quote.store.js';

@Module({
  imports: [HayPurchaseModule],
  controllers: [HayQuoteController],
  providers: [HayQuoteService, HayQuoteRead, HayQuoteStore, Reversals],
  exports: [HayQuoteRead],
})
export class HayQuoteModule {}
