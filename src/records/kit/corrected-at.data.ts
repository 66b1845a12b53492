import type { RecordKind } from '../../platform/wire/record-kinds.data.js';

/** Where entries of each kind are read, reversed and corrected, within their operation; of the others, nothing is. */
export const CORRECTED_AT = {
  'hay-purchase': '/hay-purchases',
  harvest: '/harvests',
  'hay-sale': '/hay-sales',
  'hay-transfer': '/hay-transfers',
  'stock-count': '/stock-counts',
  'storage-shrink': '/storage-shrinks',
  'late-cost': '/late-costs',
  feeding: '/feedings',
  'herd-cost': '/herd-costs',
} as const satisfies Partial<Record<RecordKind, string>>;
