import { Injectable } from '@nestjs/common';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { createStockCount } from '../../hay/stock-counts/stock-count.schema.js';
import { StockCountService } from '../../hay/stock-counts/stock-count.service.js';
import { STOCK_TREATMENTS } from '../../../platform/wire/words.data.js';
import { aNumber, type ColumnSet, massFamily, needed, oneOf, optional } from '../columns.js';
import { BALES_ALLOWED, putQuantity } from './drawn-hay.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, type ImportKind, oneByOne, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';

type Body = Parameters<StockCountService['record']>[1];

@Injectable()
export class StockCountImport implements ImportKind<Body> {
  readonly code = 'stock-counts';
  readonly title = 'Counts of hay';
  readonly description =
    'One row a lot that was counted: what lay there on that day, by weight or in bales, and why it was counted.';

  constructor(private readonly counts: StockCountService) {}

  columns(): ColumnSet {
    return {
      plain: [
        needed('counted_on', 'Day of the count', DAY_ALLOWED),
        needed('lot', 'The lot that was counted', 'the name or id of a lot'),
        needed('reason', 'Why it was counted', 'a line of text'),
        optional('bales', 'Bales, instead of a weight', aNumber(BALES_ALLOWED)),
        optional('treatment', 'What becomes of a difference; into-unit-cost if empty', oneOf(STOCK_TREATMENTS)),
      ],
      families: [massFamily('weight', 'Weight that was found')],
    };
  }

  sample(): readonly SampleRow[] {
    return [{ counted_on: '2027-01-14', lot: 'Meadow, first cutting', reason: 'Winter count', weight_ton: '19.5' }];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return oneByOne(rows);
  }

  parse(draft: RecordDraft, names: NameBook): Body | undefined {
    const row = draft.common('lot');
    names.resolve(draft, '/hayLotId', row, 'lot', 'lot');
    draft.text('/countedOn', row, 'counted_on');
    putQuantity(draft, row, '/counted', false);
    draft.text('/treatment', row, 'treatment');
    draft.text('/reason', row, 'reason');
    return draft.parsedBy(bodyOf(createStockCount));
  }

  /** A count is judged by those before it. */
  order(body: Body): string {
    return body.countedOn;
  }

  async record(tenant: OperationTenant, body: Body): Promise<SubjectRef> {
    return { kind: 'stock-count', id: (await this.counts.record(tenant, body, undefined)).id };
  }
}
