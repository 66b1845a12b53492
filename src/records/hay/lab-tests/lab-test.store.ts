import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { LabTestRow } from './lab-test.read.js';

@Injectable()
export class LabTestStore {
  /** Two tests of a lot at once: the second waits here and is then held against the first. */
  async holdLot({ db }: OperationTenant, lotId: string): Promise<void> {
    await sql`SELECT pg_advisory_xact_lock(hashtextextended(${lotId}, 743))`.execute(db);
  }

  async insert(tenant: OperationTenant, test: NewRow<'lab_test'>): Promise<LabTestRow> {
    return tenant.db
      .insertInto('lab_test')
      .values({ ...test, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }
}
