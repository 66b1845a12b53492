import { GESTATION, SEASON_DAYS_MAX, SETTLED_WITHIN } from './standing.data.js';

/** How an event that happens once to each animal is spread over days: `shares[i]` on day number `from + i`; sum 1. */
export interface DaySpread {
  readonly from: number;
  readonly shares: readonly number[];
}

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

/** Shares scaled to add up to 1. */
function wholeOf(from: number, shares: readonly number[]): DaySpread {
  const total = sum(shares);
  return { from, shares: shares.map((share) => share / total) };
}

export function evenly(from: number, until: number): DaySpread {
  return wholeOf(
    from,
    Array.from({ length: until - from + 1 }, () => 1),
  );
}

/** Conceptions while bulls are with the cows, from the first day to the last: by heats, see `SETTLED_WITHIN`. */
export function settledToBulls(from: number, until: number): DaySpread {
  const days = until - from + 1;
  if (days > SEASON_DAYS_MAX) return evenly(from, until);
  const shares = Array.from({ length: days }, (_, index) => {
    const period = SETTLED_WITHIN.findIndex((one) => index < one.days);
    const [before, within] = [SETTLED_WITHIN[period - 1], SETTLED_WITHIN[period]];
    if (within === undefined) return 0;
    return (within.share - (before?.share ?? 0)) / (within.days - (before?.days ?? 0));
  });
  return wholeOf(from, shares);
}

/** Several spreads combined, each by its weight. */
export function mixed(parts: readonly { readonly spread: DaySpread; readonly weight: number }[]): DaySpread {
  const from = Math.min(...parts.map(({ spread }) => spread.from));
  const until = Math.max(...parts.map(({ spread }) => spread.from + spread.shares.length));
  const shares = Array.from({ length: until - from }, (_, index) =>
    sum(parts.map(({ spread, weight }) => weight * (spread.shares[index + from - spread.from] ?? 0))),
  );
  return wholeOf(from, shares);
}

/** When animals with these conceptions are expected to calve: each carries about 283 days, see `GESTATION`. */
export function calvingAfter(conception: DaySpread): DaySpread {
  const { meanDays, standardDeviationDays, spreadDays } = GESTATION;
  const offsets = Array.from({ length: 2 * spreadDays.value + 1 }, (_, index) => index - spreadDays.value);
  return mixed(
    offsets.map((offset) => ({
      spread: { from: conception.from + meanDays.value + offset, shares: conception.shares },
      weight: Math.exp(-0.5 * (offset / standardDeviationDays.value) ** 2),
    })),
  );
}

/** The day number by which this share of the animals is done, 0 < share <= 1. */
export function dayBy(spread: DaySpread, share: number): number {
  let through = 0;
  for (const [index, part] of spread.shares.entries()) {
    through += part;
    // A sum of many shares can come out a hair short.
    if (through >= share - 1e-9) return spread.from + index;
  }
  return spread.from + spread.shares.length - 1;
}
