import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { HayObservationRow } from './hay-observation.read.js';

@Injectable()
export class HayObservationStore {
  async insert(tenant: OperationTenant, observation: NewRow<'hay_observation'>): Promise<HayObservationRow> {
    return tenant.db
      .insertInto('hay_observation')
      .values({ ...observation, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }
}
