import { Injectable } from '@nestjs/common';
import { PRESENT_FEEDING } from '../../core/judge/present-feeding.data.js';
import { WASTE_MEASURED } from '../../core/judge/wasted-share.data.js';
import { headByFeeding } from '../../core/judge/fed-groups.js';
import { type DayOfWaste, feedingsThatTellWaste, showsWaste } from '../../core/judge/wasted-share.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { Books } from '../../platform/database/books.js';
import { together } from '../../platform/database/together.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { groupedBy } from './grouped-by.js';
import { type HerdOn, keyOf } from './herd-on.js';
import { LotFactsRead } from './lot-facts.js';
import { FeedingRead, type FeedingRow, type LayerRow, wasLaid } from '../../records/feedings/feeding.read.js';

/** Feedings of the last days on which a herd was fed, oldest first. */
export interface FedLately {
  feedings: readonly FeedingRow[];
  /** These and those before them that may have been laid for days of that week. */
  earlier: readonly FeedingRow[];
  /** Feedings that show what the herd wastes; they may be older. */
  tellingWaste: readonly FeedingRow[];
  layers: ReadonlyMap<string, readonly LayerRow[]>;
  /** Dry matter, a share of it as fed, of the lots of which something was refused. */
  dryMatter: ReadonlyMap<string, number>;
  /** Head of the herd on the days that have several of these feedings. */
  headOn: ReadonlyMap<string, number>;
}

/** A day of feedings that tell what was left, with the head that were fed that day. */
interface FedDay extends Omit<DayOfWaste, 'couldHoldKg'> {
  readonly head: number;
  readonly fedKgPerKgOfDryMatter: number;
}

/** What was refused or wasted, by the day, if it was measured. */
export function measuredWasteOf({ tellingWaste, layers, dryMatter }: FedLately, headOfHerd: number): FedDay[] {
  // Where nothing was refused, what they could hold does not matter.
  const dryMatterKg = (feeding: FeedingRow) =>
    laidOf(feeding, layers).reduce(
      (sum, layer) => sum + Number(layer.kilograms) * (dryMatter.get(layer.hay_lot_id) ?? 1),
      0,
    );
  const days = new Map<string, FeedingRow[]>();
  for (const one of tellingWaste.filter((feeding) => showsWaste(wasteStated(feeding, layers))))
    days.set(one.happened_on, [...(days.get(one.happened_on) ?? []), one]);
  return [...days.values()].map((feedings) => {
    const head = headByFeeding(
      feedings.map((one) => ({ headFed: one.head_fed })),
      headOfHerd,
    );
    const sum = (kilograms: (of: FeedingRow) => number) => feedings.reduce((all, one) => all + kilograms(one), 0);
    const fedKg = sum((one) => wasteStated(one, layers).fedKg);
    return {
      fedKg,
      fedKgPerKgOfDryMatter: fedKg / sum(dryMatterKg),
      refusedKg: sum((one) => Number(one.refused_kg ?? 0)),
      wastedKg: sum((one) => Number(one.wasted_kg ?? 0)),
      head: Math.max(...head.values()),
    };
  });
}

/** What was laid in the last week of feeding and, where somebody weighed it, what was left. */
export function leftOfPresent({ feedings, layers }: FedLately): { fedKg: number; lostKg: number | null }[] {
  return feedings.map((feeding) => {
    const waste = wasteStated(feeding, layers);
    const isStated = (feeding.refused_kg !== null || feeding.wasted_kg !== null) && waste.lostKg <= waste.fedKg;
    return { fedKg: waste.fedKg, lostKg: isStated ? waste.lostKg : null };
  });
}

const laidOf = ({ id }: FeedingRow, layers: FedLately['layers']): readonly LayerRow[] =>
  (layers.get(id) ?? []).filter(wasLaid);

function wasteStated(feeding: FeedingRow, layers: FedLately['layers']) {
  return {
    fedKg: laidOf(feeding, layers).reduce((sum, layer) => sum + Number(layer.kilograms), 0),
    lostKg: Number(feeding.refused_kg ?? 0) + Number(feeding.wasted_kg ?? 0),
    head: feeding.head_fed,
  };
}

/** Days on which a herd was fed more than once. */
function daysWithSeveral(feedingsOfHerd: readonly FeedingRow[]): string[] {
  const ofDays = groupedBy(feedingsOfHerd, ({ happened_on: day }) => day);
  return [...ofDays].filter(([, ofDay]) => ofDay.length > 1).map(([day]) => day);
}

/** What cattle could hold matters only of what they left standing. */
function lotsRefused(feedings: readonly FeedingRow[], layers: FedLately['layers']): string[] {
  const refused = feedings.filter((one) => Number(one.refused_kg ?? 0) > 0).map((one) => one.happened_on);
  const ofThoseDays = feedings.filter((one) => refused.includes(one.happened_on));
  return [...new Set(ofThoseDays.flatMap((one) => laidOf(one, layers).map((layer) => layer.hay_lot_id)))];
}

@Injectable()
export class FedLatelyRead {
  constructor(
    private readonly feedings: FeedingRead,
    private readonly herds: HerdRead,
    private readonly lots: LotFactsRead,
  ) {}

  /** By herd and day, gathered once for all of them; a herd not fed up to its day has none. */
  async onDays(books: Books, asked: readonly HerdOn[]): Promise<(of: HerdOn) => FedLately | null> {
    const lastDayOf = await this.#lastDays(books, asked);
    const fedLast = asked.flatMap((of) => {
      const last = lastDayOf(of);
      return last === undefined ? [] : [{ ...of, last }];
    });
    const days = fedLast.map(({ on }) => on).sort();
    const [first, until] = [days[0], days.at(-1)];
    if (first === undefined || until === undefined) return () => null;
    const herdIds = [...new Set(fedLast.map((of) => of.herdId))];
    const lastDays = fedLast.map(({ last }) => last).sort();
    const fedHerds = { herdIds, until: addDays(until, 1) };
    const lately = { ...fedHerds, from: earlierFrom(lastDays[0] ?? until) };
    const wasteStated = { ...fedHerds, from: wasteFrom(first), tellingWaste: true };
    const [since, withWaste, layers] = await together(
      this.feedings.between(books, lately),
      this.feedings.between(books, wasteStated),
      this.feedings.layersBetween(books, lately, wasteStated),
    );
    const sinceOf = groupedBy(since, (one) => one.herd_id);
    const withWasteOf = groupedBy(withWaste, (one) => one.herd_id);
    const found = fedLast.map(({ herdId, on, last }) => {
      const earlier = (sinceOf.get(herdId) ?? []).filter(
        ({ happened_on: day }) => day >= earlierFrom(last) && day <= on,
      );
      return {
        herdId,
        on,
        earlier,
        feedings: earlier.filter(({ happened_on: day }) => day >= latelyFrom(last)),
        tellingWaste: feedingsThatTellWaste(withWasteOf.get(herdId) ?? [], on),
        // Only where a herd was fed more than once in a day does it matter whether the same cattle were.
        several: daysWithSeveral(earlier),
      };
    });
    const withSeveral = found.filter(({ several }) => several.length > 0);
    const refused = lotsRefused([...new Set(found.flatMap((one) => one.tellingWaste))], layers);
    const [headOn, dryMatterOn] = await together(
      this.herds.headThrough(books, [...new Set(withSeveral.map((one) => one.herdId))], until),
      this.#dryMatter(books, refused),
    );
    const fed = new Map(
      found.map(({ herdId, on, several, ...ofHerd }) => [
        keyOf({ herdId, on }),
        {
          ...ofHerd,
          headOn: new Map(several.map((day) => [day, headOn(herdId, day)])),
          layers,
          dryMatter: dryMatterOn(on),
        },
      ]),
    );
    return (of) => fed.get(keyOf(of)) ?? null;
  }

  /** The last day, not after the one asked about, on which a herd was fed. */
  async #lastDays(books: Books, asked: readonly HerdOn[]): Promise<(of: HerdOn) => string | undefined> {
    const found = await together(
      ...[...groupedBy(asked, ({ on }) => on)].map(async ([on, herds]) => {
        const herdIds = herds.map((one) => one.herdId);
        return [on, await this.feedings.lastDays(books, herdIds, on)] as const;
      }),
    );
    const byDay = new Map(found);
    return ({ herdId, on }) => byDay.get(on)?.get(herdId);
  }

  async #dryMatter(books: Books, lotIds: readonly string[]): Promise<(on: string) => Map<string, number>> {
    if (lotIds.length === 0) return () => new Map();
    const dryMatterOf = await this.lots.dryMatterThrough(books, lotIds);
    return (on) => new Map(lotIds.map((lotId) => [lotId, dryMatterOf(lotId, on).percent / 100]));
  }
}

/** First day of the last week of feeding that ends on a day. */
const latelyFrom = (last: string): string => addDays(last, 1 - PRESENT_FEEDING.days.value);

/** First day whose feedings may have been laid for days of that week. */
const earlierFrom = (last: string): string => addDays(last, -PRESENT_FEEDING.notOlderThanDays.value);

/** First day of which what was left still counts. */
const wasteFrom = (on: string): string => addDays(on, -WASTE_MEASURED.notOlderThanDays.value);
