import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';

@Injectable()
export class ImportMappingStore {
  async insert(tenant: OperationTenant, row: NewRow<'import_mapping'>): Promise<Selectable<DB['import_mapping']>> {
    return tenant.db
      .insertInto('import_mapping')
      .values({ ...recordStamp(tenant), ...row })
      .returningAll()
      .executeTakeFirstOrThrow();
  }
}
