import { Injectable } from '@nestjs/common';
import type { ImportKind, ImportKindCode } from './import-kind.js';
import { HayTicketImport } from './kinds/hay-tickets.js';
import { LabTestImport } from './kinds/lab-tests.js';
import { FeedingImport } from './kinds/feedings.js';
import { AnimalWeightImport, GroupWeightImport } from './kinds/weights.js';
import { HeadChangeImport } from './kinds/head-changes.js';
import { HerdEventImport } from './kinds/herd-events.js';
import { HayObservationImport } from './kinds/hay-observations.js';
import { HarvestImport } from './kinds/harvests.js';
import { HaySaleImport } from './kinds/hay-sales.js';
import { HayTransferImport } from './kinds/hay-transfers.js';
import { StockCountImport } from './kinds/stock-counts.js';
import { LateCostImport } from './kinds/late-costs.js';
import { YardageRateImport } from './kinds/yardage-rates.js';

/** Every kind of file, in the order in which they are listed. */
@Injectable()
export class ImportKinds {
  readonly #kinds: ReadonlyMap<ImportKindCode, ImportKind>;

  constructor(
    hayTickets: HayTicketImport,
    labTests: LabTestImport,
    feedings: FeedingImport,
    animalWeights: AnimalWeightImport,
    groupWeights: GroupWeightImport,
    headChanges: HeadChangeImport,
    herdEvents: HerdEventImport,
    hayObservations: HayObservationImport,
    harvests: HarvestImport,
    haySales: HaySaleImport,
    hayTransfers: HayTransferImport,
    stockCounts: StockCountImport,
    lateCosts: LateCostImport,
    yardageRates: YardageRateImport,
  ) {
    const all = [
      hayTickets,
      labTests,
      feedings,
      animalWeights,
      groupWeights,
      headChanges,
      herdEvents,
      hayObservations,
      harvests,
      haySales,
      hayTransfers,
      stockCounts,
      lateCosts,
      yardageRates,
    ];
    this.#kinds = new Map(all.map((kind) => [kind.code, kind as ImportKind]));
  }

  all(): ImportKind[] {
    return [...this.#kinds.values()];
  }

  of(code: ImportKindCode): ImportKind {
    const kind = this.#kinds.get(code);
    if (kind === undefined) throw new RangeError(`No import of kind ${code}`);
    return kind;
  }
}
