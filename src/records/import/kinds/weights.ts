import { Injectable } from '@nestjs/common';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { createWeighIn } from '../../cattle/weigh-ins/weigh-in.schema.js';
import { WeighInService } from '../../cattle/weigh-ins/weigh-in.service.js';
import { aNumber, aWhole, type ColumnSet, massFamily, needed, optional } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import {
  bodyOf,
  DAY_ALLOWED,
  groupedBy,
  type ImportKind,
  INSTANT_ALLOWED,
  oneByOne,
  type SampleRow,
} from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import { WEIGHING_FILLS } from '../../../platform/wire/words.data.js';
import type { RecordDraft } from '../record-draft.js';

type Body = Parameters<WeighInService['record']>[1];

const COMMON = [
  needed('herd', 'Which herd', 'the name or id of a herd'),
  needed('weighed_on', 'Day', DAY_ALLOWED),
  optional('weighed_at', 'Time, if it was noted', INSTANT_ALLOWED),
  needed('fill', 'Weighed full, or shrunk after a stand off feed and water', {
    text: 'full or shrunk',
    holds: WEIGHING_FILLS,
  }),
  optional('shrink_percent', 'Shrink to take off what was read, %', aNumber('0 to below 20')),
  optional('hours_off_feed', 'Hours off feed and water before weighing', aNumber('0 to 72')),
  optional('scale', 'Which scale', 'a line of text'),
  optional('note', 'Free text', 'text'),
] as const;

function common(draft: RecordDraft, names: NameBook): void {
  names.resolve(draft, '/herdId', draft.common('herd'), 'herd', 'herd');
  const texts = [
    ['/weighedOn', 'weighed_on'],
    ['/weighedAt', 'weighed_at'],
    ['/fill', 'fill'],
    ['/shrinkPercent', 'shrink_percent'],
    ['/hoursOffFeed', 'hours_off_feed'],
    ['/scale', 'scale'],
    ['/note', 'note'],
  ] as const;
  for (const [pointer, column] of texts) draft.text(pointer, draft.common(column), column);
}

/** A weight is held against the one before it, so they are taken as they were weighed. */
function dayAndTime({ weighedOn, weighedAt }: Body): string {
  return `${weighedOn} ${weighedAt === undefined ? '' : new Date(weighedAt).toISOString()}`;
}

@Injectable()
export class AnimalWeightImport implements ImportKind<Body> {
  readonly code = 'animal-weights';
  readonly title = 'Weights, animal by animal';
  readonly description =
    'One row an animal. Rows with the same word under "weigh_in" make one weigh-in; without such a word, rows ' +
    'of one herd, day, fill and scale do.';

  constructor(private readonly weighIns: WeighInService) {}

  columns(): ColumnSet {
    return {
      plain: [
        optional('weigh_in', 'A word or number of your own that holds the rows of one weigh-in together', 'any text'),
        ...COMMON,
        optional('visual_tag', 'Tag as read by eye', 'letters, digits, blank, dot, slash and dash'),
        optional('electronic_id', 'Electronic number (ISO 11784); null if the animal has none', '15 digits'),
      ],
      families: [massFamily('weight', 'Weight of the animal', true)],
    };
  }

  sample(): readonly SampleRow[] {
    const one = { weigh_in: '1', herd: 'Weaned calves', weighed_on: '2027-01-12', fill: 'full' };
    return [
      { ...one, visual_tag: 'A 101', electronic_id: '840003201234501', weight_lb: '561' },
      { ...one, visual_tag: 'A 102', weight_lb: '573.5' },
    ];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return groupedBy(
      rows,
      (row) =>
        row.cells.get('weigh_in') ??
        ['herd', 'weighed_on', 'weighed_at', 'fill', 'scale']
          .map((column) => row.cells.get(column) ?? '')
          .join('\u0001'),
    );
  }

  parse(draft: RecordDraft, names: NameBook): Body | undefined {
    draft.put('/scope', 'animal', { row: draft.firstRow, column: null });
    common(draft, names);
    draft.rows.forEach((row, index) => {
      draft.text(`/animals/${index}/visualTag`, row, 'visual_tag');
      draft.text(`/animals/${index}/electronicId`, row, 'electronic_id');
      draft.mass(`/animals/${index}/weight`, row, 'weight');
    });
    return draft.parsedBy(bodyOf(createWeighIn));
  }

  order(body: Body): string {
    return dayAndTime(body);
  }

  async record(tenant: OperationTenant, body: Body): Promise<SubjectRef> {
    return { kind: 'weigh-in', id: (await this.weighIns.record(tenant, body, undefined)).id };
  }
}

@Injectable()
export class GroupWeightImport implements ImportKind<Body> {
  readonly code = 'group-weights';
  readonly title = 'Weights of groups';
  readonly description = 'One row a group over the scale, by the weight of all of them or the mean of one.';

  constructor(private readonly weighIns: WeighInService) {}

  columns(): ColumnSet {
    return {
      plain: [...COMMON, needed('head', 'Head weighed', aWhole('a whole number'))],
      families: [massFamily('total_weight', 'Weight of all of them'), massFamily('mean_weight', 'Mean weight of one')],
    };
  }

  sample(): readonly SampleRow[] {
    return [
      {
        herd: 'Weaned calves',
        weighed_on: '2027-01-12',
        fill: 'shrunk',
        hours_off_feed: '12',
        head: '98',
        mean_weight_lb: '548.2',
      },
    ];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return oneByOne(rows);
  }

  parse(draft: RecordDraft, names: NameBook): Body | undefined {
    const row = draft.common('head');
    draft.put('/scope', 'group', { row: row.number, column: null });
    common(draft, names);
    draft.count('/head', row, 'head');
    const [total, mean] = [draft.oneOf(row, 'total_weight'), draft.oneOf(row, 'mean_weight')];
    if (total !== undefined && mean !== undefined)
      draft.complain(
        row.number,
        mean.column,
        'two-weights',
        mean.given,
        'a total or a mean',
        'The weight is given twice, as total and as mean.',
      );
    draft.put('/measure', total === undefined ? 'mean' : 'total', {
      row: row.number,
      column: total?.column ?? mean?.column ?? 'mean_weight_lb',
    });
    draft.mass('/weight', row, total === undefined ? 'mean_weight' : 'total_weight');
    return draft.parsedBy(bodyOf(createWeighIn));
  }

  order(body: Body): string {
    return dayAndTime(body);
  }

  async record(tenant: OperationTenant, body: Body): Promise<SubjectRef> {
    return { kind: 'weigh-in', id: (await this.weighIns.record(tenant, body, undefined)).id };
  }
}
