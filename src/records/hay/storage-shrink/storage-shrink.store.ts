import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { StorageMeasurementRow, StorageShrinkRow } from './storage-shrink.read.js';

@Injectable()
export class StorageShrinkStore {
  async insert(tenant: OperationTenant, shrink: NewRow<'storage_shrink'>): Promise<StorageShrinkRow> {
    return tenant.db
      .insertInto('storage_shrink')
      .values({ ...shrink, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  async insertMeasurement(
    tenant: OperationTenant,
    measurement: NewRow<'storage_measurement'>,
  ): Promise<StorageMeasurementRow> {
    return tenant.db
      .insertInto('storage_measurement')
      .values({ ...measurement, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }
}
