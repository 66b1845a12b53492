import { Module } from '@nestjs/common';
import { Reversals } from '../../kit/reversal.store.js';
import { HerdModule } from '../herds/herd.module.js';
import { HerdCostController } from './herd-cost.controller.js';
import { HerdCostRead } from './herd-cost.read.js';
import { HerdCostService } from './herd-cost.service.js';
import { HerdCostStore } from './herd-cost.store.js';

@Module({
  imports: [HerdModule],
  controllers: [HerdCostController],
  providers: [HerdCostService, HerdCostRead, HerdCostStore, Reversals],
  exports: [HerdCostRead, HerdCostService],
})
export class HerdCostModule {}
