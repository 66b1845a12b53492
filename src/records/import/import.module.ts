import { Module } from '@nestjs/common';
import { FeedingModule } from '../feedings/feeding.module.js';
import { HayLotModule } from '../hay/lots/hay-lot.module.js';
import { HayPurchaseModule } from '../hay/purchases/hay-purchase.module.js';
import { HerdModule } from '../cattle/herds/herd.module.js';
import { HayObservationModule } from '../hay/observations/hay-observation.module.js';
import { LabTestModule } from '../hay/lab-tests/lab-test.module.js';
import { RanchModule } from '../yard/ranches/ranch.module.js';
import { WeighInModule } from '../cattle/weigh-ins/weigh-in.module.js';
import { IcarWeightController } from './icar/icar-weight.controller.js';
import { IcarWeightRead } from './icar/icar-weight.read.js';
import { IcarWeightService } from './icar/icar-weight.service.js';
import { ImportController } from './import.controller.js';
import { ImportRead } from './import.read.js';
import { ImportStore } from './import.store.js';
import { ImportService } from './import.service.js';
import { FeedingImport } from './kinds/feedings.js';
import { HayTicketImport } from './kinds/hay-tickets.js';
import { HeadChangeImport } from './kinds/head-changes.js';
import { HayObservationImport } from './kinds/hay-observations.js';
import { HerdEventImport } from './kinds/herd-events.js';
import { LabTestImport } from './kinds/lab-tests.js';
import { AnimalWeightImport, GroupWeightImport } from './kinds/weights.js';
import { NameBooks } from './name-book.read.js';

@Module({
  imports: [
    HayLotModule,
    HayPurchaseModule,
    LabTestModule,
    HayObservationModule,
    FeedingModule,
    WeighInModule,
    HerdModule,
    RanchModule,
  ],
  controllers: [ImportController, IcarWeightController],
  providers: [
    ImportService,
    ImportRead,
    ImportStore,
    IcarWeightService,
    IcarWeightRead,
    NameBooks,
    HayTicketImport,
    LabTestImport,
    FeedingImport,
    AnimalWeightImport,
    GroupWeightImport,
    HeadChangeImport,
    HerdEventImport,
    HayObservationImport,
  ],
  exports: [ImportService, ImportRead],
})
export class ImportModule {}
