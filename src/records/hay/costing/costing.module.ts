import { Module } from '@nestjs/common';
import { CostingRead } from './costing.read.js';
import { CostingService } from './costing.service.js';
import { KeptBooksRead } from './kept-books.read.js';
import { CostWriting } from './cost-writing.js';
import { WrittenCostsService } from './written-costs.service.js';
import { WrittenCostsStore } from './written-costs.store.js';

@Module({
  providers: [CostingService, CostingRead, KeptBooksRead, WrittenCostsService, WrittenCostsStore, CostWriting],
  exports: [CostingService, CostWriting],
})
export class CostingModule {}
