import { Injectable } from '@nestjs/common';
import type { Currency } from '../../../core/units/money.js';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { day } from '../../../platform/wire/common.schema.js';
import { LATE_COSTS_OWED } from '../../../platform/wire/words.data.js';
import { createLateCost } from '../../hay/late-costs/late-cost.schema.js';
import { LateCostService } from '../../hay/late-costs/late-cost.service.js';
import { MovementRead } from '../../hay/stock/movement.read.js';
import { aNumber, type ColumnSet, needed, oneOf, optional } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, type ImportKind, oneByOne, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';
import { AMOUNT } from './received-hay.js';

type Bill = Parameters<LateCostService['record']>[1];
/** The bill, and the hay that it is for as a file tells it. */
interface Body {
  readonly bill: Omit<Bill, 'receipt'>;
  readonly hayLotId: string;
  readonly receivedOn: string;
}

@Injectable()
export class LateCostImport implements ImportKind<Body> {
  readonly code = 'late-costs';
  readonly title = 'Late bills';
  readonly description =
    'One row a bill that came after its hay. The hay is told by its lot and the day it came; a day on which several ' +
    'loads came into a lot does not tell which one is meant, and is refused.';

  constructor(
    private readonly bills: LateCostService,
    private readonly movements: MovementRead,
  ) {}

  columns(currency: Currency): ColumnSet {
    return {
      plain: [
        needed('biller', 'Who sent the bill', 'a line of text'),
        needed('billed_on', 'Day of the bill', DAY_ALLOWED),
        needed('lot', 'The lot that the hay came into', 'the name or id of a lot'),
        needed('received_on', 'Day on which the hay came', DAY_ALLOWED),
        needed('owed', 'What it is for', oneOf(LATE_COSTS_OWED)),
        needed(`amount_${currency.toLowerCase()}`, `Amount, in ${currency}; a credit is below zero`, aNumber(AMOUNT)),
        optional('note', 'Free text', 'text'),
      ],
      families: [],
    };
  }

  sample(currency: Currency): readonly SampleRow[] {
    return [
      {
        biller: 'A hauler',
        billed_on: '2026-12-10',
        lot: 'Meadow, first cutting',
        received_on: '2026-10-02',
        owed: 'freight',
        [`amount_${currency.toLowerCase()}`]: '145.50',
      },
    ];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return oneByOne(rows);
  }

  parse(draft: RecordDraft, names: NameBook, currency: Currency): Body | undefined {
    const row = draft.common('lot');
    const hayLotId = names.resolve(draft, '/hayLotId', row, 'lot', 'lot');
    delete draft.body['hayLotId'];
    const receivedOn = row.cells.get('received_on');
    draft.put('/receipt', undefined, { row: row.number, column: 'received_on' });
    draft.text('/biller', row, 'biller');
    draft.text('/billedOn', row, 'billed_on');
    draft.text('/owed', row, 'owed');
    draft.text('/amount', row, `amount_${currency.toLowerCase()}`);
    draft.text('/note', row, 'note');
    for (const column of ['lot', 'received_on'])
      if (!row.cells.has(column))
        draft.complain(row.number, column, 'missing', null, 'a lot and the day its hay came', 'It is missing.');
    if (receivedOn !== undefined && !day.safeParse(receivedOn).success)
      draft.complain(row.number, 'received_on', 'invalid-format', receivedOn, DAY_ALLOWED.text, 'It is no day.');
    const bill = draft.parsedBy(bodyOf(createLateCost).omit({ receipt: true }));
    return bill === undefined || hayLotId === undefined || receivedOn === undefined
      ? undefined
      : { bill, hayLotId, receivedOn };
  }

  async record(tenant: OperationTenant, { bill, hayLotId, receivedOn }: Body): Promise<SubjectRef> {
    const [receipt, ...others] = await this.movements.receiptsOn(tenant, hayLotId, receivedOn);
    if (receipt === undefined || others.length > 0)
      throw ruleBroken(
        '#/receipt',
        receipt === undefined ? 'no-such-receipt' : 'receipt-not-unique',
        receivedOn,
        'the day of one ticket or harvest of that lot',
        receipt === undefined
          ? `No hay came into that lot on ${receivedOn}.`
          : `${others.length + 1} loads came into that lot on ${receivedOn}; enter this bill by itself.`,
      );
    return { kind: 'late-cost', id: (await this.bills.record(tenant, { ...bill, receipt })).id };
  }
}
