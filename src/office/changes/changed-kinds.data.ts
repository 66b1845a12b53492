/** Where the records of a kind are read; null where their address names another record too. */
export const CHANGED_KINDS = {
  'hay-purchase': 'hay-purchases',
  harvest: 'harvests',
  'hay-sale': 'hay-sales',
  'hay-transfer': 'hay-transfers',
  'stock-count': 'stock-counts',
  'storage-shrink': 'storage-shrinks',
  'late-cost': 'late-costs',
  feeding: 'feedings',
  'yardage-rate': 'yardage-rates',
  'herd-cost': 'herd-costs',
  'storage-measurement': null,
  'lab-test': 'lab-tests',
  'hay-observation': 'hay-observations',
  'hay-quote': 'hay-quotes',
  'weigh-in': 'weigh-ins',
  'herd-event': null,
  'head-change': null,
  'weather-day': 'weather-days',
  'water-check': 'water-checks',
  'hay-lot': 'hay-lots',
  herd: 'herds',
  ranch: 'ranches',
  place: 'places',
  'book-closing': 'closings',
  'account-map': null,
  operation: null,
} as const satisfies Record<string, string | null>;

/** Of the kinds without a path of their own, where under its herd a record is read. */
export const UNDER_HERD: Readonly<Partial<Record<ChangedKind, string>>> = {
  'herd-event': 'events',
  'head-change': 'head-changes',
};

export type ChangedKind = keyof typeof CHANGED_KINDS;
export const CHANGED_KIND_CODES = Object.keys(CHANGED_KINDS) as [ChangedKind, ...ChangedKind[]];

/** What may change how every open day of the journal reads: accounts, the costing method, days that are open again. */
export const CHANGE_OF_ALL: ReadonlySet<string> = new Set(['account-map.change', 'operation.change', 'books.reopen']);
