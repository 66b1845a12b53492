import { Injectable } from '@nestjs/common';
import type { Currency } from '../../../core/units/money.js';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { createHarvest } from '../../hay/harvests/harvest.schema.js';
import { HarvestService } from '../../hay/harvests/harvest.service.js';
import { MOISTURE_ALLOWED } from '../../hay/purchases/ticket.schema.js';
import { aNumber, aWhole, type ColumnSet, needed, optional } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, type ImportKind, oneByOne, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';
import { NEW_LOT_COLUMNS, priceFamily, putLot, putPrice, putReceivedWeight, RECEIVED_WEIGHTS } from './received-hay.js';

type Body = Parameters<HarvestService['record']>[1];

@Injectable()
export class HarvestImport implements ImportKind<Body> {
  readonly code = 'harvests';
  readonly title = 'Own hay';
  readonly description =
    'One row a harvest that went into a lot, at its cost of production. A lot that exists is named alone; a new one ' +
    'is described by ranch, hay_kind, bale_form and storage_method, and is made by its first row.';

  constructor(private readonly harvests: HarvestService) {}

  columns(currency: Currency): ColumnSet {
    return {
      plain: [
        needed('harvested_on', 'Day it was put up', DAY_ALLOWED),
        needed('lot', 'Name or id of the lot; a new name makes a new lot', 'a name or an id'),
        optional('field', 'Field where it grew', 'a line of text'),
        ...NEW_LOT_COLUMNS.filter(({ name }) => name !== 'harvested_on'),
        optional('bale_count', 'Bales', aWhole('a whole number, 1 to 100000')),
        optional('bales_weighed', 'How many bales were weighed for the mean', aWhole('a whole number, 1 to 10000')),
        optional('moisture_percent', 'Moisture at stacking, %', aNumber(MOISTURE_ALLOWED)),
        optional('note', 'Free text', 'text'),
      ],
      families: [...RECEIVED_WEIGHTS, priceFamily(currency, 'cost', 'Cost of production')],
    };
  }

  sample(currency: Currency): readonly SampleRow[] {
    return [
      {
        harvested_on: '2026-07-08',
        lot: 'Own meadow',
        field: 'Creek field',
        ranch: 'Home ranch',
        hay_kind: 'meadow',
        bale_form: 'round',
        storage_method: 'tarp',
        bale_count: '60',
        mean_bale_weight_lb: '1180',
        bales_weighed: '6',
        [`cost_${currency.toLowerCase()}_per_ton`]: '62.5',
      },
    ];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return oneByOne(rows);
  }

  parse(draft: RecordDraft, names: NameBook): Body | undefined {
    const row = draft.common('lot');
    draft.text('/harvestedOn', row, 'harvested_on');
    draft.text('/field', row, 'field');
    putLot(draft, row, names, { harvestedOn: undefined });
    draft.count('/baleCount', row, 'bale_count');
    putReceivedWeight(draft, row);
    putPrice(draft, row, '/cost', 'cost');
    draft.text('/moisturePercent', row, 'moisture_percent');
    draft.text('/note', row, 'note');
    return draft.parsedBy(bodyOf(createHarvest));
  }

  async record(tenant: OperationTenant, body: Body, names: NameBook): Promise<SubjectRef> {
    const harvest = await this.harvests.record(tenant, body, undefined);
    if ('name' in body.lot) names.add('lot', body.lot.name, harvest.hayLotId);
    return { kind: 'harvest', id: harvest.id };
  }
}
