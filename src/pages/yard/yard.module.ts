import { Module } from '@nestjs/common';
import { AccessModule } from '../../access/access.module.js';
import { DeskModule } from '../../desk/desk.module.js';
import { FeedSheetModule } from '../../desk/feed-sheets/feed-sheet.module.js';
import { PortfolioModule } from '../../desk/portfolio/portfolio.module.js';
import { RationModule } from '../../desk/rations/ration.module.js';
import { TrialModule } from '../../desk/trials/trial.module.js';
import { HayBudgetModule } from '../../office/hay-budget/hay-budget.module.js';
import { OfficeModule } from '../../office/office.module.js';
import { HayLotModule } from '../../records/hay/lots/hay-lot.module.js';
import { HayObservationModule } from '../../records/hay/observations/hay-observation.module.js';
import { SamplingPlanModule } from '../../records/hay/sampling/sampling-plan.module.js';
import { RecordsModule } from '../../records/records.module.js';
import { YardController } from './yard.controller.js';
import { YardRead } from './yard.read.js';
import { YardService } from './yard.service.js';

/** What people open with a browser: sign-in, their operations, sheets, reports. */
@Module({
  imports: [
    AccessModule,
    DeskModule,
    FeedSheetModule,
    PortfolioModule,
    RationModule,
    TrialModule,
    OfficeModule,
    RecordsModule,
    HayBudgetModule,
    HayLotModule,
    HayObservationModule,
    SamplingPlanModule,
  ],
  controllers: [YardController],
  providers: [YardRead, YardService],
  exports: [YardRead],
})
export class YardModule {}
