import type { RecordKind } from '../../platform/wire/record-kinds.data.js';

/** Where entries of these kinds are corrected in one call, within their operation. */
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
  'weigh-in': '/weigh-ins',
  'head-change': '/herds/:herdId/head-changes',
  'herd-event': '/herds/:herdId/events',
} as const satisfies Partial<Record<RecordKind | 'head-change', string>>;

export type CorrectedKind = keyof typeof CORRECTED_AT;

/** An entry that can be corrected; of what belongs to a herd, with its herd. */
export interface CorrectedEntry {
  readonly kind: CorrectedKind;
  readonly id: string;
  readonly herdId?: string | null | undefined;
}

/** The request that corrects an entry, as in "POST /hay-sales/…/correction"; undefined of kinds that have none. */
export function correctionOf(entry: {
  readonly kind: string;
  readonly id: string;
  readonly herdId?: string | null | undefined;
}): string | undefined {
  if (!hasCorrection(entry.kind)) return undefined;
  return `POST ${CORRECTED_AT[entry.kind].replace(':herdId', entry.herdId ?? '{herdId}')}/${entry.id}/correction`;
}

function hasCorrection(kind: string): kind is CorrectedKind {
  return Object.hasOwn(CORRECTED_AT, kind);
}

/** As in "hay purchase". */
export const kindInWords = (kind: string): string => kind.replaceAll('-', ' ');
