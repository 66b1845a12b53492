import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../../platform/database/types.js';
import { eventCursor } from '../../kit/day-range.js';
import type { EventsAsked } from '../../kit/newest-first.read.js';
import type { WeighInRow } from '../../cattle/weigh-ins/weigh-in.read.js';
import { notReversed } from '../../kit/not-reversed.read.js';

export type IcarWeighIn = Pick<WeighInRow, 'id' | 'happened_on' | 'happened_at' | 'hours_off_feed' | 'scale'> & {
  ranch_id: string;
  time_zone: string;
};

@Injectable()
export class IcarWeightRead {
  /** Weigh-ins by animal that were not reversed, newest first, each with the ranch of its herd. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { herdId?: string | undefined },
  ): Promise<IcarWeighIn[]> {
    const before = eventCursor(query.cursor);
    let select = db
      .selectFrom('weigh_in')
      .innerJoin('herd', (join) =>
        join.onRef('herd.operation_id', '=', 'weigh_in.operation_id').onRef('herd.id', '=', 'weigh_in.herd_id'),
      )
      .innerJoin('ranch', (join) =>
        join.onRef('ranch.operation_id', '=', 'herd.operation_id').onRef('ranch.id', '=', 'herd.ranch_id'),
      )
      .select([
        'weigh_in.id',
        'weigh_in.happened_on',
        'weigh_in.happened_at',
        'weigh_in.hours_off_feed',
        'weigh_in.scale',
        'herd.ranch_id',
        'ranch.time_zone',
      ])
      .where('weigh_in.operation_id', '=', operationId)
      .where('weigh_in.scope', '=', 'animal')
      .where(notReversed('weigh_in'))
      .orderBy('weigh_in.happened_on', 'desc')
      .orderBy('weigh_in.id', 'desc')
      .limit(query.limit + 1);
    if (query.herdId !== undefined) select = select.where('weigh_in.herd_id', '=', query.herdId);
    if (query.from !== undefined) select = select.where('weigh_in.happened_on', '>=', query.from);
    if (query.until !== undefined) select = select.where('weigh_in.happened_on', '<=', query.until);
    if (before !== undefined)
      select = select.where((e) =>
        e.or([
          e('weigh_in.happened_on', '<', before.day),
          e.and([e('weigh_in.happened_on', '=', before.day), e('weigh_in.id', '<', before.id)]),
        ]),
      );
    return select.execute();
  }
}
