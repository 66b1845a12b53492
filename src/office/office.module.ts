import { Module } from '@nestjs/common';
import { RecordsModule } from '../records/records.module.js';
import { CostOfGainController } from './cost-of-gain/cost-of-gain.controller.js';
import { CostOfGainService } from './cost-of-gain/cost-of-gain.service.js';
import { CostingModule } from '../records/costing/costing.module.js';
import { HayBudgetModule } from './hay-budget/hay-budget.module.js';
import { HayPositionController } from './hay-position/hay-position.controller.js';
import { HayPositionService } from './hay-position/hay-position.service.js';
import { SeasonCostController } from './season-cost/season-cost.controller.js';
import { SeasonCostService } from './season-cost/season-cost.service.js';
import { YardageRead } from './yardage.read.js';

/** The accountant's work. */
@Module({
  imports: [RecordsModule, HayBudgetModule, CostingModule],
  controllers: [SeasonCostController, CostOfGainController, HayPositionController],
  providers: [SeasonCostService, CostOfGainService, HayPositionService, YardageRead],
})
export class OfficeModule {}
