import { Injectable } from '@nestjs/common';
import { PRESENT_FEEDING } from '../../core/judge/present-feeding.data.js';
import { WASTE_MEASURED } from '../../core/judge/wasted-share.data.js';
import { feedingsThatTellWaste, type MeasuredWaste, showsWaste } from '../../core/judge/wasted-share.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { Books } from '../../platform/database/books.js';
import { together } from '../../platform/database/together.js';
import { FeedingRead, type FeedingRow, type LayerRow } from '../../records/feedings/feeding.read.js';

/** Feedings of the last days on which a herd was fed, oldest first. */
export interface FedLately {
  feedings: readonly FeedingRow[];
  /** Feedings that show what the herd wastes; they may be older. */
  tellingWaste: readonly FeedingRow[];
  layers: ReadonlyMap<string, readonly LayerRow[]>;
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

@Injectable()
export class FedLatelyRead {
  constructor(private readonly feedings: FeedingRead) {}

  /** By herd; a herd not fed up to that day has none. */
  async of(books: Books, herdIds: readonly string[], on: string): Promise<Map<string, FedLately>> {
    const lastDays = await this.feedings.lastDays(books, herdIds, on);
    if (lastDays.size === 0) return new Map();
    const first = [...lastDays.values()].sort()[0] ?? on;
    const fedHerds = { herdIds: [...lastDays.keys()], until: addDays(on, 1) };
    const lately = { ...fedHerds, from: addDays(first, 1 - PRESENT_FEEDING.days.value) };
    const wasteTold = {
      ...fedHerds,
      from: addDays(on, -WASTE_MEASURED.notOlderThanDays.value),
      tellingWaste: true,
    };
    const [since, told, layers] = await together(
      this.feedings.between(books, lately),
      this.feedings.between(books, wasteTold),
      this.feedings.layersBetween(books, lately, wasteTold),
    );
    const fed = since.filter(
      (feeding) => feeding.happened_on > addDays(lastDays.get(feeding.herd_id) ?? on, -PRESENT_FEEDING.days.value),
    );
    const tellingWaste = new Map(
      [...lastDays.keys()].map((herdId) => [
        herdId,
        feedingsThatTellWaste(
          told.filter((feeding) => feeding.herd_id === herdId),
          on,
        ),
      ]),
    );
    return new Map(
      [...lastDays.keys()].map((herdId) => [
        herdId,
        {
          feedings: fed.filter((feeding) => feeding.herd_id === herdId),
          tellingWaste: tellingWaste.get(herdId) ?? [],
          layers,
        },
      ]),
    );
  }
}
