import { Injectable } from '@nestjs/common';
import type { Currency } from '../../../core/units/money.js';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { createYardageRate } from '../../yard/yardage-rates/yardage-rate.schema.js';
import { YardageRateService } from '../../yard/yardage-rates/yardage-rate.service.js';
import { aNumber, type ColumnSet, needed, optional } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, type ImportKind, oneByOne, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';

type Body = Parameters<YardageRateService['record']>[1];

@Injectable()
export class YardageRateImport implements ImportKind<Body> {
  readonly code = 'yardage-rates';
  readonly title = 'Yardage rates';
  readonly description =
    'One row a rate from a day on; without a herd it is for all that have no rate of their own. A rate of the same ' +
    'day supersedes.';

  constructor(private readonly rates: YardageRateService) {}

  columns(currency: Currency): ColumnSet {
    const code = currency.toLowerCase();
    return {
      plain: [
        needed('from_on', 'Day from which the rate holds', DAY_ALLOWED),
        optional('herd', 'Which herd; all without a rate of their own if empty', 'the name or id of a herd'),
        needed(
          `rate_${code}`,
          `What a head costs a day besides feed, in ${currency}`,
          aNumber('an amount with at most four decimals'),
        ),
      ],
      families: [],
    };
  }

  sample(currency: Currency): readonly SampleRow[] {
    return [
      { from_on: '2026-11-01', [`rate_${currency.toLowerCase()}`]: '0.45' },
      { from_on: '2026-11-01', herd: 'Weaned calves', [`rate_${currency.toLowerCase()}`]: '0.38' },
    ];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return oneByOne(rows);
  }

  parse(draft: RecordDraft, names: NameBook, currency: Currency): Body | undefined {
    const row = draft.common('from_on');
    names.resolve(draft, '/herdId', row, 'herd', 'herd');
    draft.text('/fromOn', row, 'from_on');
    draft.text('/perHeadDay', row, `rate_${currency.toLowerCase()}`);
    return draft.parsedBy(bodyOf(createYardageRate));
  }

  async record(tenant: OperationTenant, body: Body): Promise<SubjectRef> {
    return { kind: 'yardage-rate', id: (await this.rates.record(tenant, body)).id };
  }
}
