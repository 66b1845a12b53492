import { Module } from '@nestjs/common';
import { CostingModule } from '../records/costing/costing.module.js';
import { RecordsModule } from '../records/records.module.js';
import { CalculationController } from './calculations/calculation.controller.js';
import { RationReviewController } from './ration-review/ration-review.controller.js';
import { RationReviewService } from './ration-review/ration-review.service.js';
import { TrialModule } from './trials/trial.module.js';

/** The nutritionist's work. */
@Module({
  imports: [RecordsModule, CostingModule, TrialModule],
  controllers: [CalculationController, RationReviewController],
  providers: [RationReviewService],
})
export class DeskModule {}
