import { Injectable } from '@nestjs/common';
import { PRESENT_FEEDING } from '../../core/judge/present-feeding.data.js';
import { WASTE_MEASURED } from '../../core/judge/wasted-share.data.js';
import { headByFeeding } from '../../core/judge/fed-groups.js';
import { type DayOfWaste, feedingsThatTellWaste, showsWaste } from '../../core/judge/wasted-share.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { Books } from '../../platform/database/books.js';
import { together } from '../../platform/database/together.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
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

/** The only feeding of its herd that day. */
const isAlone = ({ herd_id: herdId, happened_on: day }: FeedingRow, feedings: readonly FeedingRow[]): boolean =>
  feedings.filter((other) => other.herd_id === herdId && other.happened_on === day).length === 1;

/** Only where a herd was fed more than once in a day does it matter whether the same cattle were. */
function headOfDays(feedings: readonly FeedingRow[], headOn: (day: string) => number): Map<string, number> {
  const days = feedings.filter((one) => !isAlone(one, feedings)).map((one) => one.happened_on);
  return new Map(days.map((day) => [day, headOn(day)]));
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

  /** By herd; a herd not fed up to that day has none. */
  async of(books: Books, herdIds: readonly string[], on: string): Promise<Map<string, FedLately>> {
    const lastDays = await this.feedings.lastDays(books, herdIds, on);
    if (lastDays.size === 0) return new Map();
    const first = [...lastDays.values()].sort()[0] ?? on;
    const fedHerds = { herdIds: [...lastDays.keys()], until: addDays(on, 1) };
    const lately = { ...fedHerds, from: addDays(first, -PRESENT_FEEDING.notOlderThanDays.value) };
    const wasteStated = {
      ...fedHerds,
      from: addDays(on, -WASTE_MEASURED.notOlderThanDays.value),
      tellingWaste: true,
    };
    const [since, withWaste, layers] = await together(
      this.feedings.between(books, lately),
      this.feedings.between(books, wasteStated),
      this.feedings.layersBetween(books, lately, wasteStated),
    );
    const fed = since.filter(
      (feeding) => feeding.happened_on > addDays(lastDays.get(feeding.herd_id) ?? on, -PRESENT_FEEDING.days.value),
    );
    const tellingWaste = new Map(
      [...lastDays.keys()].map((herdId) => [
        herdId,
        feedingsThatTellWaste(
          withWaste.filter((feeding) => feeding.herd_id === herdId),
          on,
        ),
      ]),
    );
    const several = new Set(since.filter((one) => !isAlone(one, since)).map((one) => one.herd_id));
    const [headOn, dryMatter] = await together(
      this.herds.headThrough(books, [...several], on),
      this.#dryMatter(books, lotsRefused([...tellingWaste.values()].flat(), layers), on),
    );
    return new Map(
      [...lastDays.keys()].map((herdId) => [
        herdId,
        {
          headOn: headOfDays(
            since.filter((feeding) => feeding.herd_id === herdId),
            (day) => headOn(herdId, day),
          ),
          feedings: fed.filter((feeding) => feeding.herd_id === herdId),
          earlier: since.filter((feeding) => feeding.herd_id === herdId),
          tellingWaste: tellingWaste.get(herdId) ?? [],
          layers,
          dryMatter,
        },
      ]),
    );
  }

  async #dryMatter(books: Books, lotIds: readonly string[], on: string): Promise<Map<string, number>> {
    if (lotIds.length === 0) return new Map();
    const dryMatterOf = await this.lots.dryMatterThrough(books, lotIds);
    return new Map(lotIds.map((lotId) => [lotId, dryMatterOf(lotId, on).percent / 100]));
  }
}
