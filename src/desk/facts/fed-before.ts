import { Injectable } from '@nestjs/common';
import { type FedBefore, fedBeforeOf, type PartOfDay } from '../../core/judge/fed-before.js';
import { PRESENT_FEEDING } from '../../core/judge/present-feeding.data.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { Books } from '../../platform/database/books.js';
import { together } from '../../platform/database/together.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { FeedingRead } from '../../records/feedings/feeding.read.js';
import { type LotAsFed, LotFactsRead } from './lot-facts.js';
import { fedOverDays, rationOfDays } from './present-ration.js';
import { contentOf, kilogramsOf, type RationContent } from './ration-content.js';
import { RationsInUseRead } from './rations-in-use.read.js';

/** What was fed in one day, with the day: it says which tests hold. */
interface ContentOfDay {
  day: string;
  content: RationContent;
}

/**
 * What herds were fed on the days before one: by their feedings, and on a day without one by the ration in use. It is
 * what a change of feed is held against, whoever judges it.
 */
@Injectable()
export class FedBeforeRead {
  constructor(
    private readonly feedings: FeedingRead,
    private readonly herds: HerdRead,
    private readonly rations: RationsInUseRead,
    private readonly lots: LotFactsRead,
  ) {}

  /** By herd; a herd of which no day before is known is held against its ration in use, and else has none. */
  async of(books: Books, herdIds: readonly string[], on: string): Promise<Map<string, FedBefore>> {
    if (herdIds.length === 0) return new Map();
    const from = addDays(on, -PRESENT_FEEDING.knownBeforeDays.value);
    const span = { herdIds, from, until: on };
    const [feedings, laid, rations, headOn] = await together(
      this.feedings.between(books, span),
      this.feedings.layersBetween(books, span),
      this.rations.inUseBetween(books, herdIds, from, on),
      this.herds.headThrough(books, herdIds, on),
    );
    const layers = await this.rations.layersOf(books, [...rations.values()].flat());
    const overDays = new Map(
      herdIds.map((herdId) => {
        const earlier = feedings.filter((one) => one.herd_id === herdId);
        const heads = new Map(earlier.map(({ happened_on: day }) => [day, headOn(herdId, day)]));
        const fed = { earlier, layers: laid, headOn: heads };
        return [herdId, fedOverDays(fed, { on: addDays(on, -1), bodyWeightKg: null })] as const;
      }),
    );
    const contentOn = (herdId: string, day: string): RationContent | null => {
      const row = (rations.get(herdId) ?? []).find(
        (one) => (one.in_use_from ?? '') <= day && (one.in_use_until === null || one.in_use_until > day),
      );
      const fed = day === on ? null : rationOfDays(overDays.get(herdId) ?? [], [day], laid);
      return fed ?? (row === undefined ? null : contentOf(row, layers.get(row.id) ?? []));
    };
    const before = Array.from({ length: PRESENT_FEEDING.knownBeforeDays.value }, (_, index) => addDays(on, -1 - index));
    const known = new Map(
      herdIds.map((herdId) => {
        const contents = (days: readonly string[]): ContentOfDay[] =>
          days.flatMap((day) => {
            const content = contentOn(herdId, day);
            return content === null ? [] : [{ day, content }];
          });
        const earlier = contents(before).slice(0, PRESENT_FEEDING.days.value);
        return [herdId, earlier.length > 0 ? earlier : contents([on])] as const;
      }),
    );
    const lotIds = [...known.values()].flat().flatMap(({ content }) => content.parts.map((part) => part.lotId));
    if (lotIds.length === 0) return new Map();
    const lotOn = await this.lots.asFedThrough(books, [...new Set(lotIds)]);
    return new Map(
      [...known].flatMap(([herdId, days]) => {
        const fed = fedBeforeOf(days.flatMap((one) => partsOf(one, lotOn)));
        return fed === null ? [] : [[herdId, fed] as const];
      }),
    );
  }
}

/** None where it cannot be laid out. */
function partsOf(
  { day, content }: ContentOfDay,
  lotOn: (lotId: string, day: string) => LotAsFed,
): (readonly PartOfDay[])[] {
  const kilograms = kilogramsOf(content, (lotId) => lotOn(lotId, day));
  if (!kilograms.ok) return [];
  return [
    content.parts.map(({ lotId }, index) => {
      const { lot } = lotOn(lotId, day);
      return {
        lotId,
        asFedKg: kilograms.value[index] ?? 0,
        dryMatterShare: lot.dryMatterPercent.value / 100,
        isStarchyGrain: lot.isStarchyGrain,
      };
    }),
  ];
}
