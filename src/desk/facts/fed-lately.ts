import { Injectable } from '@nestjs/common';
import type { MeasuredWaste } from '../../core/judge/wasted-share.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { Books } from '../../platform/database/books.js';
import { FeedingRead, type FeedingRow, type LayerRow } from '../../records/feedings/feeding.read.js';

/**
 * What a herd is fed at present is the mean of the feedings of so many days, ending with the last day on which it was
 * fed.
 */
const PRESENT_DAYS = 7;

/** The feedings that are a herd's present ration, oldest first. */
export interface FedLately {
  feedings: readonly FeedingRow[];
  layers: ReadonlyMap<string, readonly LayerRow[]>;
}

/** What was refused or wasted of them, where it was measured. */
export function measuredWasteOf({ feedings, layers }: FedLately): MeasuredWaste[] {
  return feedings
    .filter((feeding) => feeding.refused_kg !== null || feeding.wasted_kg !== null)
    .map((feeding) => ({
      fedKg: (layers.get(feeding.id) ?? []).reduce((sum, layer) => sum + Number(layer.kilograms), 0),
      lostKg: Number(feeding.refused_kg ?? 0) + Number(feeding.wasted_kg ?? 0),
    }));
}

@Injectable()
export class FedLatelyRead {
  constructor(private readonly feedings: FeedingRead) {}

  /** By herd; a herd that was never fed up to the day has none. */
  async of(books: Books, herdIds: readonly string[], on: string): Promise<Map<string, FedLately>> {
    const lastDays = await this.feedings.lastDays(books, herdIds, on);
    if (lastDays.size === 0) return new Map();
    const first = [...lastDays.values()].sort()[0] ?? on;
    const fed = (
      await this.feedings.between(books, {
        herdIds: [...lastDays.keys()],
        from: addDays(first, 1 - PRESENT_DAYS),
        until: addDays(on, 1),
      })
    ).filter((feeding) => feeding.happened_on > addDays(lastDays.get(feeding.herd_id) ?? on, -PRESENT_DAYS));
    const layers = await this.feedings.layersOf(
      books,
      fed.map((feeding) => feeding.id),
    );
    return new Map(
      [...lastDays.keys()].map((herdId) => [
        herdId,
        { feedings: fed.filter((feeding) => feeding.herd_id === herdId), layers },
      ]),
    );
  }
}
