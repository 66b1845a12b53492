import { type RawBuilder, sql } from 'kysely';
import { notReversed } from '../../kit/not-reversed.read.js';

/** For a query over `herd`: the value in each herd's newest event of a kind that was not reversed. */
export function lastTold<Value>(kind: 'class' | 'place', column: 'cattle_class' | 'place_id'): RawBuilder<Value> {
  return sql<Value>`(SELECT ${sql.ref(`told.${column}`)} FROM herd_event AS told
    WHERE told.operation_id = herd.operation_id AND told.herd_id = herd.id AND told.kind = ${kind}
      AND ${notReversed('told')}
    ORDER BY told.happened_on DESC, told.recorded_at DESC, told.id DESC LIMIT 1)`;
}
