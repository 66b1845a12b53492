import fc from '../../support/properties.js';
import { dayFromNumber } from '../../../src/core/time/calendar-day.js';
import type { CostingEntry } from '../../../src/core/stock/costing-entries.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money } from '../../../src/core/units/money.js';

/** A step of a random history, as plain numbers; it becomes an entry only where the stock allows it. */
export interface Step {
  what: number;
  lot: number;
  place: number;
  other: number;
  size: number;
  cents: number;
  days: number;
  back: number;
}

const step: fc.Arbitrary<Step> = fc.record({
  what: fc.nat({ max: 19 }),
  lot: fc.nat({ max: 4 }),
  place: fc.nat({ max: 1 }),
  other: fc.nat({ max: 4 }),
  size: fc.integer({ min: 1, max: 1000 }),
  cents: fc.integer({ min: 0, max: 500_000 }),
  days: fc.nat({ max: 9 }),
  back: fc.nat({ max: 30 }),
});
export const steps = fc.array(step, { minLength: 8, maxLength: 30, size: 'max' });

const usd = (cents: number): Money => Money.of(cents, 'USD').dividedBy(100);

/**
 * A believable history from random steps. It keeps its own simple book of what lies where, in grams, so that it draws
 * only what is there (now and then all of it), and leaves out reversals that could not stand.
 */
export function historyFrom(random: readonly Step[]): CostingEntry[] {
  const entries: CostingEntry[] = [];
  const grams = new Map<string, number>();
  const kinds = new Map<number, string>();
  const open = new Set<string>();
  const lateFor = new Map<string, string[]>();
  let day = 20_000;
  const at = (lot: number, place: number): string => `${lot}@${place}`;
  const have = (lot: number, place: number): number => grams.get(at(lot, place)) ?? 0;
  const add = (lot: number, place: number, amount: number): void => {
    grams.set(at(lot, place), have(lot, place) + amount);
  };
  const mass = (amount: number): Mass => Mass.of(amount, 'g');

  random.forEach((step, index) => {
    day += step.days;
    // Whatever is not a receipt looks for a lot that has hay, so that few steps come to nothing.
    const stocked = [...grams].filter(([, amount]) => amount > 0).map(([key]) => key.split('@').map(Number));
    const [lot, place] = (step.what > 5
      ? stocked[(2 * step.lot + step.place) % Math.max(1, stocked.length)]
      : undefined) ?? [step.lot, step.place];
    const one = { ...step, lot: lot ?? step.lot, place: place ?? step.place };
    const head = { id: `e${index}`, on: dayFromNumber(day) };
    const where = { lotId: `lot${one.lot}`, placeId: `place${one.place}` };
    const there = have(one.lot, one.place);
    // A weight with odd grams, or one time in seven everything that is there.
    const some = one.size % 7 === 0 ? there : Math.min(there, Math.max(1, Math.round((there * one.size) / 1700)));
    const keep = (entry: CostingEntry): void => {
      entries.push(entry);
      open.add(entry.id);
    };
    if (one.what <= 5) {
      const hayKind = kinds.get(one.lot) ?? (one.lot % 2 === 0 ? 'grass' : 'alfalfa');
      kinds.set(one.lot, hayKind);
      const amount = one.size * 1237;
      add(one.lot, one.place, amount);
      keep(
        one.what <= 3
          ? {
              ...head,
              ...where,
              kind: 'purchase',
              hayKind,
              mass: mass(amount),
              cost: usd(one.cents),
              freight: usd(one.back * 77),
            }
          : { ...head, ...where, kind: 'harvest', hayKind, mass: mass(amount), cost: usd(one.cents) },
      );
    } else if (one.what <= 9 && there > 0) {
      add(one.lot, one.place, -some);
      keep({ ...head, ...where, kind: 'feed', herdId: `herd${one.other % 3}`, mass: mass(some) });
    } else if (one.what === 10 && there > 0) {
      add(one.lot, one.place, -some);
      keep({ ...head, ...where, kind: 'sale', mass: mass(some), proceeds: usd(one.cents) });
    } else if (one.what <= 12 && there > 0) {
      add(one.lot, one.place, -some);
      keep({
        ...head,
        ...where,
        kind: 'shrink',
        mass: mass(some),
        treatment: one.what === 11 ? 'into-unit-cost' : 'expense',
      });
    } else if (one.what <= 14 && kinds.has(one.lot)) {
      const change = one.cents % 2 === 0 ? one.size * 53 : -some;
      if (change === 0) return;
      add(one.lot, one.place, change);
      keep({
        ...head,
        ...where,
        kind: 'count-adjustment',
        change: mass(change),
        treatment: one.what === 13 ? 'into-unit-cost' : 'expense',
      });
    } else if (one.what === 15 && there > 0) {
      const toLot = (kinds.get(one.other) ?? kinds.get(one.lot)) === kinds.get(one.lot) ? one.other : one.lot;
      kinds.set(toLot, kinds.get(one.lot) ?? 'grass');
      add(one.lot, one.place, -some);
      add(toLot, 1 - one.place, some);
      keep({
        ...head,
        kind: 'transfer',
        fromLotId: `lot${one.lot}`,
        fromPlaceId: where.placeId,
        toLotId: `lot${toLot}`,
        toPlaceId: `place${1 - one.place}`,
        mass: mass(some),
      });
    } else if (one.what === 16) {
      const receipts = entries.filter(
        (entry) => (entry.kind === 'purchase' || entry.kind === 'harvest') && open.has(entry.id),
      );
      const receipt = receipts[one.back % Math.max(1, receipts.length)];
      if (!receipt) return;
      keep({
        ...head,
        kind: 'late-cost',
        receiptId: receipt.id,
        amount: usd(one.cents + 1),
        owed: one.size % 2 === 0 ? 'freight' : 'charges',
      });
      lateFor.set(receipt.id, [...(lateFor.get(receipt.id) ?? []), head.id]);
    } else if (one.what >= 17) {
      const earlier = entries[Math.max(0, entries.length - 1 - one.back)];
      if (!earlier || !open.has(earlier.id) || (lateFor.get(earlier.id) ?? []).some((id) => open.has(id))) return;
      const rows = rowsOf(earlier);
      if (rows.some((row) => have(row.lot, row.place) - row.change < 0)) return;
      for (const row of rows) add(row.lot, row.place, -row.change);
      open.delete(earlier.id);
      entries.push({ ...head, kind: 'reversal', reverses: earlier.id, reason: 'typed twice' });
    }
  });
  return entries;
}

function rowsOf(entry: CostingEntry): { lot: number; place: number; change: number }[] {
  const number = (id: string): number => Number(id.replace(/\D/g, ''));
  const grams = (mass: Mass): number => mass.in('g').toNumber();
  switch (entry.kind) {
    case 'purchase':
    case 'harvest':
      return [{ lot: number(entry.lotId), place: number(entry.placeId), change: grams(entry.mass) }];
    case 'feed':
    case 'sale':
    case 'shrink':
      return [{ lot: number(entry.lotId), place: number(entry.placeId), change: -grams(entry.mass) }];
    case 'count-adjustment':
      return [{ lot: number(entry.lotId), place: number(entry.placeId), change: grams(entry.change) }];
    case 'transfer':
      return [
        { lot: number(entry.fromLotId), place: number(entry.fromPlaceId), change: -grams(entry.mass) },
        { lot: number(entry.toLotId), place: number(entry.toPlaceId), change: grams(entry.mass) },
      ];
    case 'late-cost':
    case 'reversal':
      return [];
  }
}
