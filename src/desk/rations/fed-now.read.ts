import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../platform/database/types.js';
import type { HerdFacts } from '../facts/herd-facts.js';
import { type LotFacts, LotFactsRead } from '../facts/lot-facts.js';
import { contentOf, type RationContent, type RationRow } from '../facts/ration-content.js';
import { RationRead } from './ration.read.js';

/** The ration that a herd is on, as laid on the day. */
export interface FedNow {
  row: RationRow;
  content: RationContent;
  lots: ReadonlyMap<string, LotFacts>;
}

@Injectable()
export class FedNowRead {
  constructor(
    private readonly lots: LotFactsRead,
    private readonly rations: RationRead,
  ) {}

  /** The ration in use of each of these herds, all on one day, laid out; herds without one are left out. */
  async of(tenant: OperationTenant, herds: readonly Pick<HerdFacts, 'herd' | 'on'>[]): Promise<Map<string, FedNow>> {
    const on = herds[0]?.on;
    if (on === undefined) return new Map();
    const inUse = await this.rations.inUseOn(
      tenant,
      herds.map(({ herd }) => herd.id),
      on,
    );
    const layers = await this.rations.layersOf(tenant, [...inUse.values()]);
    const lotIds = [...new Set([...layers.values()].flat().map((layer) => layer.hay_lot_id))];
    const lots = await this.lots.named(
      tenant,
      lotIds.map((id) => ({ id, pointer: '#' })),
      on,
    );
    return new Map(
      [...inUse].map(([herdId, row]) => {
        const content = contentOf(row, layers.get(row.id) ?? []);
        return [herdId, { row, content, lots }];
      }),
    );
  }
}
