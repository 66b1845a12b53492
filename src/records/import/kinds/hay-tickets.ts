import { Injectable } from '@nestjs/common';
import { HAY_KIND_CODES } from '../../../core/feeds/hay-kinds.data.js';
import type { Currency } from '../../../core/units/money.js';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { createHayPurchase } from '../../hay/purchases/hay-purchase.schema.js';
import { HayPurchaseService } from '../../hay/purchases/hay-purchase.service.js';
import { MOISTURE_ALLOWED } from '../../hay/purchases/ticket.schema.js';
import { aNumber, aWhole, type ColumnFamily, type ColumnSet, massFamily, needed, oneOf, optional } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, type ImportKind, oneByOne, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';
import { BALE_FORMS, STORAGE_METHODS } from '../../../platform/wire/words.data.js';

type Body = Parameters<HayPurchaseService['record']>[1];

const AMOUNT = 'an amount with a point and at most two decimals';

function priceFamily(currency: Currency): ColumnFamily {
  const code = currency.toLowerCase();
  const column = (unit: string, name: string, what: string) => ({
    name,
    unit,
    required: false,
    what: `${what}, in ${currency}`,
    allowed: AMOUNT,
    holds: 'number' as const,
  });
  return {
    stem: 'price',
    what: 'Price',
    required: true,
    columns: [
      column('ton', `price_${code}_per_ton`, 'Price of a short ton'),
      column('t', `price_${code}_per_t`, 'Price of a metric ton'),
      column('lb', `price_${code}_per_lb`, 'Price of a pound'),
      column('kg', `price_${code}_per_kg`, 'Price of a kilogram'),
      column('bale', `price_${code}_per_bale`, 'Price of a bale'),
      column('lot', `price_${code}_lump_sum`, 'Price of all of it'),
    ],
  };
}

@Injectable()
export class HayTicketImport implements ImportKind<Body> {
  readonly code = 'hay-tickets';
  readonly title = 'Hay bought';
  readonly description =
    'One row a ticket. A lot that exists is named alone; a new one is described by ranch, hay_kind, bale_form ' +
    'and storage_method, and is made by its first ticket. The weight is a net weight, a gross and a tare, or ' +
    'the mean of weighed bales.';

  constructor(private readonly purchases: HayPurchaseService) {}

  columns(currency: Currency): ColumnSet {
    const code = currency.toLowerCase();
    return {
      plain: [
        needed('vendor', 'Who sold it', 'a line of text'),
        needed('purchased_on', 'Day of the ticket', DAY_ALLOWED),
        needed('lot', 'Name or id of the lot; a new name makes a new lot', 'a name or an id'),
        optional('ranch', 'New lot: the ranch where it is', 'the name or id of a ranch'),
        optional('place', 'New lot: the place where it is', 'the name or id of a place'),
        optional('hay_kind', 'New lot: kind of hay', oneOf(HAY_KIND_CODES)),
        optional('cutting', 'New lot: which cutting', aWhole('1 to 9')),
        optional('harvested_on', 'New lot: day it was baled', DAY_ALLOWED),
        optional('bale_form', 'New lot: form', oneOf(BALE_FORMS)),
        optional('storage_method', 'New lot: how it is stored', oneOf(STORAGE_METHODS)),
        optional('stored_since', 'New lot: day from which it has been stored this way', DAY_ALLOWED),
        optional('bale_count', 'Bales', aWhole('a whole number, 1 to 100000')),
        optional('bales_weighed', 'How many bales were weighed for the mean', aWhole('a whole number, 1 to 10000')),
        optional(`freight_${code}`, `Freight, in ${currency}`, aNumber(AMOUNT)),
        optional(`charges_${code}`, `Other charges, in ${currency}`, aNumber(AMOUNT)),
        optional('moisture_percent', 'Moisture at delivery, %', aNumber(MOISTURE_ALLOWED)),
        optional('note', 'Free text', 'text'),
      ],
      families: [
        massFamily('net_weight', 'Net weight'),
        massFamily('gross_weight', 'Weight of the full truck'),
        massFamily('tare_weight', 'Weight of the empty truck'),
        massFamily('mean_bale_weight', 'Mean weight of the weighed bales'),
        massFamily('bale_weight_sd', 'Standard deviation of the weighed bales'),
        priceFamily(currency),
      ],
    };
  }

  sample(currency: Currency): readonly SampleRow[] {
    const code = currency.toLowerCase();
    return [
      {
        vendor: 'Creek bottom hay',
        purchased_on: '2026-10-02',
        lot: 'Meadow, first cutting',
        ranch: 'Home ranch',
        hay_kind: 'meadow',
        bale_form: 'round',
        storage_method: 'tarp',
        bale_count: '40',
        net_weight_lb: '47600',
        [`price_${code}_per_ton`]: '145',
        [`freight_${code}`]: '310.50',
      },
      {
        vendor: 'Bench fields',
        purchased_on: '2026-10-09',
        lot: 'Alfalfa, second cutting',
        ranch: 'Home ranch',
        hay_kind: 'alfalfa',
        bale_form: 'large-square',
        storage_method: 'under-roof',
        bale_count: '24',
        gross_weight_lb: '61240',
        tare_weight_lb: '28860',
        [`price_${code}_per_bale`]: '118',
      },
    ];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return oneByOne(rows);
  }

  parse(draft: RecordDraft, names: NameBook, currency: Currency): Body | undefined {
    const row = draft.common('lot');
    const code = currency.toLowerCase();
    draft.text('/vendor', row, 'vendor');
    draft.text('/purchasedOn', row, 'purchased_on');
    this.#lot(draft, row, names);
    draft.count('/baleCount', row, 'bale_count');
    this.#weight(draft, row);
    const price = draft.oneOf(row, 'price');
    const cell = { row: row.number, column: price?.column ?? draft.firstColumnOf('price') };
    draft.put(
      '/price/basis',
      price === undefined || price.unit === 'lot' ? 'lump-sum' : price.unit === 'bale' ? 'per-bale' : 'per-mass',
      cell,
    );
    draft.put('/price/amount', price?.given, cell);
    if (price !== undefined && price.unit !== 'lot' && price.unit !== 'bale') draft.put('/price/per', price.unit, cell);
    draft.text('/freight', row, `freight_${code}`);
    draft.text('/charges', row, `charges_${code}`);
    draft.text('/moisturePercent', row, 'moisture_percent');
    draft.text('/note', row, 'note');
    return draft.parsedBy(bodyOf(createHayPurchase));
  }

  async record(tenant: OperationTenant, body: Body, names: NameBook): Promise<SubjectRef> {
    const ticket = await this.purchases.record(tenant, body, undefined);
    if ('name' in body.lot) names.add('lot', body.lot.name, ticket.hayLotId);
    return { kind: 'hay-purchase', id: ticket.id };
  }

  #lot(draft: RecordDraft, row: FileRow, names: NameBook): void {
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
    draft.text('/lot/harvestedOn', row, 'harvested_on');
    draft.text('/lot/baleForm', row, 'bale_form');
    draft.text('/lot/storageMethod', row, 'storage_method');
    draft.text('/lot/storedSince', row, 'stored_since');
  }

  #weight(draft: RecordDraft, row: FileRow): void {
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
}
