import { Injectable } from '@nestjs/common';
import type { Currency } from '../../../core/units/money.js';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { createHaySale } from '../../hay/sales/hay-sale.schema.js';
import { HaySaleService } from '../../hay/sales/hay-sale.service.js';
import { aNumber, type ColumnSet, needed, optional } from '../columns.js';
import { BALES_ALLOWED, DRAWN_WEIGHTS, putQuantity } from './drawn-hay.js';
import { priceFamily, putPrice } from './received-hay.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, type ImportKind, oneByOne, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';

type Body = Parameters<HaySaleService['record']>[1];

@Injectable()
export class HaySaleImport implements ImportKind<Body> {
  readonly code = 'hay-sales';
  readonly title = 'Hay sold';
  readonly description = 'One row a sale out of a lot: by weight, by gross and tare, or in bales.';

  constructor(private readonly sales: HaySaleService) {}

  columns(currency: Currency): ColumnSet {
    return {
      plain: [
        needed('buyer', 'Who bought it', 'a line of text'),
        needed('sold_on', 'Day of the sale', DAY_ALLOWED),
        needed('lot', 'The lot it came from', 'the name or id of a lot'),
        optional('bales', 'Bales, instead of a weight', aNumber(BALES_ALLOWED)),
        optional('ticket_number', 'Number of the scale ticket', 'a line of at most 60 letters'),
        optional('note', 'Free text', 'text'),
      ],
      families: [...DRAWN_WEIGHTS, priceFamily(currency, 'price', 'Price')],
    };
  }

  sample(currency: Currency): readonly SampleRow[] {
    return [
      {
        buyer: 'A neighbor',
        sold_on: '2026-12-04',
        lot: 'Meadow, first cutting',
        weight_lb: '2400',
        [`price_${currency.toLowerCase()}_per_ton`]: '160',
      },
    ];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return oneByOne(rows);
  }

  parse(draft: RecordDraft, names: NameBook): Body | undefined {
    const row = draft.common('lot');
    names.resolve(draft, '/hayLotId', row, 'lot', 'lot');
    draft.text('/buyer', row, 'buyer');
    draft.text('/soldOn', row, 'sold_on');
    putQuantity(draft, row, '/quantity');
    putPrice(draft, row, '/price', 'price');
    draft.text('/ticketNumber', row, 'ticket_number');
    draft.text('/note', row, 'note');
    return draft.parsedBy(bodyOf(createHaySale));
  }

  async record(tenant: OperationTenant, body: Body): Promise<SubjectRef> {
    return { kind: 'hay-sale', id: (await this.sales.record(tenant, body, undefined)).id };
  }
}
