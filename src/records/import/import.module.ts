import { Module } from '@nestjs/common';
import { FeedingModule } from '../feedings/feeding.module.js';
import { HayLotModule } from '../hay/lots/hay-lot.module.js';
import { HayPurchaseModule } from '../hay/purchases/hay-purchase.module.js';
import { StockModule } from '../hay/stock/stock.module.js';
import { HarvestModule } from '../hay/harvests/harvest.module.js';
import { HaySaleModule } from '../hay/sales/hay-sale.module.js';
import { HayTransferModule } from '../hay/transfers/hay-transfer.module.js';
import { StockCountModule } from '../hay/stock-counts/stock-count.module.js';
import { YardageRateModule } from '../yard/yardage-rates/yardage-rate.module.js';
import { LateCostModule } from '../hay/late-costs/late-cost.module.js';
import { Reversals } from '../kit/reversal.store.js';
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
import { HarvestImport } from './kinds/harvests.js';
import { HaySaleImport } from './kinds/hay-sales.js';
import { HayTransferImport } from './kinds/hay-transfers.js';
import { StockCountImport } from './kinds/stock-counts.js';
import { LateCostImport } from './kinds/late-costs.js';
import { YardageRateImport } from './kinds/yardage-rates.js';
import { HerdEventImport } from './kinds/herd-events.js';
import { LabTestImport } from './kinds/lab-tests.js';
import { AnimalWeightImport, GroupWeightImport } from './kinds/weights.js';
import { ImportKinds } from './import-kinds.js';
import { ImportMappingController } from './mappings/import-mapping.controller.js';
import { ImportMappingRead } from './mappings/import-mapping.read.js';
import { ImportMappingService } from './mappings/import-mapping.service.js';
import { ImportMappingStore } from './mappings/import-mapping.store.js';
import { LikelyDuplicates } from './duplicates/likely-duplicates.js';
import { StandingLikenessRead } from './duplicates/standing-likeness.read.js';
import { ImportReversalController } from './taking-back/import-reversal.controller.js';
import { ImportReversalRead } from './taking-back/import-reversal.read.js';
import { ImportReversalService } from './taking-back/import-reversal.service.js';
import { ImportReversalStore } from './taking-back/import-reversal.store.js';
import { RecordReversals } from './taking-back/record-reversals.js';
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
    StockModule,
    LateCostModule,
    HarvestModule,
    HaySaleModule,
    HayTransferModule,
    StockCountModule,
    YardageRateModule,
  ],
  controllers: [ImportController, IcarWeightController, ImportReversalController, ImportMappingController],
  providers: [
    ImportService,
    ImportRead,
    ImportStore,
    ImportKinds,
    ImportMappingService,
    ImportMappingRead,
    ImportMappingStore,
    LikelyDuplicates,
    StandingLikenessRead,
    ImportReversalService,
    ImportReversalRead,
    ImportReversalStore,
    RecordReversals,
    Reversals,
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
    HarvestImport,
    HaySaleImport,
    HayTransferImport,
    StockCountImport,
    LateCostImport,
    YardageRateImport,
  ],
  exports: [ImportService, ImportRead],
})
export class ImportModule {}
