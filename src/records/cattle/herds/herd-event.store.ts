import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { HerdEventRow } from './herd-event.read.js';

/** An event as entered: the columns that its kind fills. */
export type NewHerdEvent = Omit<NewRow<'herd_event'>, 'herd_id'>;

@Injectable()
export class HerdEventStore {
  async insert(tenant: OperationTenant, herdId: string, events: readonly NewHerdEvent[]): Promise<HerdEventRow[]> {
    if (events.length === 0) return [];
    return tenant.db
      .insertInto('herd_event')
      .values(events.map((event) => ({ ...event, herd_id: herdId, ...recordStamp(tenant) })))
      .returningAll()
      .execute();
  }
}
