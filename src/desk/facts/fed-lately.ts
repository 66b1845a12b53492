import { Injectable } from '@nestjs/common';
import { PRESENT_FEEDING } from '../../core/judge/present-feeding.data.js';
import { WASTE_MEASURED } from '../../core/judge/wasted-share.data.js';
import { feedingsThatTellWaste, type MeasuredWaste, showsWaste } from '../../core/judge/wasted-share.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { Books } from '../../platform/database/books.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { FeedingRead, type FeedingRow, type LayerRow } from '../../records/feedings/feeding.read.js';

/** Feedings of the last days on which a herd was fed, oldest first. */
export interface FedLately {
  feedings: readonly FeedingRow[];
  /** Feedings that show what the herd wastes; they may be older. */
  tellingWaste: readonly FeedingRow[];
  layers: ReadonlyMap<string, readonly LayerRow[]>;
  /** Head of the herd on the days that have several of these feedings. */
  headOn: ReadonlyMap<string, number>;
}

/** What was refused or wasted, if it was measured. */
export function measuredWasteOf({ tellingWaste, layers }: FedLately): MeasuredWaste[] {
  return tellingWaste
    .map((feeding) => ({
      fedKg: (layers.get(feeding.id) ?? []).reduce((sum, layer) => sum + Number(layer.kilograms), 0),
      lostKg: Number(feeding.refused_kg ?? 0) + Number(feeding.wasted_kg ?? 0),
      head: feeding.head_fed,
    }))
    .filter(showsWaste);
}

/** The only feeding of its herd that day. */
const isAlone = ({ herd_id: herdId, happened_on: day }: FeedingRow, feedings: readonly FeedingRow[]): boolean =>
  feedings.filter((other) => other.herd_id === herdId && other.happened_on === day).length === 1;

/** Only where a herd was fed more than once in a day does it matter whether the same cattle were. */
function headOfDays(feedings: readonly FeedingRow[], headOn: (day: string) => number): Map<string, number> {
  const days = feedings.filter((one) => !isAlone(one, feedings)).map((one) => one.happened_on);
  return new Map(days.map((day) => [day, headOn(day)]));
}

@Injectable()
export class FedLatelyRead {
  constructor(
    private readonly feedings: FeedingRead,
    private readonly herds: HerdRead,
  ) {}

  /** By herd; a herd not fed up to that day has none. */
  async of(books: Books, herdIds: readonly string[], on: string): Promise<Map<string, FedLately>> {
    const lastDays = await this.feedings.lastDays(books, herdIds, on);
    if (lastDays.size === 0) return new Map();
    const first = [...lastDays.values()].sort()[0] ?? on;
    const fed = (
      await this.feedings.between(books, {
        herdIds: [...lastDays.keys()],
        from: addDays(first, 1 - PRESENT_FEEDING.days.value),
        until: addDays(on, 1),
      })
    ).filter(
      (feeding) => feeding.happened_on > addDays(lastDays.get(feeding.herd_id) ?? on, -PRESENT_FEEDING.days.value),
    );
    const told = await this.feedings.between(books, {
      herdIds: [...lastDays.keys()],
      from: addDays(on, -WASTE_MEASURED.notOlderThanDays.value),
      until: addDays(on, 1),
      tellingWaste: true,
    });
    const tellingWaste = new Map(
      [...lastDays.keys()].map((herdId) => [
        herdId,
        feedingsThatTellWaste(
          told.filter((feeding) => feeding.herd_id === herdId),
          on,
        ),
      ]),
    );
    const layers = await this.feedings.layersOf(books, [
      ...new Set([...fed, ...[...tellingWaste.values()].flat()].map((feeding) => feeding.id)),
    ]);
    const several = new Set(fed.filter((one) => !isAlone(one, fed)).map((one) => one.herd_id));
    const headOn = await this.herds.headThrough(books, [...several], on);
    return new Map(
      [...lastDays.keys()].map((herdId) => [
        herdId,
        {
          headOn: headOfDays(
            fed.filter((feeding) => feeding.herd_id === herdId),
            (day) => headOn(herdId, day),
          ),
          feedings: fed.filter((feeding) => feeding.herd_id === herdId),
          tellingWaste: tellingWaste.get(herdId) ?? [],
          layers,
        },
      ]),
    );
  }
}
