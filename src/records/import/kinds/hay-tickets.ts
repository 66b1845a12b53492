import { Injectable } from '@nestjs/common';
import type { Currency } from '../../../core/units/money.js';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { createHayPurchase } from '../../hay/purchases/hay-purchase.schema.js';
import { HayPurchaseService } from '../../hay/purchases/hay-purchase.service.js';
import { MOISTURE_ALLOWED } from '../../hay/purchases/ticket.schema.js';
import { aNumber, aWhole, type ColumnSet, needed, optional } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, type ImportKind, oneByOne, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';
import {
  AMOUNT,
  NEW_LOT_COLUMNS,
  priceFamily,
  putLot,
  putPrice,
  putReceivedWeight,
  RECEIVED_WEIGHTS,
} from './received-hay.js';

type Body = Parameters<HayPurchaseService['record']>[1];

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
        ...NEW_LOT_COLUMNS,
        optional('bale_count', 'Bales', aWhole('a whole number, 1 to 100000')),
        optional('bales_weighed', 'How many bales were weighed for the mean', aWhole('a whole number, 1 to 10000')),
        optional(`freight_${code}`, `Freight, in ${currency}`, aNumber(AMOUNT)),
        optional(`charges_${code}`, `Other charges, in ${currency}`, aNumber(AMOUNT)),
        optional('moisture_percent', 'Moisture at delivery, %', aNumber(MOISTURE_ALLOWED)),
        optional('ticket_number', 'Number of the scale ticket', 'a line of at most 60 letters'),
        optional('note', 'Free text', 'text'),
      ],
      families: [...RECEIVED_WEIGHTS, priceFamily(currency, 'price', 'Price')],
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
        ticket_number: '4471',
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
    putLot(draft, row, names);
    draft.count('/baleCount', row, 'bale_count');
    putReceivedWeight(draft, row);
    putPrice(draft, row, '/price', 'price');
    draft.text('/freight', row, `freight_${code}`);
    draft.text('/charges', row, `charges_${code}`);
    draft.text('/moisturePercent', row, 'moisture_percent');
    draft.text('/ticketNumber', row, 'ticket_number');
    draft.text('/note', row, 'note');
    return draft.parsedBy(bodyOf(createHayPurchase));
  }

  async record(tenant: OperationTenant, body: Body, names: NameBook): Promise<SubjectRef> {
    const ticket = await this.purchases.record(tenant, body, undefined);
    if ('name' in body.lot) names.add('lot', body.lot.name, ticket.hayLotId);
    return { kind: 'hay-purchase', id: ticket.id };
  }
}
