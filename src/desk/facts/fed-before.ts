import { Injectable } from '@nestjs/common';
import {
  aheadAfter,
  evenedOut,
  type PlannedDay,
  type PlannedPart,
  WITHIN_A_BALE,
} from '../../core/judge/evened-bales.js';
import { type FedBefore, fedBeforeOf, type PartOfDay } from '../../core/judge/fed-before.js';
import { PRESENT_FEEDING } from '../../core/judge/present-feeding.data.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { Mass } from '../../core/units/mass.js';
import type { Books } from '../../platform/database/books.js';
import { together } from '../../platform/database/together.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { FeedingRead, type FeedingRow } from '../../records/feedings/feeding.read.js';
import { groupedBy } from './grouped-by.js';
import { type HerdOn, keyOf } from './herd-on.js';
import { type LotAsFed, LotFactsRead } from './lot-facts.js';
import { fedOverDays, type FedOver, rationOfDays } from './present-ration.js';
import { balesOf, contentOf, kilogramsOf, partOfDay, type RationContent, type RationRow } from './ration-content.js';
import { rationInUseOn } from './ration-of-day.js';
import { RationsInUseRead } from './rations-in-use.read.js';

/** What was fed in one day, with the day: it says which tests hold. */
interface ContentOfDay {
  day: string;
  /** By its feedings; `null` where none were entered. */
  fed: RationContent | null;
  inUse: { row: RationRow; content: RationContent } | null;
  head: number;
}

/** What a herd was fed on one day, for one head, without its rounding to whole bales. */
export interface EvenedDay {
  day: string;
  evened: readonly PartOfDay[];
}

interface FedDay extends EvenedDay {
  laid: readonly PartOfDay[];
}

/** What a herd is used to on a day, and how whole bales round its ration. */
interface KnownBefore {
  mean: FedBefore | null;
  /** The ration in use that day, where it is laid in whole bales. */
  rationInBales: PlannedDay | null;
  /** Days with feedings up to that day. */
  entered: readonly EvenedDay[];
}

/** Feedings of a herd, with its head on any day. */
interface Entered {
  feedings: readonly FeedingRow[];
  laid: Awaited<ReturnType<FeedingRead['layersBetween']>>;
  headOn: (day: string) => number;
}

/** Rations of a herd over some days. */
interface RationsInUse {
  inUse: readonly RationRow[];
  layers: Awaited<ReturnType<RationsInUseRead['layersOf']>>;
}

/** A lot on any day, and what a bale of it weighs. */
interface KnownLots {
  lotOn: (lotId: string, day: string) => LotAsFed;
  baleWeights: ReadonlyMap<string, Mass>;
}

const isInBales = ({ inUse }: ContentOfDay): boolean => inUse?.row.bale_rounding === 'nearest-whole';

/**
 * What herds were fed on the days before one: by their feedings, and on a day without one by the ration in use. It is
 * what a change of feed is held against, whoever judges it. Days that only round the ration in use to whole bales count
 * as that ration.
 */
@Injectable()
export class FedBeforeRead {
  constructor(
    private readonly feedings: FeedingRead,
    private readonly herds: HerdRead,
    private readonly rations: RationsInUseRead,
    private readonly lots: LotFactsRead,
  ) {}

  /**
   * By herd and day, gathered once for all of them; a herd of which no day before is known is held against its ration
   * in use, and else has none.
   */
  async onDays(books: Books, asked: readonly HerdOn[]): Promise<(of: HerdOn) => KnownBefore | undefined> {
    const asks = asked.map(({ on }) => on).sort();
    const [first, last] = [asks[0], asks.at(-1)];
    if (first === undefined || last === undefined) return () => undefined;
    const herdIds = [...new Set(asked.map(({ herdId }) => herdId))];
    const span = { herdIds, from: knownFrom(first), until: addDays(last, 1) };
    const [feedings, laid, rations, headOn] = await together(
      this.feedings.between(books, span),
      this.feedings.layersBetween(books, span),
      this.rations.inUseBetween(books, herdIds, span.from, last),
      this.herds.headThrough(books, herdIds, last),
    );
    const layers = await this.rations.layersOf(books, [...rations.values()].flat());
    const fedOf = groupedBy(feedings, (one) => one.herd_id);
    const known = asked.map((of) => {
      const entered = { feedings: fedOf.get(of.herdId) ?? [], laid, headOn: (day: string) => headOn(of.herdId, day) };
      return [keyOf(of), contentsBefore(of.on, entered, { inUse: rations.get(of.herdId) ?? [], layers })] as const;
    });
    const lots = await this.#lots(
      books,
      known.flatMap(([, ofHerd]) => ofHerd),
    );
    const found = new Map(known.map(([key, ofHerd]) => [key, knownBefore(ofHerd, lots)]));
    return (of) => found.get(keyOf(of));
  }

  async #lots(books: Books, days: readonly ContentOfDay[]): Promise<KnownLots> {
    const lotsOf = (contents: readonly (RationContent | undefined)[]): string[] => [
      ...new Set(contents.flatMap((content) => (content?.parts ?? []).map((part) => part.lotId))),
    ];
    const [lotOn, baleWeights] = await together(
      this.lots.asFedThrough(books, lotsOf(days.flatMap(({ fed, inUse }) => [fed ?? undefined, inUse?.content]))),
      this.lots.baleWeights(books, lotsOf(days.filter(isInBales).map(({ inUse }) => inUse?.content))),
    );
    return { lotOn, baleWeights };
  }
}

/** The first day that may tell what a herd is used to on a day. */
const knownFrom = (on: string): string => addDays(on, -PRESENT_FEEDING.knownBeforeDays.value);

/** The days that may tell what a herd is used to on the last of them, oldest first. */
function contentsBefore(
  on: string,
  { feedings, laid, headOn }: Entered,
  { inUse, layers }: RationsInUse,
): ContentOfDay[] {
  const from = knownFrom(on);
  const own = feedings.filter(({ happened_on: day }) => day >= from && day <= on);
  const headOnDays = new Map(own.map(({ happened_on: day }) => [day, headOn(day)]));
  const over = (earlier: FeedingRow[], until: string): FedOver[] =>
    fedOverDays({ earlier, layers: laid, headOn: headOnDays }, { on: until, bodyWeightKg: null });
  // What was laid for several days counts over them. A plan in whole bales lays some every day, now more, now less,
  // so its days are taken as they were laid, and so is the day itself.
  const spread = over(
    own.filter((one) => one.happened_on < on),
    addDays(on, -1),
  );
  const asLaid = (day: string): FedOver[] =>
    over(
      own.filter((one) => one.happened_on === day),
      day,
    );
  return Array.from({ length: PRESENT_FEEDING.knownBeforeDays.value + 1 }, (_, index) => {
    const day = addDays(from, index);
    const row = rationInUseOn(inUse, day);
    const isAsLaid = day === on || row?.bale_rounding === 'nearest-whole';
    return {
      day,
      head: headOn(day),
      fed: rationOfDays(isAsLaid ? asLaid(day) : spread, [day], laid),
      inUse: row === undefined ? null : { row, content: contentOf(row, layers.get(row.id) ?? []) },
    };
  });
}

/** From the days of a herd, oldest first, the last being the one that is judged. */
function knownBefore(days: readonly ContentOfDay[], lots: KnownLots): KnownBefore {
  let rationInBales: PlannedDay | null = null;
  let ahead: PlannedDay['ahead'] = new Map();
  const entered = new Map<ContentOfDay, FedDay>();
  for (const one of days) {
    const { day, fed } = one;
    const laid = fed === null ? null : partsOf(fed, day, lots);
    rationInBales = plannedOf(one, ahead, lots);
    if (laid !== null)
      entered.set(one, { day, laid, evened: (rationInBales && evenedOut(laid, rationInBales)) ?? laid });
    if (rationInBales !== null) ahead = new Map([...ahead, ...aheadAfter(laid, rationInBales)]);
  }
  const ofRation = ({ day, inUse }: ContentOfDay): FedDay[] => {
    const laid = inUse === null ? null : partsOf(inUse.content, day, lots);
    return laid === null ? [] : [{ day, laid, evened: laid }];
  };
  const earlier = days.slice(0, -1).filter(({ fed, inUse }) => fed !== null || inUse !== null);
  // The day itself stands for those before where nothing is known of them.
  const used =
    earlier.length === 0
      ? days.slice(-1).flatMap(ofRation)
      : earlier
          .slice(-PRESENT_FEEDING.days.value)
          .flatMap((one) => (one.fed === null ? ofRation(one) : (entered.get(one) ?? [])));
  const newestFirst = used.toReversed();
  return {
    mean: fedBeforeOf(
      newestFirst.map((one) => one.laid),
      newestFirst.map((one) => one.evened),
    ),
    rationInBales,
    entered: [...entered.values()],
  };
}

/** The ration in use on a day that lays it in whole bales, with what a bale is for each head. */
function plannedOf({ day, inUse, head }: ContentOfDay, ahead: PlannedDay['ahead'], lots: KnownLots): PlannedDay | null {
  if (inUse?.row.bale_rounding !== 'nearest-whole' || head < 1) return null;
  const parts = weighedOut(inUse.content, day, lots)?.map(({ freeChoice, lot: { row, lot }, kg }): PlannedPart => {
    const bale = balesOf({ freeChoice, facts: { row, baleWeight: lots.baleWeights.get(lot.lotId) ?? null } });
    const baleKg = bale === null ? null : bale.kilograms.toNumber() / head;
    return { ...partOfDay(lot, kg), isForage: lot.isForage, freeChoice, baleKg };
  });
  if (parts === undefined) return null;
  // A ration begins with nothing to make good; of one that was begun before, nobody knows.
  const start = inUse.row.in_use_from === day ? { least: 0, most: 0 } : WITHIN_A_BALE;
  return { parts, ahead: new Map(parts.map(({ lotId }) => [lotId, ahead.get(lotId) ?? start])) };
}

function partsOf(content: RationContent, day: string, lots: KnownLots): readonly PartOfDay[] | null {
  return weighedOut(content, day, lots)?.map(({ lot: { lot }, kg }) => partOfDay(lot, kg)) ?? null;
}

/** None where it cannot be laid out. */
function weighedOut(
  content: RationContent,
  day: string,
  { lotOn }: KnownLots,
): { freeChoice: boolean; lot: LotAsFed; kg: number }[] | undefined {
  const kilograms = kilogramsOf(content, (lotId) => lotOn(lotId, day));
  if (!kilograms.ok) return undefined;
  return content.parts.map(({ lotId, freeChoice }, index) => ({
    freeChoice,
    lot: lotOn(lotId, day),
    kg: kilograms.value[index] ?? 0,
  }));
}
