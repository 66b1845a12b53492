import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import type { DB, OperationTenant, Words } from '../../platform/database/types.js';
import { type EventsAsked, newestFirst } from '../kit/newest-first.read.js';

export type ConfirmedEntryRow = Selectable<DB['confirmed_entry']> & { reversed: boolean };

@Injectable()
export class ConfirmedEntryRead {
  /** Newest first, with whether the record was reversed since. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { kind?: Words['SubjectKind'] | undefined; code?: string | undefined },
  ): Promise<ConfirmedEntryRow[]> {
    let select = db
      .selectFrom('confirmed_entry')
      .selectAll()
      .select(
        sql<boolean>`EXISTS (SELECT 1 FROM reversal r
          WHERE r.operation_id = confirmed_entry.operation_id AND r.subject_id = confirmed_entry.subject_id)
          OR EXISTS (SELECT 1 FROM head_change h
          WHERE h.operation_id = confirmed_entry.operation_id AND h.reverses_id = confirmed_entry.subject_id)`.as(
          'reversed',
        ),
      )
      .where('operation_id', '=', operationId);
    if (query.kind !== undefined) select = select.where('subject_kind', '=', query.kind);
    if (query.code !== undefined) select = select.where('code', '=', query.code);
    return newestFirst(select, query).execute();
  }
}
