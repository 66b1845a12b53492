import { Injectable } from '@nestjs/common';
import type { RaisedCaution } from '../../core/cautions/caution.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { FeedingRead, type FeedingRow } from '../../records/feedings/feeding.read.js';
import { HerdFactsRead } from '../facts/herd-facts.js';
import { LotFactsRead } from '../facts/lot-facts.js';
import { presentRationOf } from '../facts/present-ration.js';
import type { RationRow } from '../facts/ration-content.js';
import { judgeContent, USUAL_JUDGING } from '../judge/ration-judge.js';
import { RationRead } from '../rations/ration.read.js';

/** A feeding that stands, as far as is asked here. */
interface FedOnDay {
  feedingId: string;
  herdId: string;
  day: string;
}

/** Feedings of herds, with what is asked of all of their days once. */
interface Fed {
  rows: readonly FeedingRow[];
  layers: Awaited<ReturnType<FeedingRead['layersOf']>>;
  rations: ReadonlyMap<string, readonly RationRow[]>;
}

/**
 * What a feeding is warned of: a herd's day, all its feedings that stand together, by the judge of any ration. A
 * feeding that was reversed fed nobody.
 */
@Injectable()
export class FedCautionsRead {
  constructor(
    private readonly herds: HerdRead,
    private readonly herdFacts: HerdFactsRead,
    private readonly lots: LotFactsRead,
    private readonly feedings: FeedingRead,
    private readonly rations: RationRead,
  ) {}

  /** By feeding, worst first; none for what cannot be laid out. */
  async of(tenant: OperationTenant, fed: readonly FedOnDay[]): Promise<Map<string, readonly RaisedCaution[]>> {
    const days = [...new Set(fed.map((one) => one.day))].sort();
    const [from, until] = [days[0], days.at(-1)];
    if (from === undefined || until === undefined) return new Map();
    const herdIds = [...new Set(fed.map((one) => one.herdId))];
    const rows = await this.feedings.between(tenant, { herdIds, from, until: addDays(until, 1) });
    const ofThem = rows.filter((row) => fed.some((one) => one.herdId === row.herd_id && one.day === row.happened_on));
    const known: Fed = {
      rows: ofThem,
      layers: await this.feedings.layersOf(
        tenant,
        ofThem.map((row) => row.id),
      ),
      rations: await this.rations.inUseBetween(tenant, herdIds, from, until),
    };
    const cautions = new Map<string, readonly RaisedCaution[]>();
    for (const day of days) {
      const byHerd = await this.#ofDay(tenant, known, day);
      for (const one of fed.filter((each) => each.day === day))
        cautions.set(one.feedingId, byHerd.get(one.herdId) ?? []);
    }
    return cautions;
  }

  async #ofDay(
    tenant: OperationTenant,
    { rows, layers, rations }: Fed,
    day: string,
  ): Promise<Map<string, readonly RaisedCaution[]>> {
    const ofDay = rows.filter((row) => row.happened_on === day);
    const herds = (await this.herds.all(tenant)).filter((herd) => ofDay.some((row) => row.herd_id === herd.id));
    const facts = await this.herdFacts.of(tenant, herds, day);
    const lots = await this.lots.across(
      tenant,
      [{ id: tenant.operationId, time_zone: tenant.operation.timeZone }],
      [...new Set(ofDay.flatMap((row) => layers.get(row.id)?.map((layer) => layer.hay_lot_id) ?? []))],
      day,
    );
    return new Map(
      facts.map((herd) => {
        const content = presentRationOf({ feedings: ofDay.filter((row) => row.herd_id === herd.herd.id), layers });
        if (content === null) return [herd.herd.id, []] as const;
        const inUse = rations
          .get(herd.herd.id)
          ?.find((one) => (one.in_use_from ?? '') <= day && (one.in_use_until ?? '9999') > day);
        const wasted = inUse?.wasted_percent ?? null;
        const { judged } = judgeContent(herd, content, lots, {
          ...USUAL_JUDGING,
          statedWastedShare: wasted === null ? null : Number(wasted) / 100,
          showCost: false,
          fedAtPresent: true,
        });
        return [herd.herd.id, judged.cautions] as const;
      }),
    );
  }
}
