import { Injectable } from '@nestjs/common';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { HeadChangeService } from '../../cattle/herds/head-change.service.js';
import { createHeadChange } from '../../cattle/herds/herd.schema.js';
import type { Currency } from '../../../core/units/money.js';
import { aNumber, aWhole, type ColumnFamily, type ColumnSet, massFamily, needed, oneOf, optional } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, type ImportKind, oneByOne, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import { herdOfAddress } from './herd-of-address.js';
import type { RecordDraft } from '../record-draft.js';
import { HEAD_CHANGE_KINDS, HEAD_MONEY } from '../../../platform/wire/words.data.js';
import { AMOUNT } from './received-hay.js';

/** The body of the API's request, and the herd in its path. */
interface Body {
  herdId: string;
  change: Parameters<HeadChangeService['record']>[2];
}

@Injectable()
export class HeadChangeImport implements ImportKind<Body> {
  readonly code = 'head-changes';
  readonly title = 'Head moves';
  readonly description =
    "One row a change of a herd's count. A move names the herd that the cattle go to and writes both sides. " +
    'Rows are taken by their days, however the file is sorted.';

  constructor(private readonly headChanges: HeadChangeService) {}

  columns(currency: Currency): ColumnSet {
    return {
      plain: [
        needed('herd', 'Which herd', 'the name or id of a herd'),
        needed('kind', 'What happened', oneOf(HEAD_CHANGE_KINDS)),
        needed('head', 'How many', aWhole('a whole number above 0')),
        needed('happened_on', 'Day', DAY_ALLOWED),
        optional('to_herd', 'For a move: the herd they go to', 'the name or id of a herd'),
        optional('party', 'Whom they were bought from, or sold to', 'a line of text'),
        optional('price_how', 'Whether the price was paid or is a stated value', oneOf(HEAD_MONEY)),
        optional(
          'pencil_shrink_percent',
          'Taken off the weight on paper before it is paid',
          aNumber('percent, 0 to below 20; with a price by weight only'),
        ),
        optional('note', 'Free text', 'text'),
      ],
      families: [massFamily('mean_weight', 'Mean weight of these animals'), cattlePrices(currency)],
    };
  }

  sample(currency: Currency): readonly SampleRow[] {
    return [
      {
        herd: 'Weaned calves',
        kind: 'in',
        head: '100',
        happened_on: '2026-11-01',
        mean_weight_lb: '548',
        party: 'A neighbor',
        [`price_${currency.toLowerCase()}_per_cwt`]: '262.5',
        pencil_shrink_percent: '2',
      },
      { herd: 'Weaned calves', kind: 'move', head: '4', happened_on: '2027-01-20', to_herd: 'Sick pen' },
    ];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return oneByOne(rows);
  }

  parse(draft: RecordDraft, names: NameBook): Body | undefined {
    const row = draft.common('herd');
    const herdId = herdOfAddress(draft, row, names);
    draft.text('/kind', row, 'kind');
    draft.count('/head', row, 'head');
    draft.text('/happenedOn', row, 'happened_on');
    names.resolve(draft, '/toHerdId', row, 'to_herd', 'herd');
    draft.mass('/meanWeight', row, 'mean_weight');
    putCattlePrice(draft, row);
    draft.text('/note', row, 'note');
    const change = draft.parsedBy(bodyOf(createHeadChange));
    return change === undefined || herdId === undefined ? undefined : { herdId, change };
  }

  /** By day, and within a day those that come before those that go. */
  order({ change: { happenedOn, kind } }: Body): string {
    return `${happenedOn} ${kind === 'in' ? 0 : kind === 'move' ? 1 : 2}`;
  }

  async record(tenant: OperationTenant, body: Body): Promise<SubjectRef> {
    return { kind: 'head-change', id: (await this.headChanges.record(tenant, body.herdId, body.change, undefined)).id };
  }
}

/** What cattle are priced by: the head, weight, or all of them together. */
function cattlePrices(currency: Currency): ColumnFamily {
  const code = currency.toLowerCase();
  const column = (unit: string, name: string, of: string) => ({
    name: `price_${code}_${name}`,
    unit,
    required: false,
    what: `Price ${of}, in ${currency}`,
    allowed: AMOUNT,
    holds: 'number' as const,
  });
  return {
    stem: 'price',
    what: 'Price of the cattle',
    required: false,
    columns: [
      column('head', 'per_head', 'of one head'),
      column('cwt', 'per_cwt', 'of a hundredweight (100 lb)'),
      column('lb', 'per_lb', 'of a pound'),
      column('kg', 'per_kg', 'of a kilogram'),
      column('lot', 'lump_sum', 'of all of them'),
    ],
  };
}

/** A price that is not there is no price: the change can be priced later. */
function putCattlePrice(draft: RecordDraft, row: FileRow): void {
  const price = draft.oneOf(row, 'price');
  const others = ['party', 'price_how', 'pencil_shrink_percent'].filter((column) => row.cells.has(column));
  const [lonely] = others;
  if (price === undefined) {
    if (lonely !== undefined)
      draft.complain(
        row.number,
        lonely,
        'price-missing',
        row.cells.get(lonely) ?? null,
        'nothing, unless the row has a price',
        `${lonely} is part of a price, and the row has none.`,
      );
    return;
  }
  const cell = { row: row.number, column: price.column };
  const byMass = price.unit !== 'head' && price.unit !== 'lot';
  draft.put('/price/basis', price.unit === 'head' ? 'per-head' : price.unit === 'lot' ? 'lump-sum' : 'per-mass', cell);
  draft.put('/price/amount', price.given, cell);
  if (byMass) draft.put('/price/per', price.unit, cell);
  draft.text('/price/pencilShrinkPercent', row, 'pencil_shrink_percent');
  draft.text('/price/how', row, 'price_how');
  draft.text('/price/party', row, 'party');
}
