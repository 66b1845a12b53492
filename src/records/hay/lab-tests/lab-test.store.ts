import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { LabTestRow } from './lab-test.read.js';

@Injectable()
export class LabTestStore {
  async insert(tenant: OperationTenant, test: NewRow<'lab_test'>): Promise<LabTestRow> {
    return tenant.db
      .insertInto('lab_test')
      .values({ ...test, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }
}
