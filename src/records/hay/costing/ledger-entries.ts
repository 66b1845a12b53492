import { type Steps, withoutRest } from '../../../core/outcome/steps.js';
import type { CostingEntry } from '../../../core/stock/costing-entries.js';
import { Mass } from '../../../core/units/mass.js';
import { type Currency, Money } from '../../../core/units/money.js';
import type { LedgerRow } from './costing.read.js';

/**
 * The ledger's rows as the core's entries. The two rows of a transfer are one entry, named for the outgoing row. What
 * was reversed at its own instant counts as if it had never happened: it and its reversal are in the ledger but have no
 * cost. Costing looks at lots, and a lot is in one place, so the lot itself is the place.
 */
export function costingEntries(rows: readonly LedgerRow[], currency: Currency): CostingEntry[] {
  return withoutRest(costingEntriesInSteps(rows, currency));
}

/** As `costingEntries`, one row after the other. */
export function* costingEntriesInSteps(rows: readonly LedgerRow[], currency: Currency): Steps<CostingEntry[]> {
  const entriesOf = entriesAmong(rows, currency);
  const entries: CostingEntry[] = [];
  for (const row of rows) {
    entries.push(...entriesOf(row));
    yield;
  }
  return entries;
}

function entriesAmong(rows: readonly LedgerRow[], currency: Currency): (row: LedgerRow) => CostingEntry[] {
  const byId = new Map(rows.map((row) => [row.id, row]));
  const undone = annulled(rows);
  const arrivals = new Map(rows.filter((row) => row.kind === 'transfer-in').map((row) => [row.source_id, row]));
  return (row) => {
    if (undone.has(row.id)) return [];
    const head = { id: row.id, on: row.effective_on, instant: `${row.rank} ${row.effective_at}` };
    const mass = Mass.kilograms(row.kilograms);
    const at = { lotId: row.hay_lot_id, placeId: row.hay_lot_id };
    const [cost, freight] = [Money.of(row.cost, currency), Money.of(row.freight, currency)];
    const treatment = row.treatment === 'expense' ? ('expense' as const) : ('into-unit-cost' as const);
    switch (row.kind) {
      case 'purchase':
        return [{ ...head, ...at, kind: 'purchase', hayKind: row.hay_kind, mass, cost, freight }];
      case 'harvest':
        return [{ ...head, ...at, kind: 'harvest', hayKind: row.hay_kind, mass, cost: cost.plus(freight) }];
      case 'late-cost':
        return [
          {
            ...head,
            kind: 'late-cost',
            receiptId: row.receipt_id ?? '',
            amount: cost.plus(freight),
            owed: freight.isZero() ? 'charges' : 'freight',
          },
        ];
      case 'feed':
        return [{ ...head, ...at, kind: 'feed', herdId: row.herd_id ?? '', mass: mass.negated() }];
      case 'sale':
        return [
          {
            ...head,
            ...at,
            kind: 'sale',
            mass: mass.negated(),
            ...(row.proceeds === null ? {} : { proceeds: Money.of(row.proceeds, currency) }),
          },
        ];
      case 'shrink':
        return [{ ...head, ...at, kind: 'shrink', mass: mass.negated(), treatment }];
      case 'count-adjustment':
        return [{ ...head, ...at, kind: 'count-adjustment', hayKind: row.hay_kind, change: mass, treatment }];
      case 'transfer-out': {
        const arrival = arrivals.get(row.source_id);
        if (arrival === undefined) throw new RangeError(`Transfer ${row.source_id} has no row that arrives`);
        return [
          {
            ...head,
            kind: 'transfer',
            fromLotId: row.hay_lot_id,
            fromPlaceId: row.hay_lot_id,
            toLotId: arrival.hay_lot_id,
            toPlaceId: arrival.hay_lot_id,
            mass: mass.negated(),
          },
        ];
      }
      case 'transfer-in':
        return [];
      case 'reversal': {
        const original = byId.get(row.reverses_id ?? '');
        // The transfer is reversed once, with its outgoing row.
        return original?.kind === 'transfer-in'
          ? []
          : [{ ...head, kind: 'reversal', reverses: row.reverses_id ?? '', reason: row.reason ?? '' }];
      }
    }
  };
}

/** Rows that were reversed at their own instant, and their reversals: as if they had never happened. */
function annulled(rows: readonly LedgerRow[]): ReadonlySet<string> {
  const byId = new Map(rows.map((row) => [row.id, row]));
  const undone = new Set<string>();
  for (const row of rows) {
    const original = row.reverses_id === null ? undefined : byId.get(row.reverses_id);
    if (original === undefined || original.effective_on !== row.effective_on) continue;
    // Bills have no time of day: a bill reversed on its own day counts as never entered.
    if (original.kind === 'late-cost' || original.effective_at === row.effective_at) {
      undone.add(row.id);
      undone.add(original.id);
    }
  }
  return undone;
}
