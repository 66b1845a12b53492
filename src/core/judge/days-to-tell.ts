import { DAYS_TO_TELL } from './days-to-tell.data.js';

/** What was laid for a herd on a day. */
export interface LaidDay {
  readonly herdId: string;
  readonly day: string;
  readonly kilograms: number;
  readonly lotIds: readonly string[];
}

/**
 * Of the days of many herds those whose cautions are worth the telling: the newest of each herd, what is fed now; every
 * day with a lot that may do harm in one meal; and every day whose amount is far from the herd's usual one, as a slip
 * of the pen is. Of the other days nothing can be mended any more, and they are fed like the newest.
 */
export function daysToTell<Day extends LaidDay>(
  days: readonly Day[],
  mayHarmInOneMeal: (lotId: string) => boolean,
): Day[] {
  const ofHerds = new Map<string, Day[]>();
  for (const day of days) ofHerds.set(day.herdId, [...(ofHerds.get(day.herdId) ?? []), day]);
  const told = new Set(
    [...ofHerds.values()].flatMap((ofHerd) => {
      const newest = ofHerd.toSorted((a, b) => (a.day < b.day ? 1 : -1)).slice(0, DAYS_TO_TELL.newest.value);
      const usual = medianOf(ofHerd.map(({ kilograms }) => kilograms));
      const times = DAYS_TO_TELL.timesUsual.value;
      return [
        ...newest,
        ...ofHerd.filter(({ kilograms }) => kilograms > usual * times || kilograms * times < usual),
        ...ofHerd.filter(({ lotIds }) => lotIds.some(mayHarmInOneMeal)),
      ];
    }),
  );
  return days.filter((day) => told.has(day));
}

/** The lower of the middle two. */
function medianOf(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.floor((sorted.length - 1) / 2)] ?? 0;
}
