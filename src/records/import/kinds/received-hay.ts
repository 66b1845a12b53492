import { HAY_KIND_CODES } from '../../../core/feeds/hay-kinds.data.js';
import type { Currency } from '../../../core/units/money.js';
import { BALE_FORMS, STORAGE_METHODS } from '../../../platform/wire/words.data.js';
import { aWhole, type Column, type ColumnFamily, massFamily, oneOf, optional } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import { DAY_ALLOWED } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';

/* Columns that every file of hay that comes into a lot has, bought or raised. */

export const AMOUNT = 'an amount with a point and at most two decimals';

/** An amount per unit of mass, per bale or for all of it. */
export function priceFamily(currency: Currency, stem: string, what: string): ColumnFamily {
  const code = currency.toLowerCase();
  const column = (unit: string, name: string, of: string) => ({
    name,
    unit,
    required: false,
    what: `${what} ${of}, in ${currency}`,
    allowed: AMOUNT,
    holds: 'number' as const,
  });
  return {
    stem,
    what,
    required: true,
    columns: [
      column('ton', `${stem}_${code}_per_ton`, 'of a short ton'),
      column('t', `${stem}_${code}_per_t`, 'of a metric ton'),
      column('lb', `${stem}_${code}_per_lb`, 'of a pound'),
      column('kg', `${stem}_${code}_per_kg`, 'of a kilogram'),
      column('bale', `${stem}_${code}_per_bale`, 'of a bale'),
      column('lot', `${stem}_${code}_lump_sum`, 'of all of it'),
    ],
  };
}

/** What describes a lot that begins with its first hay. */
export const NEW_LOT_COLUMNS: readonly Column[] = [
  optional('ranch', 'New lot: the ranch where it is', 'the name or id of a ranch'),
  optional('place', 'New lot: the place where it is', 'the name or id of a place'),
  optional('hay_kind', 'New lot: kind of hay', oneOf(HAY_KIND_CODES)),
  optional('cutting', 'New lot: which cutting', aWhole('1 to 9')),
  optional('harvested_on', 'New lot: day it was baled', DAY_ALLOWED),
  optional('bale_form', 'New lot: form', oneOf(BALE_FORMS)),
  optional('storage_method', 'New lot: how it is stored', oneOf(STORAGE_METHODS)),
  optional('stored_since', 'New lot: day from which it has been stored this way', DAY_ALLOWED),
];

export const RECEIVED_WEIGHTS: readonly ColumnFamily[] = [
  massFamily('net_weight', 'Net weight'),
  massFamily('gross_weight', 'Weight of the full truck'),
  massFamily('tare_weight', 'Weight of the empty truck'),
  massFamily('mean_bale_weight', 'Mean weight of the weighed bales'),
  massFamily('bale_weight_sd', 'Standard deviation of the weighed bales'),
];

/** A lot that exists is named alone; a new one is described. */
export function putLot(
  draft: RecordDraft,
  row: FileRow,
  names: NameBook,
  { harvestedOn }: { harvestedOn: string | undefined } = { harvestedOn: 'harvested_on' },
): void {
  const given = row.cells.get('lot') ?? '';
  if (given !== '' && names.idsOf('lot', given).length > 0) {
    names.resolve(draft, '/lot/id', row, 'lot', 'lot');
    return;
  }
  draft.text('/lot/name', row, 'lot');
  names.resolve(draft, '/lot/ranchId', row, 'ranch', 'ranch');
  names.resolve(draft, '/lot/placeId', row, 'place', 'place');
  draft.text('/lot/hayKind', row, 'hay_kind');
  draft.count('/lot/cutting', row, 'cutting');
  if (harvestedOn !== undefined) draft.text('/lot/harvestedOn', row, harvestedOn);
  draft.text('/lot/baleForm', row, 'bale_form');
  draft.text('/lot/storageMethod', row, 'storage_method');
  draft.text('/lot/storedSince', row, 'stored_since');
}

/** A net weight, a gross and a tare, or the mean of weighed bales. */
export function putReceivedWeight(draft: RecordDraft, row: FileRow): void {
  const given = {
    net: draft.oneOf(row, 'net_weight'),
    gross: draft.oneOf(row, 'gross_weight'),
    tare: draft.oneOf(row, 'tare_weight'),
    bales: draft.oneOf(row, 'mean_bale_weight'),
  };
  if ([given.net, given.gross ?? given.tare, given.bales].filter((one) => one !== undefined).length > 1) {
    draft.complain(
      row.number,
      (given.net ?? given.bales)?.column ?? null,
      'two-weights',
      (given.net ?? given.bales)?.given ?? null,
      'a net weight, or gross and tare, or the mean of weighed bales',
      'The weight is given in more than one way.',
    );
  }
  const cell = (column: string | undefined) => ({ row: row.number, column: column ?? 'net_weight_lb' });
  if (given.bales !== undefined) {
    draft.put('/weight/basis', 'weighed-bales', cell(given.bales.column));
    draft.mass('/weight/meanBaleWeight', row, 'mean_bale_weight');
    draft.count('/weight/balesWeighed', row, 'bales_weighed');
    draft.mass('/weight/standardDeviation', row, 'bale_weight_sd');
  } else if (given.net === undefined && (given.gross ?? given.tare) !== undefined) {
    draft.put('/weight/basis', 'scale-ticket', cell((given.gross ?? given.tare)?.column));
    draft.mass('/weight/gross', row, 'gross_weight');
    draft.mass('/weight/tare', row, 'tare_weight');
  } else {
    draft.put('/weight/basis', 'net', cell(given.net?.column));
    draft.mass('/weight/net', row, 'net_weight');
  }
}

/** An amount per unit of mass, per bale or for all of it, at a pointer. */
export function putPrice(draft: RecordDraft, row: FileRow, pointer: string, stem: string): void {
  const price = draft.oneOf(row, stem);
  const cell = { row: row.number, column: price?.column ?? draft.firstColumnOf(stem) };
  draft.put(
    `${pointer}/basis`,
    price === undefined || price.unit === 'lot' ? 'lump-sum' : price.unit === 'bale' ? 'per-bale' : 'per-mass',
    cell,
  );
  draft.put(`${pointer}/amount`, price?.given, cell);
  if (price !== undefined && price.unit !== 'lot' && price.unit !== 'bale')
    draft.put(`${pointer}/per`, price.unit, cell);
}
