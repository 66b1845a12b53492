/** What a movement does to a lot: brings hay in, takes hay out, or either (a count may find more or less). */
export type MassEffect = 'adds' | 'draws' | 'either';

export interface MovementKindRow {
  readonly mass: MassEffect;
  /** The kind of record that posts it. */
  readonly record: string;
}

/**
 * The kinds of movement in the hay ledger. Columns, the costing of entries, the API's words and the check of the
 * database are made from this list or held to it. A reversal undoes one other movement, by the opposite amount.
 */
export const MOVEMENT_KINDS = {
  purchase: { mass: 'adds', record: 'hay-purchase' },
  harvest: { mass: 'adds', record: 'harvest' },
  'transfer-in': { mass: 'adds', record: 'hay-transfer' },
  'transfer-out': { mass: 'draws', record: 'hay-transfer' },
  feed: { mass: 'draws', record: 'feeding' },
  shrink: { mass: 'draws', record: 'storage-shrink' },
  'count-adjustment': { mass: 'either', record: 'stock-count' },
  sale: { mass: 'draws', record: 'hay-sale' },
  reversal: { mass: 'either', record: 'reversal' },
} as const satisfies Record<string, MovementKindRow>;

export type MovementKind = keyof typeof MOVEMENT_KINDS;
export const MOVEMENT_KIND_CODES = Object.keys(MOVEMENT_KINDS) as [MovementKind, ...MovementKind[]];
