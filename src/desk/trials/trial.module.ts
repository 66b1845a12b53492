import { Module } from '@nestjs/common';
import { CostingModule } from '../../records/hay/costing/costing.module.js';
import { RecordsModule } from '../../records/records.module.js';
import { Reversals } from '../../records/kit/reversal.store.js';
import { RationModule } from '../rations/ration.module.js';
import { OwnWeightsRead } from './own-weights.read.js';
import { PooledTrialsService } from './pooled-trials.service.js';
import { TrialBooksRead } from './trial-books.read.js';
import { TrialController } from './trial.controller.js';
import { TrialDrawService } from './trial-draw.service.js';
import { TrialEventService } from './trial-event.service.js';
import { TrialJudgementRead } from './trial-judgement.read.js';
import { TrialJudgementService } from './trial-judgement.service.js';
import { TrialJudgementStore } from './trial-judgement.store.js';
import { TrialMoneyRead } from './trial-money.read.js';
import { TrialRead } from './trial.read.js';
import { TrialRunService } from './trial-run.service.js';
import { TrialService } from './trial.service.js';
import { TrialStore } from './trial.store.js';

/** Feeding trials: planned, drawn, run from the books, judged with an interval. */
@Module({
  imports: [RecordsModule, CostingModule, RationModule],
  controllers: [TrialController],
  providers: [
    TrialRead,
    TrialStore,
    TrialJudgementRead,
    TrialJudgementStore,
    OwnWeightsRead,
    TrialBooksRead,
    TrialMoneyRead,
    TrialService,
    TrialDrawService,
    TrialEventService,
    TrialRunService,
    TrialJudgementService,
    PooledTrialsService,
    Reversals,
  ],
  exports: [TrialService, TrialDrawService, TrialEventService, TrialRunService, TrialJudgementService],
})
export class TrialModule {}
