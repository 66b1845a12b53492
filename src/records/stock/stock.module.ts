import { Module } from '@nestjs/common';
import { StockRead } from './stock.read.js';
import { StockStore } from './stock.store.js';

@Module({ providers: [StockRead, StockStore], exports: [StockRead, StockStore] })
export class StockModule {}
