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
import { groupedBy } from '../facts/grouped-by.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { keyOf } from '../facts/herd-on.js';
import { type LotFacts, LotFactsRead, type TestsKnown } from '../facts/lot-facts.js';
import { asEaten, eatenOn, fedAtPresentOf, fedOverDays, fedUntil, rationsOfAnimals } from '../facts/present-ration.js';
import type { RationContent } from '../facts/ration-content.js';
import { rationInUseOn } from '../facts/ration-of-day.js';
import { judgeContent, USUAL_JUDGING } from '../judge/ration-judge.js';
import { RationRead } from './ration.read.js';

type Asker = Pick<Tenant, 'db' | 'moment'>;
/** Operations whose herds are asked about, each with its time zone. */
type Operations = readonly { readonly id: string; readonly time_zone: string }[];

interface HerdDay {
  readonly herd: HerdRow;
  readonly day: string;
}

interface FedOn {
  layers: ReadonlyMap<string, readonly LayerRow[]>;
  /** The feedings of a day, and its lots as known then. */
  on: (day: string) => { feedings: readonly FeedingRow[]; lots: ReadonlyMap<string, LotFacts> };
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

  /** What herds were fed on days, and what is known about the lots on each. */
  async #fedOn(tenant: Asker, operations: Operations, asked: readonly HerdDay[], tests: TestsKnown): Promise<FedOn> {
    const span = { herdIds: [...new Set(asked.map(({ herd }) => herd.id))], ...spanOf(asked) };
    const books = { db: tenant.db, operationIds: operations.map((one) => one.id) };
    const [feedings, layers, lotsInBales] = await together(
      this.feedings.between(books, span),
      this.feedings.layersBetween(books, span),
      this.rations.lotsInBalesBetween(books, span.herdIds, span.from, addDays(span.until, -1)),
    );
    const pairs = new Set(asked.map(({ herd, day }) => keyOf({ herdId: herd.id, on: day })));
    const fedOn = groupedBy(
      feedings.filter((one) => pairs.has(keyOf({ herdId: one.herd_id, on: one.happened_on }))),
      (one) => one.happened_on,
    );
    const lots = await together(
      ...[...fedOn].map(async ([day, ofDay]) => {
        const laid = ofDay.flatMap(({ id }) => layers.get(id) ?? []).map((layer) => layer.hay_lot_id);
        // Hay of the days before may lie there still.
        const lotIds = new Set([...laid, ...lotsInBales]);
        return [day, await this.lots.across(tenant, operations, [...lotIds], day, tests)] as const;
      }),
    );
    const lotsOn = new Map(lots);
    return {
      layers,
      on: (day) => ({ feedings: fedOn.get(day) ?? [], lots: lotsOn.get(day) ?? new Map<string, LotFacts>() }),
    };
  }

  /**
   * Worst first, by herd and day, in the order asked; none for a day of which no feeding stands, and none where its
   * feedings cannot be laid out.
   */
  async onDays(
    tenant: Asker,
    operations: Operations,
    asked: readonly HerdDay[],
    tests: TestsKnown = 'now',
  ): Promise<(CautionsOfDay & { readonly herdId: string })[]> {
    if (asked.length === 0) return [];
    const books = { db: tenant.db, operationIds: operations.map((one) => one.id) };
    const herdIds = [...new Set(asked.map(({ herd }) => herd.id))];
    const { from, until } = spanOf(asked);
    const [fed, facts, rations] = await together(
      this.#fedOn(tenant, operations, asked, tests),
      this.herdFacts.onDays(
        books,
        asked.map(({ herd, day }) => ({ herd, on: day })),
      ),
      this.rations.inUseBetween(books, herdIds, from, addDays(until, -1)),
    );
    return facts.flatMap((herd) => {
      const herdId = herd.herd.id;
      const { feedings, lots } = fed.on(herd.on);
      const own = feedings.filter((one) => one.herd_id === herdId);
      if (own.length === 0) return [];
      const wasted = rationInUseOn(rations.get(herdId) ?? [], herd.on)?.wasted_percent ?? null;
      const options = {
        ...USUAL_JUDGING,
        statedWastedShare: wasted === null ? null : Number(wasted) / 100,
        showCost: false,
        fedAtPresent: true,
        ofOneDay: true,
      };
      const cautions = worstOfEach([
        ...rationsOfAnimals({ feedings: own, layers: fed.layers }, herd.head).flatMap((content) =>
          cautionsOf(herd, content, (one) => judgeContent(herd, one, lots, options).judged.cautions).filter(
            ({ code }) => code !== 'less-than-keeps-weight' || !hasHayFromBefore(herd),
          ),
        ),
        ...fewHeadFedCautions({ headFed: fewestOf(own, herd), head: herd.head }),
      ]);
      return [{ herdId, day: herd.on, cautions }];
    });
  }

  /** Of one herd's day. */
  async ofHerd(tenant: OperationTenant, herdId: string, day: string): Promise<readonly RaisedCaution[]> {
    return this.of(tenant, await this.herds.one(tenant, herdId), day);
  }

  /** The same of a herd that was read before. */
  async of(tenant: OperationTenant, herd: HerdRow, day: string): Promise<readonly RaisedCaution[]> {
    const [judged] = await this.onDays(tenant, operationOf(tenant), [{ herd, day }]);
    return judged?.cautions ?? [];
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
    const oldestFirst = asked.toSorted((a, b) => (a.day < b.day ? -1 : Number(a.day > b.day)));
    const judged = groupedBy(await this.onDays(tenant, operations, oldestFirst, tests), (one) => one.herdId);
    return new Map([...judged].map(([herdId, days]) => [herdId, days.map(({ day, cautions }) => ({ day, cautions }))]));
  }
}

/**
 * Of one day's feed: what is eaten is judged, and where whole bales last for days, how much is offered is what was laid
 * if any hay was laid.
 */
function cautionsOf(
  { rationInBales }: HerdFacts,
  content: RationContent,
  judge: (content: RationContent) => readonly RaisedCaution[],
): readonly RaisedCaution[] {
  const eaten = rationInBales === null ? null : asEaten(content, rationInBales);
  if (eaten === null) return judge(content);
  const ofOffer = ({ code }: RaisedCaution): boolean => code === 'more-than-eaten';
  const hay = new Set(rationInBales?.parts.flatMap((one) => (one.isForage ? one.lotId : [])));
  const cautions = judge(eaten);
  if (!content.parts.some(({ lotId, freeChoice }) => !freeChoice && hay.has(lotId))) return cautions;
  return [...cautions.filter((one) => !ofOffer(one)), ...judge(content).filter(ofOffer)];
}

/** From the first of these days to the day after the last. */
function spanOf(asked: readonly HerdDay[]): { from: string; until: string } {
  const days = asked.map(({ day }) => day).sort();
  const [first, last] = [days[0], days.at(-1)];
  if (first === undefined || last === undefined) throw new RangeError('A span has a day');
  return { from: first, until: addDays(last, 1) };
}

/** The operation of the tenant, as those are named that are asked about together. */
export function operationOf(tenant: OperationTenant): Operations {
  return [{ id: tenant.operationId, time_zone: tenant.operation.timeZone }];
}

/** Whether what was laid on an earlier day is still in front of them, so that a day's feed is not all they get. */
function hasHayFromBefore(herd: HerdFacts): boolean {
  const { on, fedLately } = herd;
  if (fedLately === null) return false;
  const over = fedOverDays(fedLately, fedUntil(herd));
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
