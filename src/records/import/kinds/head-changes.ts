import { Injectable } from '@nestjs/common';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { HeadChangeService } from '../../cattle/herds/head-change.service.js';
import { createHeadChange } from '../../cattle/herds/herd.schema.js';
import { aWhole, type ColumnSet, massFamily, needed, oneOf, optional } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, type ImportKind, oneByOne, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import { herdOfAddress } from './herd-of-address.js';
import type { RecordDraft } from '../record-draft.js';
import { HEAD_CHANGE_KINDS } from '../../../platform/wire/words.data.js';

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

  columns(): ColumnSet {
    return {
      plain: [
        needed('herd', 'Which herd', 'the name or id of a herd'),
        needed('kind', 'What happened', oneOf(HEAD_CHANGE_KINDS)),
        needed('head', 'How many', aWhole('a whole number above 0')),
        needed('happened_on', 'Day', DAY_ALLOWED),
        optional('to_herd', 'For a move: the herd they go to', 'the name or id of a herd'),
        optional('note', 'Free text', 'text'),
      ],
      families: [massFamily('mean_weight', 'Mean weight of these animals')],
    };
  }

  sample(): readonly SampleRow[] {
    return [
      { herd: 'Weaned calves', kind: 'in', head: '100', happened_on: '2026-11-01', mean_weight_lb: '548' },
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
