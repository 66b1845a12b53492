import type { Mass } from '../../../core/units/mass.js';
import { LAB_NUTRIENTS } from '../../../core/nutrients/nutrients.js';
import { nameKey } from '../../../core/units/name-key.js';
import type { FileRow } from '../csv-file.js';
import type { ImportKindCode } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';
import { labStem } from '../kinds/lab-tests.js';
import { kilogramsKey, likenessOf, type Likeness, massKey, massOf, namedKey, numberKey } from './likeness.js';

const receivedLikeness = (draft: RecordDraft, names: NameBook, day: string): Likeness | undefined =>
  likenessOf(
    textOf(draft, day),
    [namedKey(names, 'lot', textOf(draft, 'lot')), kilogramsKey(ticketMass(draft)?.kilograms ?? null)],
    textOf(draft, 'ticket_number'),
  );
const drawnLikeness = (draft: RecordDraft, names: NameBook, day: string): Likeness | undefined =>
  likenessOf(
    textOf(draft, day),
    [namedKey(names, 'lot', textOf(draft, 'lot')), namedKey(names, 'lot', textOf(draft, 'to_lot')), takenKey(draft)],
    textOf(draft, 'ticket_number'),
  );

/** How the rows of one record look, to be held against others of the file and what stands (`StandingLikenessRead`). */
export type RowLikeness = (draft: RecordDraft, names: NameBook) => Likeness | undefined;

const textOf = (draft: RecordDraft, column: string): string | undefined => draft.common(column).cells.get(column);
const numberOf = (draft: RecordDraft, column: string): string => numberKey(textOf(draft, column));

/** Who or what it is of, on which day, how heavy: the same for each kind as the ledger keeps it. */
export const ROW_LIKENESS: Readonly<Record<ImportKindCode, RowLikeness>> = {
  'hay-tickets': (draft, names) => receivedLikeness(draft, names, 'purchased_on'),
  harvests: (draft, names) => receivedLikeness(draft, names, 'harvested_on'),
  'hay-sales': (draft, names) => drawnLikeness(draft, names, 'sold_on'),
  'hay-transfers': (draft, names) => drawnLikeness(draft, names, 'moved_on'),
  'stock-counts': (draft, names) => drawnLikeness(draft, names, 'counted_on'),
  'late-costs': (draft, names) =>
    likenessOf(textOf(draft, 'billed_on'), [
      namedKey(names, 'lot', textOf(draft, 'lot')),
      textOf(draft, 'owed'),
      nameKey(textOf(draft, 'biller') ?? ''),
    ]),
  'yardage-rates': (draft, names) =>
    likenessOf(textOf(draft, 'from_on'), [namedKey(names, 'herd', textOf(draft, 'herd'))]),
  'lab-tests': (draft, names) =>
    likenessOf(textOf(draft, 'sampled_on'), [
      namedKey(names, 'lot', textOf(draft, 'lot')),
      numberKey(textOf(draft, 'report_number')),
      ...LAB_NUTRIENTS.map((nutrient) => {
        const found = draft.oneOf(draft.common('lot'), labStem(nutrient));
        return found === undefined ? '' : `${numberKey(found.given)} ${found.unit}`;
      }),
    ]),
  feedings: (draft, names) =>
    likenessOf(textOf(draft, 'fed_on'), [
      namedKey(names, 'herd', textOf(draft, 'herd')),
      instantKey(textOf(draft, 'fed_at')),
      draft.rows
        .map((row) => `${namedKey(names, 'lot', row.cells.get('lot'))} ${drawnKey(draft, row)}`)
        .sort()
        .join(' '),
    ]),
  'animal-weights': (draft, names) =>
    likenessOf(textOf(draft, 'weighed_on'), [
      namedKey(names, 'herd', textOf(draft, 'herd')),
      textOf(draft, 'electronic_id') ?? numberKey(textOf(draft, 'visual_tag')),
      massKey(draft, draft.common('herd'), 'weight'),
    ]),
  'group-weights': (draft, names) => {
    const row = draft.common('head');
    const mean = massOf(draft, row, 'mean_weight') ?? meanOf(draft, row);
    return likenessOf(textOf(draft, 'weighed_on'), [
      namedKey(names, 'herd', textOf(draft, 'herd')),
      numberOf(draft, 'head'),
      kilogramsKey(mean?.kilograms ?? null),
    ]);
  },
  'head-changes': (draft, names) =>
    likenessOf(textOf(draft, 'happened_on'), [
      namedKey(names, 'herd', textOf(draft, 'herd')),
      textOf(draft, 'kind'),
      numberOf(draft, 'head'),
      namedKey(names, 'herd', textOf(draft, 'to_herd')),
    ]),
  'herd-events': (draft, names) =>
    likenessOf(textOf(draft, 'happened_on'), [
      namedKey(names, 'herd', textOf(draft, 'herd')),
      textOf(draft, 'kind'),
      textOf(draft, 'last_on'),
      numberOf(draft, 'head_checked'),
      numberOf(draft, 'head_open'),
      numberOf(draft, 'score'),
      textOf(draft, 'cattle_class'),
      massKey(draft, draft.common('herd'), 'weight') || massKey(draft, draft.common('herd'), 'daily_gain'),
    ]),
  'hay-observations': (draft, names) => {
    const row = draft.common('lot');
    const probe = draft.oneOf(row, 'probe');
    return likenessOf(textOf(draft, 'seen_on'), [
      namedKey(names, 'lot', textOf(draft, 'lot')),
      ...['mold', 'dust', 'smell', 'color', 'heat_felt'].map((column) => textOf(draft, column)),
      ...['bales_checked', 'bales_moldy', 'bales_spoiled', 'moisture_percent'].map((one) => numberOf(draft, one)),
      probe === undefined ? '' : `${numberKey(probe.given)} ${probe.unit}`,
    ]);
  },
};

export function instantKey(given: string | undefined): string {
  const moment = given === undefined ? Number.NaN : Date.parse(given);
  return Number.isNaN(moment) ? '' : new Date(moment).toISOString();
}

/** As `drawnKey`, with the truck scale. */
function takenKey(draft: RecordDraft): string {
  const row = draft.common('lot');
  const [gross, tare] = [massOf(draft, row, 'gross_weight'), massOf(draft, row, 'tare_weight')];
  return gross !== undefined && tare !== undefined ? kilogramsKey(gross.minus(tare).kilograms) : drawnKey(draft, row);
}

/** Bales, or a mass: what was drawn by the bale is known as that. */
function drawnKey(draft: RecordDraft, row: FileRow): string {
  const bales = row.cells.get('bales');
  return bales === undefined ? massKey(draft, row, 'weight') : `${numberKey(bales)} bale`;
}

function ticketMass(draft: RecordDraft): Mass | undefined {
  const row = draft.common('lot');
  const [net, gross, tare, bale] = ['net_weight', 'gross_weight', 'tare_weight', 'mean_bale_weight'].map((stem) =>
    massOf(draft, row, stem),
  );
  if (net !== undefined) return net;
  if (gross !== undefined && tare !== undefined) return gross.minus(tare);
  const count = Number(textOf(draft, 'bale_count'));
  return bale === undefined || !Number.isInteger(count) ? undefined : bale.times(count);
}

function meanOf(draft: RecordDraft, row: FileRow): Mass | undefined {
  const head = Number(row.cells.get('head'));
  const total = massOf(draft, row, 'total_weight');
  return total === undefined || !Number.isInteger(head) || head === 0 ? undefined : total.dividedBy(head);
}
