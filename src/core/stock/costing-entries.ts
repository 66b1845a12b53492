import type { CalendarDay } from '../time/calendar-day.js';
import type { Mass } from '../units/mass.js';
import type { Money } from '../units/money.js';

/**
 * How the cost of hay that leaves is found.
 * - `specific-lot`: each lot carries its own cost.
 * - `moving-average`: one pool per hay kind in the operation; every receipt makes a new average.
 * - `fifo`: layers per hay kind in the operation; the oldest receipt leaves first, whichever lot was hauled.
 */
export const COSTING_METHODS = ['specific-lot', 'moving-average', 'fifo'] as const;
export type CostingMethod = (typeof COSTING_METHODS)[number];

interface EntryHead {
  /** Unique within the history. */
  readonly id: string;
  readonly on: CalendarDay;
  /** Of entries that follow each other, those with the same word here happened at one instant. */
  readonly instant?: string;
}

/** Hay bought. `cost` is what the vendor and others are owed besides `freight`; landed cost is the two together. */
export interface PurchaseEntry extends EntryHead {
  readonly kind: 'purchase';
  readonly lotId: string;
  readonly hayKind: string;
  readonly placeId: string;
  readonly mass: Mass;
  readonly cost: Money;
  readonly freight?: Money;
}

/** Home-grown hay, taken in at its cost of production. */
export interface HarvestEntry extends EntryHead {
  readonly kind: 'harvest';
  readonly lotId: string;
  readonly hayKind: string;
  readonly placeId: string;
  readonly mass: Mass;
  readonly cost: Money;
}

/** A bill that came after the hay it belongs to: freight, or another charge. */
export interface LateCostEntry extends EntryHead {
  readonly kind: 'late-cost';
  readonly receiptId: string;
  readonly amount: Money;
  readonly owed: 'freight' | 'charges';
}

export interface FeedEntry extends EntryHead {
  readonly kind: 'feed';
  readonly lotId: string;
  readonly placeId: string;
  readonly herdId: string;
  readonly mass: Mass;
}

export interface SaleEntry extends EntryHead {
  readonly kind: 'sale';
  readonly lotId: string;
  readonly placeId: string;
  readonly mass: Mass;
  readonly proceeds?: Money;
}

/**
 * What a loss or a count difference does to the money.
 * `into-unit-cost`: normal; the money stays and the unit cost of what is left changes.
 * `expense`: abnormal; the money of the difference is taken out (or in) at the present unit cost.
 */
export type DifferenceTreatment = 'into-unit-cost' | 'expense';

/** Storage loss: `into-unit-cost` when normal, `expense` when abnormal (fire, flood, theft). */
export interface ShrinkEntry extends EntryHead {
  readonly kind: 'shrink';
  readonly lotId: string;
  readonly placeId: string;
  readonly mass: Mass;
  readonly treatment: DifferenceTreatment;
}

/**
 * A physical count differs from the books: `change` is what was counted less what the books said. `hayKind` is needed
 * only where hay is found in a lot that has no receipt yet.
 */
export interface CountAdjustmentEntry extends EntryHead {
  readonly kind: 'count-adjustment';
  readonly lotId: string;
  readonly hayKind?: string;
  readonly placeId: string;
  readonly change: Mass;
  readonly treatment: DifferenceTreatment;
}

/** Hay hauled to another place, or moved into another lot of the same kind. */
export interface TransferEntry extends EntryHead {
  readonly kind: 'transfer';
  readonly fromLotId: string;
  readonly fromPlaceId: string;
  readonly toLotId: string;
  readonly toPlaceId: string;
  readonly mass: Mass;
}

/** Undoes one earlier entry, on its own day. */
export interface ReversalEntry extends EntryHead {
  readonly kind: 'reversal';
  readonly reverses: string;
  readonly reason: string;
}

export type CostingEntry =
  | PurchaseEntry
  | HarvestEntry
  | LateCostEntry
  | FeedEntry
  | SaleEntry
  | ShrinkEntry
  | CountAdjustmentEntry
  | TransferEntry
  | ReversalEntry;
