import { Module } from '@nestjs/common';
import { CostingModule } from '../records/hay/costing/costing.module.js';
import { RecordsModule } from '../records/records.module.js';
import { JudgedFeedingModule } from './feedings/feeding.module.js';
import { FeedSheetModule } from './feed-sheets/feed-sheet.module.js';
import { HerdRequirementModule } from './requirements/herd-requirement.module.js';
import { LayerTemplateModule } from './layer-templates/layer-template.module.js';
import { LotEntryModule } from './lot-entries/lot-entry.module.js';
import { CalculationController } from './calculations/calculation.controller.js';
import { PortfolioModule } from './portfolio/portfolio.module.js';
import { RationModule } from './rations/ration.module.js';
import { RationReviewController } from './ration-review/ration-review.controller.js';
import { RationReviewService } from './ration-review/ration-review.service.js';
import { SeasonPlanModule } from './season-plan/season-plan.module.js';
import { WhatIfModule } from './what-if/what-if.module.js';
import { TrialModule } from './trials/trial.module.js';

/** The nutritionist's work. */
@Module({
  imports: [
    RecordsModule,
    CostingModule,
    RationModule,
    FeedSheetModule,
    JudgedFeedingModule,
    PortfolioModule,
    LayerTemplateModule,
    LotEntryModule,
    HerdRequirementModule,
    TrialModule,
    WhatIfModule,
    SeasonPlanModule,
  ],
  controllers: [CalculationController, RationReviewController],
  providers: [RationReviewService],
  exports: [RationReviewService],
})
export class DeskModule {}
