import type { CostingEntry, CostingMethod } from './costing-entries.js';

/** Where a history is taken up again for each entry of it that turns out to be a mistake. */
export interface TurningPoints {
  /** The entries of each hay kind, in their order. */
  readonly ofKind: ReadonlyMap<string, readonly CostingEntry[]>;
  /** Where in those each entry is. */
  readonly placeOf: ReadonlyMap<string, { readonly hayKind: string; readonly index: number }>;
  /** Per entry that brought hay and is taken back later: where to begin again, in the entries of its kind. */
  readonly beginAt: ReadonlyMap<string, number>;
  /** The entries that stand there. */
  readonly points: ReadonlySet<string>;
}

export const NO_TURNING_POINTS: TurningPoints = {
  ofKind: new Map(),
  placeOf: new Map(),
  beginAt: new Map(),
  points: new Set(),
};

/**
 * Finds, for every receipt, find and transfer that is reversed later, the last entry of its kind from which on no entry
 * rests on what an earlier one did (reverses it, bills it): what comes after can be worked out again from what was
 * known before it.
 *
 * @param kindOfLot of the lots that are known before these entries
 * @param byShare reversals that undo their entry in the balances as they stand, and so rest on what it did
 */
export function turningPoints(
  entries: readonly CostingEntry[],
  method: CostingMethod,
  kindOfLot: ReadonlyMap<string, string>,
  byShare: ReadonlySet<string>,
): TurningPoints {
  const reversed = new Set(
    entries.flatMap((entry) => (entry.kind === 'reversal' && !byShare.has(entry.id) ? [entry.reverses] : [])),
  );
  const mistakes = new Set(
    entries.flatMap((entry) => (reversed.has(entry.id) && bringsIn(entry, method) ? [entry.id] : [])),
  );
  if (mistakes.size === 0) return NO_TURNING_POINTS;
  const ofKind = byKind(entries, kindOfLot);
  const placeOf = new Map<string, { hayKind: string; index: number }>();
  const beginAt = new Map<string, number>();
  const points = new Set<string>();
  for (const [hayKind, list] of ofKind) {
    const first = restsOn(list, mistakes);
    list.forEach((entry, index) => {
      placeOf.set(entry.id, { hayKind, index });
      if (!mistakes.has(entry.id)) return;
      let begin = index;
      while ((first[begin] ?? begin) < begin) begin = first[begin] ?? begin;
      beginAt.set(entry.id, begin);
      points.add(list[begin]?.id ?? '');
    });
  }
  return { ofKind, placeOf, beginAt, points };
}

/** Whether it brings hay and its money into a balance. */
function bringsIn(entry: CostingEntry, method: CostingMethod): boolean {
  if (entry.kind === 'transfer') return method === 'specific-lot' && entry.fromLotId !== entry.toLotId;
  if (entry.kind === 'count-adjustment') return entry.treatment === 'expense' && !entry.change.isNegative();
  return entry.kind === 'purchase' || entry.kind === 'harvest';
}

/** Per entry, the index of the first one that it or any later one names, other than to take it back. */
function restsOn(entries: readonly CostingEntry[], mistakes: ReadonlySet<string>): number[] {
  const indexOf = new Map(entries.map((entry, index) => [entry.id, index]));
  const first: number[] = [];
  let least = entries.length;
  for (let index = entries.length - 1; index >= 0; index -= 1) {
    const entry = entries[index];
    const takesBack = entry?.kind === 'reversal' && mistakes.has(entry.reverses);
    const named = takesBack ? undefined : namedBy(entry);
    least = Math.min(least, index, (named === undefined ? undefined : indexOf.get(named)) ?? index);
    first[index] = least;
  }
  return first;
}

/** The entry that one reverses or bills. */
export function namedBy(entry: CostingEntry | undefined): string | undefined {
  if (entry?.kind === 'reversal') return entry.reverses;
  return entry?.kind === 'late-cost' ? entry.receiptId : undefined;
}

function byKind(
  entries: readonly CostingEntry[],
  kindOfLot: ReadonlyMap<string, string>,
): ReadonlyMap<string, CostingEntry[]> {
  const lots = new Map(kindOfLot);
  // What is drawn at the instant of a receipt may stand before it.
  for (const entry of entries) {
    if ('hayKind' in entry && entry.hayKind !== undefined) lots.set(entry.lotId, entry.hayKind);
    const moved = entry.kind === 'transfer' ? lots.get(entry.fromLotId) : undefined;
    if (entry.kind === 'transfer' && moved !== undefined) lots.set(entry.toLotId, moved);
  }
  const kinds = new Map<string, string>();
  const lists = new Map<string, CostingEntry[]>();
  for (const entry of entries) {
    const named = namedBy(entry);
    const lotId = entry.kind === 'transfer' ? entry.fromLotId : 'lotId' in entry ? entry.lotId : '';
    const hayKind = named === undefined ? lots.get(lotId) : kinds.get(named);
    if (hayKind === undefined) continue;
    kinds.set(entry.id, hayKind);
    const list = lists.get(hayKind);
    if (list === undefined) lists.set(hayKind, [entry]);
    else list.push(entry);
  }
  return lists;
}
