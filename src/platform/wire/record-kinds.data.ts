/** How a dated record relates to the books: an entry in them, or a measurement that does not change them. */
export interface RecordKindRow {
  /** Entries and their reversals cannot be dated into a closed period; a measurement may be withdrawn at any time. */
  readonly entersTheBooks: boolean;
  /** It brings in hay with a cost of its own, which a later bill may add to. */
  readonly receipt?: true;
}

/** The kinds of dated record that people may write and reverse. */
export const RECORD_KINDS = {
  'hay-purchase': { entersTheBooks: true, receipt: true },
  harvest: { entersTheBooks: true, receipt: true },
  'hay-sale': { entersTheBooks: true },
  'hay-transfer': { entersTheBooks: true },
  'stock-count': { entersTheBooks: true },
  'storage-shrink': { entersTheBooks: true },
  'late-cost': { entersTheBooks: true },
  feeding: { entersTheBooks: true },
  'yardage-rate': { entersTheBooks: true },
  'herd-cost': { entersTheBooks: true },
  'storage-measurement': { entersTheBooks: false },
  'lab-test': { entersTheBooks: false },
  'hay-observation': { entersTheBooks: false },
  'hay-quote': { entersTheBooks: false },
  'weigh-in': { entersTheBooks: false },
  'herd-event': { entersTheBooks: false },
  'weather-day': { entersTheBooks: false },
  'water-check': { entersTheBooks: false },
  'trial-event': { entersTheBooks: false },
} as const satisfies Record<string, RecordKindRow>;

export type RecordKind = keyof typeof RECORD_KINDS;
export const RECORD_KIND_CODES = Object.keys(RECORD_KINDS) as RecordKind[];

/** Kinds of record that bring in hay. */
export type ReceiptKind = {
  [Kind in RecordKind]: (typeof RECORD_KINDS)[Kind] extends { readonly receipt: true } ? Kind : never;
}[RecordKind];
export const RECEIPT_KINDS = RECORD_KIND_CODES.filter((kind) => 'receipt' in RECORD_KINDS[kind]) as [
  ReceiptKind,
  ...ReceiptKind[],
];
export const BOOK_RECORD_KINDS = RECORD_KIND_CODES.filter((kind) => RECORD_KINDS[kind].entersTheBooks);

/** A record, named by its kind. */
export interface RecordReference {
  readonly kind: RecordKind;
  readonly id: string;
}
