import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { ImportMappingRow } from './import-mapping.read.js';

@Injectable()
export class ImportMappingStore {
  async insert(tenant: OperationTenant, row: NewRow<'import_mapping'>): Promise<ImportMappingRow> {
    return tenant.db
      .insertInto('import_mapping')
      .values({ ...recordStamp(tenant), ...row })
      .returningAll()
      .executeTakeFirstOrThrow();
  }
}
