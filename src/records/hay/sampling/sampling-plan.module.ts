import { Module } from '@nestjs/common';
import { HayLotModule } from '../lots/hay-lot.module.js';
import { HayObservationModule } from '../observations/hay-observation.module.js';
import { StockModule } from '../stock/stock.module.js';
import { SamplingPlanController } from './sampling-plan.controller.js';
import { SamplingPlanService } from './sampling-plan.service.js';

@Module({
  imports: [HayLotModule, HayObservationModule, StockModule],
  controllers: [SamplingPlanController],
  providers: [SamplingPlanService],
  exports: [SamplingPlanService],
})
export class SamplingPlanModule {}
