import { Injectable } from '@nestjs/common';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { createHayTransfer } from '../../hay/transfers/hay-transfer.schema.js';
import { HayTransferService } from '../../hay/transfers/hay-transfer.service.js';
import { STORAGE_METHODS } from '../../../platform/wire/words.data.js';
import { aNumber, type ColumnSet, needed, oneOf, optional } from '../columns.js';
import { BALES_ALLOWED, DRAWN_WEIGHTS, putQuantity } from './drawn-hay.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, type ImportKind, oneByOne, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';

type Body = Parameters<HayTransferService['record']>[1];

@Injectable()
export class HayTransferImport implements ImportKind<Body> {
  readonly code = 'hay-transfers';
  readonly title = 'Hay moved';
  readonly description =
    'One row a move from a lot to another lot, or to a new one at another place, which its first row makes.';

  constructor(private readonly transfers: HayTransferService) {}

  columns(): ColumnSet {
    return {
      plain: [
        needed('moved_on', 'Day of the move', DAY_ALLOWED),
        needed('lot', 'The lot it came from', 'the name or id of a lot'),
        needed('to_lot', 'The lot it went to; a new name makes a new lot', 'a name or an id'),
        optional('ranch', 'New lot: the ranch where it is', 'the name or id of a ranch'),
        optional('place', 'New lot: the place where it is', 'the name or id of a place'),
        optional('storage_method', 'New lot: how it is stored, if not as before', oneOf(STORAGE_METHODS)),
        optional('bales', 'Bales, instead of a weight', aNumber(BALES_ALLOWED)),
        optional('note', 'Free text', 'text'),
      ],
      families: DRAWN_WEIGHTS,
    };
  }

  sample(): readonly SampleRow[] {
    return [
      {
        moved_on: '2026-12-07',
        lot: 'Meadow, first cutting',
        to_lot: 'Meadow by the calving barn',
        ranch: 'Home ranch',
        storage_method: 'under-roof',
        weight_lb: '3600',
      },
    ];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return oneByOne(rows);
  }

  parse(draft: RecordDraft, names: NameBook): Body | undefined {
    const row = draft.common('lot');
    names.resolve(draft, '/fromLotId', row, 'lot', 'lot');
    const to = row.cells.get('to_lot') ?? '';
    if (to !== '' && names.idsOf('lot', to).length > 0) names.resolve(draft, '/to/id', row, 'to_lot', 'lot');
    else {
      draft.text('/to/name', row, 'to_lot');
      names.resolve(draft, '/to/ranchId', row, 'ranch', 'ranch');
      names.resolve(draft, '/to/placeId', row, 'place', 'place');
      draft.text('/to/storageMethod', row, 'storage_method');
    }
    draft.text('/movedOn', row, 'moved_on');
    putQuantity(draft, row, '/quantity');
    draft.text('/note', row, 'note');
    return draft.parsedBy(bodyOf(createHayTransfer));
  }

  async record(tenant: OperationTenant, body: Body, names: NameBook): Promise<SubjectRef> {
    const transfer = await this.transfers.record(tenant, body, undefined);
    if ('name' in body.to) names.add('lot', body.to.name, transfer.toLotId);
    return { kind: 'hay-transfer', id: transfer.id };
  }
}
