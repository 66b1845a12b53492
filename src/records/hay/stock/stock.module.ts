import { Module } from '@nestjs/common';
import { MovementRead } from './movement.read.js';
import { StockRead } from './stock.read.js';
import { StockStore } from './stock.store.js';

@Module({ providers: [StockRead, StockStore, MovementRead], exports: [StockRead, StockStore, MovementRead] })
export class StockModule {}
