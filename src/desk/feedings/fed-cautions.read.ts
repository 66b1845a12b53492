import { Injectable } from '@nestjs/common';
import { type RaisedCaution, worstFirst } from '../../core/cautions/caution.js';
import { fewHeadFedCautions } from '../../core/cautions/few-head-fed.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { FeedingRead, type FeedingRow, type LayerRow } from '../../records/feedings/feeding.read.js';
import { HerdFactsRead } from '../facts/herd-facts.js';
import { type LotFacts, LotFactsRead } from '../facts/lot-facts.js';
import { rationsByHead } from '../facts/present-ration.js';
import { judgeContent, USUAL_JUDGING } from '../judge/ration-judge.js';
import { RationRead } from '../rations/ration.read.js';

interface FedOn {
  feedings: FeedingRow[];
  layers: Map<string, LayerRow[]>;
  lots: Map<string, LotFacts>;
}

/**
 * Cautions of a feeding: all feedings of the herd's day, together by the head that got
 * them, judged like any ration. Reversed feedings do not
 * count.
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

  /** What the herd was fed on a day, and what is known about the lots. */
  async #fedOn(tenant: OperationTenant, herdId: string, day: string): Promise<FedOn> {
    const span = { herdIds: [herdId], from: day, until: addDays(day, 1) };
    const [feedings, laid] = await together(
      this.feedings.between(tenant, span),
      this.feedings.layersBetween(tenant, span),
    );
    const layers = new Map(feedings.map(({ id }) => [id, laid.get(id) ?? []]));
    const lots = await this.lots.across(
      tenant,
      [{ id: tenant.operationId, time_zone: tenant.operation.timeZone }],
      [...new Set([...layers.values()].flat().map((layer) => layer.hay_lot_id))],
      day,
    );
    return { feedings, layers, lots };
  }

  /** Worst first; empty if all of that day's feedings were reversed, or they cannot be laid out. */
  async ofHerd(tenant: OperationTenant, herdId: string, day: string): Promise<readonly RaisedCaution[]> {
    return this.of(tenant, await this.herds.one(tenant, herdId), day);
  }

  /** The same of a herd that was read before. */
  async of(tenant: OperationTenant, herd: HerdRow, day: string): Promise<readonly RaisedCaution[]> {
    const [{ feedings, layers, lots }, [facts], inUse] = await together(
      this.#fedOn(tenant, herd.id, day),
      this.herdFacts.of(tenant, [herd], day),
      this.rations.inUseOn(tenant, [herd.id], day),
    );
    const contents = rationsByHead({ feedings, layers });
    if (contents.length === 0 || facts === undefined) return [];
    const wasted = inUse.get(herd.id)?.wasted_percent ?? null;
    const asked = {
      ...USUAL_JUDGING,
      statedWastedShare: wasted === null ? null : Number(wasted) / 100,
      showCost: false,
      fedAtPresent: true,
    };
    const fewest = Math.min(...feedings.map((one) => one.head_fed));
    return worstOfEach([
      ...contents.flatMap((content) => judgeContent(facts, content, lots, asked).judged.cautions),
      ...fewHeadFedCautions({ headFed: fewest, head: facts.head }),
    ]);
  }
}

/** Of cautions with one code about one thing, the worst; worst first. */
function worstOfEach(cautions: readonly RaisedCaution[]): RaisedCaution[] {
  const byThing = new Map<string, RaisedCaution>();
  for (const one of worstFirst(cautions)) {
    const thing = `${one.code} ${one.unit} ${one.subject?.kind ?? ''} ${one.subject?.name ?? ''}`;
    if (!byThing.has(thing)) byThing.set(thing, one);
  }
  return [...byThing.values()];
}
