import { Injectable } from '@nestjs/common';
import type { RaisedCaution } from '../../core/cautions/caution.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import type { HerdRow } from '../../records/cattle/herds/herd.read.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { contentOf, type LaidRation, type RationRow } from '../facts/ration-content.js';
import { judgeRation, USUAL_JUDGING } from '../judge/ration-judge.js';
import { type FedNow, FedNowRead } from './fed-now.read.js';

/** Today's cautions of a stored ration, worst first, as in its evaluation. */
type CautionsOf = (row: RationRow, laid: LaidRation) => readonly RaisedCaution[];

@Injectable()
export class RationCautionsRead {
  constructor(
    private readonly herdFacts: HerdFactsRead,
    private readonly fedNow: FedNowRead,
  ) {}

  /** For the rations of these herds, each on its own day. */
  async of(tenant: OperationTenant, herds: readonly { herd: HerdRow; on: string }[]): Promise<CautionsOf> {
    const known = new Map<string, { facts: HerdFacts; now: FedNow | undefined }>();
    for (const on of new Set(herds.map((one) => one.on))) {
      const thatDay = herds.filter((one) => one.on === on);
      const [facts, now] = await together(
        this.herdFacts.of(
          tenant,
          thatDay.map(({ herd }) => herd),
          on,
        ),
        this.fedNow.of(tenant, thatDay),
      );
      for (const one of facts) known.set(one.herd.id, { facts: one, now: now.get(one.herd.id) });
    }
    return (row, laid) => {
      const of = known.get(row.herd_id);
      if (of === undefined) return [];
      const fedAtPresent = of.now?.row.id === row.id;
      return judgeRation(of.facts, laid, {
        ...USUAL_JUDGING,
        statedWastedShare: contentOf(row, []).statedWastedShare,
        showCost: false,
        fedAtPresent,
      }).cautions;
    };
  }
}
