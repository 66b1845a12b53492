import { Module } from '@nestjs/common';
import { RationModule } from '../../desk/rations/ration.module.js';
import { RecordsModule } from '../../records/records.module.js';
import { BudgetInputsRead } from './budget-inputs.read.js';
import { HayBudgetController } from './hay-budget.controller.js';
import { HayBudgetPlanStore } from './hay-budget-plan.store.js';
import { HayBudgetService } from './hay-budget.service.js';

@Module({
  imports: [RecordsModule, RationModule],
  controllers: [HayBudgetController],
  providers: [HayBudgetService, BudgetInputsRead, HayBudgetPlanStore],
  exports: [HayBudgetService],
})
export class HayBudgetModule {}
