import { Injectable } from '@nestjs/common';
import type { RaisedCaution } from '../../core/cautions/caution.js';
import { fewHeadFedCautions } from '../../core/cautions/few-head-fed.js';
import { isFedOn } from '../../core/judge/days-fed-for.js';
import { type CautionsOfDay, mayHarmInOneMeal, worstOfEach } from '../../core/judge/one-meal.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { OperationTenant, Tenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { FeedingRead, type FeedingRow, type LayerRow } from '../../records/feedings/feeding.read.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { type LotFacts, LotFactsRead, type TestsKnown } from '../facts/lot-facts.js';
import { eatenOn, fedAtPresentOf, fedOverDays, rationsOfAnimals } from '../facts/present-ration.js';
import { judgeContent, USUAL_JUDGING } from '../judge/ration-judge.js';
import { RationRead } from './ration.read.js';

type Asker = Pick<Tenant, 'db' | 'moment'>;
/** Operations whose herds are asked about, each with its time zone. */
type Operations = readonly { readonly id: string; readonly time_zone: string }[];

interface FedOn {
  feedings: FeedingRow[];
  layers: Map<string, LayerRow[]>;
  lots: Map<string, LotFacts>;
}

interface Asked {
  herds: readonly HerdFacts[];
  /** What they were fed, as known on the day that is asked about. */
  lots: ReadonlyMap<string, LotFacts>;
  tests?: TestsKnown;
}

/**
 * Cautions of what a herd was fed on single days: all feedings of a day, as single animals got them, judged like any
 * ration. Reversed feedings do not count.
 */
@Injectable()
export class FedDaysRead {
  constructor(
    private readonly herds: HerdRead,
    private readonly herdFacts: HerdFactsRead,
    private readonly lots: LotFactsRead,
    private readonly feedings: FeedingRead,
    private readonly rations: RationRead,
  ) {}

  /** What herds were fed on a day, and what is known about the lots. */
  async #fedOn(
    tenant: Asker,
    operations: Operations,
    { herdIds, day, tests }: { herdIds: readonly string[]; day: string; tests: TestsKnown },
  ): Promise<FedOn> {
    const books = { db: tenant.db, operationIds: operations.map((one) => one.id) };
    const span = { herdIds, from: day, until: addDays(day, 1) };
    const [feedings, laid] = await together(
      this.feedings.between(books, span),
      this.feedings.layersBetween(books, span),
    );
    const layers = new Map(feedings.map(({ id }) => [id, laid.get(id) ?? []]));
    const lotIds = [...new Set([...layers.values()].flat().map((layer) => layer.hay_lot_id))];
    return { feedings, layers, lots: await this.lots.across(tenant, operations, lotIds, day, tests) };
  }

  /** Worst first, by herd; none if all of that day's feedings were reversed, or they cannot be laid out. */
  async on(
    tenant: Asker,
    operations: Operations,
    { herds, day, tests = 'now' }: { herds: readonly HerdRow[]; day: string; tests?: TestsKnown },
  ): Promise<Map<string, readonly RaisedCaution[]>> {
    const books = { db: tenant.db, operationIds: operations.map((one) => one.id) };
    const herdIds = herds.map((herd) => herd.id);
    const [{ feedings, layers, lots }, facts, inUse] = await together(
      this.#fedOn(tenant, operations, { herdIds, day, tests }),
      this.herdFacts.of(books, herds, day),
      this.rations.inUseOn(books, herdIds, day),
    );
    if (feedings.length === 0) return new Map();
    return new Map(
      facts.map((herd) => {
        const own = feedings.filter((one) => one.herd_id === herd.herd.id);
        const wasted = inUse.get(herd.herd.id)?.wasted_percent ?? null;
        const asked = {
          ...USUAL_JUDGING,
          statedWastedShare: wasted === null ? null : Number(wasted) / 100,
          showCost: false,
          fedAtPresent: true,
          ofOneDay: true,
        };
        return [
          herd.herd.id,
          worstOfEach([
            ...rationsOfAnimals({ feedings: own, layers }, herd.head).flatMap((content) =>
              judgeContent(herd, content, lots, asked).judged.cautions.filter(
                ({ code }) => code !== 'less-than-keeps-weight' || !hasHayFromBefore(herd),
              ),
            ),
            ...(own.length === 0 ? [] : fewHeadFedCautions({ headFed: fewestOf(own, herd), head: herd.head })),
          ]),
        ];
      }),
    );
  }

  /** Of one herd's day. */
  async ofHerd(tenant: OperationTenant, herdId: string, day: string): Promise<readonly RaisedCaution[]> {
    return this.of(tenant, await this.herds.one(tenant, herdId), day);
  }

  /** The same of a herd that was read before. */
  async of(tenant: OperationTenant, herd: HerdRow, day: string): Promise<readonly RaisedCaution[]> {
    return (await this.on(tenant, operationOf(tenant), { herds: [herd], day })).get(herd.id) ?? [];
  }

  /**
   * The days of each herd's last week of feeding, by herd, as its feedings tell of them. Days are gathered only where
   * one meal of what was fed may do harm.
   */
  async ofLastWeek(
    tenant: Asker,
    operations: Operations,
    { herds, lots, tests = 'now' }: Asked,
  ): Promise<Map<string, CautionsOfDay[]>> {
    const asked = herds.flatMap((one) => daysToJudge(one, lots).map((day) => ({ herd: one.herd, day })));
    const found = new Map<string, CautionsOfDay[]>();
    for (const day of [...new Set(asked.map((one) => one.day))].sort()) {
      const ofDay = asked.filter((one) => one.day === day).map(({ herd }) => herd);
      for (const [herdId, cautions] of await this.on(tenant, operations, { herds: ofDay, day, tests }))
        found.set(herdId, [...(found.get(herdId) ?? []), { day, cautions }]);
    }
    return found;
  }
}

/** The operation of the tenant, as those are named that are asked about together. */
export function operationOf(tenant: OperationTenant): Operations {
  return [{ id: tenant.operationId, time_zone: tenant.operation.timeZone }];
}

/** Whether what was laid on an earlier day is still in front of them, so that a day's feed is not all they get. */
function hasHayFromBefore({ on, fedLately, bodyWeight }: HerdFacts): boolean {
  if (fedLately === null) return false;
  const over = fedOverDays(fedLately, { on, bodyWeightKg: bodyWeight.kilograms.toNumber() });
  return over.some(({ day, fedFor }) => day < on && isFedOn(fedFor, on));
}

/** Fewest of the herd that a feeding of the day was for; feedings shared out over the whole herd are for all of it. */
function fewestOf(feedings: readonly FeedingRow[], { head }: HerdFacts): number {
  return Math.min(...eatenOn(feedings, head).map((one) => one.head));
}

/** No day where no lot can do harm by one meal; a lot sampled since may have been fed while an older test held. */
function daysToJudge(herd: HerdFacts, lots: ReadonlyMap<string, LotFacts>): string[] {
  if (herd.fedLately === null || !fedAtPresentOf(herd).ok) return [];
  const { feedings, layers } = herd.fedLately;
  const first = feedings[0]?.happened_on ?? '';
  const mayHarm = feedings
    .flatMap(({ id }) => layers.get(id) ?? [])
    .some((layer) => {
      const facts = lots.get(layer.hay_lot_id);
      return facts !== undefined && (mayHarmInOneMeal(facts.lot) || (facts.testedOn ?? '') > first);
    });
  return mayHarm ? [...new Set(feedings.map((one) => one.happened_on))] : [];
}
