import { Injectable } from '@nestjs/common';
import { ANIMAL_CLASSES } from '../../../core/requirements/requirement-set.js';
import { enteringOrder } from '../../../core/standing/entering-order.js';
import { BREEDING_SERVICES, HERD_FACT_KINDS } from '../../../core/standing/herd-on-file.js';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { createHerdEvent } from '../../cattle/herds/herd-event.schema.js';
import { HerdEventService } from '../../cattle/herds/herd-event.service.js';
import { aNumber, aWhole, type ColumnSet, massFamily, needed, oneOf, optional } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, type ImportKind, oneByOne, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import { herdOfAddress } from './herd-of-address.js';
import type { RecordDraft } from '../record-draft.js';

/** The body of the API's request, and the herd in its path. */
interface Body {
  herdId: string;
  event: Parameters<HerdEventService['record']>[2];
}

@Injectable()
export class HerdEventImport implements ImportKind<Body> {
  readonly code = 'herd-events';
  readonly title = 'Herd events';
  readonly description =
    'One row an event: bred, checked for pregnancy, calved, weaned, scored and so on. Only the columns of its kind ' +
    'are filled. Rows are taken by their days, however the file is sorted; of two of a kind on one day the lower ' +
    'holds.';

  constructor(private readonly events: HerdEventService) {}

  columns(): ColumnSet {
    return {
      plain: [
        needed('herd', 'Which herd', 'the name or id of a herd'),
        needed('kind', 'What happened', oneOf(HERD_FACT_KINDS)),
        needed('happened_on', 'Day; of a breeding or a calving the first', DAY_ALLOWED),
        optional('median_on', 'Calved: the day by which half of them had calved', DAY_ALLOWED),
        optional('last_on', 'Bred or calved: the last day', DAY_ALLOWED),
        optional('service', 'Bred: by bulls or by insemination', oneOf(BREEDING_SERVICES)),
        optional('head_checked', 'Pregnancy check: head checked', aWhole('a whole number above 0')),
        optional('head_open', 'Pregnancy check: head of them that were open', aWhole('a whole number')),
        optional('score', 'Condition: the mean score', aNumber('1 to 9 with at most one decimal place')),
        optional('cattle_class', 'Class: the class from that day on', oneOf(ANIMAL_CLASSES)),
        optional('place', 'Place: where they stand from that day on', 'the name or id of a place'),
        optional('note', 'Free text', 'text'),
      ],
      families: [
        massFamily('weight', 'Weight: the mean full weight, by eye or tape'),
        massFamily('daily_gain', 'Target gain, a day'),
      ],
    };
  }

  sample(): readonly SampleRow[] {
    return [
      { herd: 'Weaned calves', kind: 'condition', happened_on: '2026-12-15', score: '5.5' },
      { herd: 'Weaned calves', kind: 'target-gain', happened_on: '2027-01-04', daily_gain_lb: '1.25' },
    ];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return oneByOne(rows);
  }

  parse(draft: RecordDraft, names: NameBook): Body | undefined {
    const row = draft.common('herd');
    const herdId = herdOfAddress(draft, row, names);
    const texts = [
      ['/kind', 'kind'],
      ['/happenedOn', 'happened_on'],
      ['/medianOn', 'median_on'],
      ['/lastOn', 'last_on'],
      ['/service', 'service'],
      ['/score', 'score'],
      ['/cattleClass', 'cattle_class'],
      ['/note', 'note'],
    ] as const;
    for (const [pointer, column] of texts) draft.text(pointer, row, column);
    draft.count('/headChecked', row, 'head_checked');
    draft.count('/headOpen', row, 'head_open');
    names.resolve(draft, '/placeId', row, 'place', 'place');
    draft.mass('/weight', row, 'weight');
    draft.mass('/dailyGain', row, 'daily_gain');
    const event = draft.parsedBy(bodyOf(createHerdEvent));
    return event === undefined || herdId === undefined ? undefined : { herdId, event };
  }

  order({ event }: Body): string {
    return enteringOrder({ kind: event.kind, on: event.happenedOn });
  }

  async record(tenant: OperationTenant, body: Body): Promise<SubjectRef> {
    return { kind: 'herd-event', id: (await this.events.record(tenant, body.herdId, body.event, undefined)).id };
  }
}
