import { type RawBuilder, sql } from 'kysely';
import { notReversed } from '../../kit/not-reversed.read.js';

/** For a query over `herd`: the value in each herd's newest event of a kind that was not reversed. */
export function lastRecorded<Value>(kind: 'class' | 'place', column: 'cattle_class' | 'place_id'): RawBuilder<Value> {
  return sql<Value>`(SELECT ${sql.ref(`newest.${column}`)} FROM herd_event AS newest
    WHERE newest.operation_id = herd.operation_id AND newest.herd_id = herd.id AND newest.kind = ${kind}
      AND ${notReversed('newest')}
    ORDER BY newest.happened_on DESC, newest.recorded_at DESC, newest.id DESC LIMIT 1)`;
}
