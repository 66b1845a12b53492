import { Injectable } from '@nestjs/common';
import type { Transaction } from 'kysely';
import { enterAs } from '../../platform/database/proof.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { closedArchive, packArchive } from '../data-rights/archive-format.js';
import { ArchiveRead } from '../data-rights/archive.read.js';
import { NOT_IN_CONSULTANTS_COPY } from '../data-rights/archive-tables.read.js';

interface End {
  operationId: string;
  engagementId: string;
  consultantId: string;
  endedAt: string;
}

/**
 * What a consultant keeps when an engagement ends: a copy of what they could read at that instant, with money only
 * where they saw money. Access to the live records ends completely. Herds, lots and rations keep changing in place, so
 * no condition on a row's date could tell what it was at the end; a copy can.
 */
@Injectable()
export class EngagementArchive {
  constructor(private readonly archive: ArchiveRead) {}

  /** Takes the copy in the transaction that ends the engagement; returns how many records it holds. */
  async take(tenant: OperationTenant, engagementId: string, consultantId: string): Promise<number> {
    // While reading, the transaction runs as the consultant: the database decides what they could see.
    await enterAs(tenant.db, { ...tenant, personId: consultantId, apiKeyId: undefined });
    const kept = await this.copy(tenant.db, {
      operationId: tenant.operationId,
      engagementId,
      consultantId,
      endedAt: tenant.moment.toISOString(),
    });
    await enterAs(tenant.db, tenant);
    return kept;
  }

  /** In a transaction that runs as the consultant at the end. */
  async copy(db: Transaction<DB>, { operationId, engagementId, consultantId, endedAt }: End): Promise<number> {
    const { name } = await db
      .selectFrom('operation')
      .select('name')
      .where('id', '=', operationId)
      .executeTakeFirstOrThrow();
    const records = this.archive.records(db, operationId, NOT_IN_CONSULTANTS_COPY);
    const packed = await packArchive({ operationId, name, exportedAt: endedAt }, records);
    await db
      .insertInto('engagement_archive')
      .values({
        operation_id: operationId,
        engagement_id: engagementId,
        consultant_id: consultantId,
        ended_at: endedAt,
        record_count: packed.records,
        content: closedArchive(packed, undefined),
      })
      .execute();
    return packed.records;
  }
}
