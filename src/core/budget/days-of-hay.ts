/** What a herd takes from a lot in a day, kg as fed. */
export interface DailyDraw {
  readonly herdId: string;
  readonly lotId: string;
  readonly kgPerDay: number;
}

export interface LotLasts {
  readonly lotId: string;
  readonly balanceKg: number;
  /** All herds together. */
  readonly drawKgPerDay: number;
  /** Days until the lot is empty, with fractions; `null` where nothing draws from it. */
  readonly days: number | null;
}

/**
 * How long each lot lasts if every herd keeps drawing at its present rate: balance ÷ draws of all herds. Storage
 * loss is not counted.
 */
export function daysOfHay({
  balances,
  draws,
}: {
  readonly balances: ReadonlyMap<string, number>;
  readonly draws: readonly DailyDraw[];
}): ReadonlyMap<string, LotLasts> {
  const drawn = new Map<string, number>();
  for (const { lotId, kgPerDay } of draws) {
    if (!(kgPerDay >= 0)) throw new RangeError(`A draw cannot be ${kgPerDay} kg a day`);
    drawn.set(lotId, (drawn.get(lotId) ?? 0) + kgPerDay);
  }
  return new Map(
    [...new Set([...balances.keys(), ...drawn.keys()])].map((lotId) => {
      const balanceKg = Math.max(0, balances.get(lotId) ?? 0);
      const drawKgPerDay = drawn.get(lotId) ?? 0;
      return [lotId, { lotId, balanceKg, drawKgPerDay, days: drawKgPerDay === 0 ? null : balanceKg / drawKgPerDay }];
    }),
  );
}
