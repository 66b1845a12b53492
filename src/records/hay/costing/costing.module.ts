import { Module } from '@nestjs/common';
import { CostingRead } from './costing.read.js';
import { CostingService } from './costing.service.js';
import { WrittenCostsService } from './written-costs.service.js';
import { WrittenCostsStore } from './written-costs.store.js';

@Module({
  providers: [CostingService, CostingRead, WrittenCostsService, WrittenCostsStore],
  exports: [CostingService, WrittenCostsService],
})
export class CostingModule {}
