import { Module } from '@nestjs/common';
import { CostingModule } from '../../records/hay/costing/costing.module.js';
import { RecordsModule } from '../../records/records.module.js';
import { LayerTemplateModule } from '../layer-templates/layer-template.module.js';
import { FedBeforeRead } from '../facts/fed-before.js';
import { RationsInUseRead } from '../facts/rations-in-use.read.js';
import { FedWithinRead } from '../facts/fed-within.js';
import { FedLatelyRead } from '../facts/fed-lately.js';
import { HerdFactsRead } from '../facts/herd-facts.js';
import { WaterRead } from '../facts/water.js';
import { HerdSpanRead } from './herd-span.read.js';
import { LeastCostService } from './least-cost.service.js';
import { LotFactsRead } from '../facts/lot-facts.js';
import { FedDaysRead } from './fed-days.read.js';
import { FedNowRead } from './fed-now.read.js';
import { RationCautionsRead } from './ration-cautions.read.js';
import { RationController } from './ration.controller.js';
import { RationDriftService } from './ration-drift.service.js';
import { RationEvaluationService } from './ration-evaluation.service.js';
import { RationNoteRead } from './ration-note.read.js';
import { RationRead } from './ration.read.js';
import { RationService } from './ration.service.js';
import { RationStore } from './ration.store.js';

@Module({
  imports: [RecordsModule, CostingModule, LayerTemplateModule],
  controllers: [RationController],
  providers: [
    RationService,
    RationRead,
    RationNoteRead,
    RationStore,
    RationCautionsRead,
    FedNowRead,
    FedDaysRead,
    RationEvaluationService,
    RationDriftService,
    LeastCostService,
    HerdSpanRead,
    HerdFactsRead,
    LotFactsRead,
    FedBeforeRead,
    RationsInUseRead,
    FedLatelyRead,
    FedWithinRead,
    WaterRead,
  ],
  exports: [
    RationRead,
    FedNowRead,
    FedDaysRead,
    RationService,
    RationEvaluationService,
    RationDriftService,
    HerdFactsRead,
    LotFactsRead,
    FedWithinRead,
    WaterRead,
  ],
})
export class RationModule {}
