import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { inIdOrder } from '../../platform/database/id-order.js';
import { showProof } from '../../platform/database/proof.js';
import type { DB, OperationTenant, Tenant } from '../../platform/database/types.js';
import type { PageAsked } from '../../platform/http/cursor.js';
import { notFound, Problem } from '../../platform/http/problem.js';
import { hashCode } from '../sign-in/tokens.js';

export type EngagementRow = Selectable<DB['engagement']>;
export type EngagementArchiveRow = Selectable<DB['engagement_archive']>;

/**
 * Engagements as the operation sees them, and as the consultant does, who also sees what is offered to their own email.
 */
@Injectable()
export class EngagementRead {
  /** With an expected version the row is locked. @throws Problem not-found, changed-meanwhile */
  async one({ db, operationId }: OperationTenant, id: string, expectedVersion?: number): Promise<EngagementRow> {
    const select = db.selectFrom('engagement').selectAll().where('operation_id', '=', operationId).where('id', '=', id);
    return found(
      await (expectedVersion === undefined ? select : select.forUpdate()).executeTakeFirst(),
      expectedVersion,
    );
  }

  async page({ db, operationId }: OperationTenant, query: PageAsked): Promise<EngagementRow[]> {
    return inIdOrder(
      db.selectFrom('engagement').selectAll().where('operation_id', '=', operationId),
      query,
      'desc',
    ).execute();
  }

  /** The engagement that a membership rests on. */
  async ofMembership({ db, operationId }: OperationTenant, membershipId: string): Promise<EngagementRow | undefined> {
    return db
      .selectFrom('engagement')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('membership_id', '=', membershipId)
      .executeTakeFirst();
  }

  /**
   * Offered to or held by the person asking; an owner reads it through the operation. What is offered to an address is
   * theirs once that is proven, and before that with the code of the offer. With an expected version the row is locked.
   */
  async ownOne(
    tenant: Tenant,
    id: string,
    { expectedVersion, code }: { expectedVersion?: number; code?: string | undefined } = {},
  ): Promise<EngagementRow> {
    if (code !== undefined) await showProof(tenant.db, { proof: hashCode(code) });
    const select = ownOnes(tenant, await knowOwnEmail(tenant)).where('id', '=', id);
    return found(
      await (expectedVersion === undefined ? select : select.forUpdate()).executeTakeFirst(),
      expectedVersion,
    );
  }

  /** What was offered to the address of the person asking, by its code. */
  async offeredWith(tenant: Tenant, code: string): Promise<EngagementRow> {
    const proof = hashCode(code);
    await showProof(tenant.db, { proof });
    const row = await ownOnes(tenant, await knowOwnEmail(tenant))
      .where('code_hash', '=', proof)
      .executeTakeFirst();
    if (row === undefined) throw notFound('offer with this code');
    return row;
  }

  async ownPage(tenant: Tenant, query: PageAsked): Promise<EngagementRow[]> {
    return inIdOrder(ownOnes(tenant, await knowOwnEmail(tenant)), query, 'desc').execute();
  }

  /** What the person asking kept of an engagement that has ended. */
  async ownCopy({ db, personId }: Tenant, engagement: EngagementRow): Promise<EngagementArchiveRow> {
    const row = await db
      .selectFrom('engagement_archive')
      .selectAll()
      .where('operation_id', '=', engagement.operation_id)
      .where('engagement_id', '=', engagement.id)
      .where('consultant_id', '=', personId)
      .executeTakeFirst();
    if (row === undefined) throw notFound('copy');
    return row;
  }
}

/** Makes offers to the asker's own email visible in this transaction: if it is proven, else with their code. */
export async function knowOwnEmail({ db }: Tenant): Promise<string> {
  const { rows } = await sql<{ email: string }>`SELECT rickyard.know_own_email() AS email`.execute(db);
  return rows[0]?.email ?? '';
}

function ownOnes({ db, personId }: Tenant, email: string) {
  return db
    .selectFrom('engagement')
    .selectAll()
    .where((e) =>
      e.or([
        e('consultant_id', '=', personId),
        e.and([e('consultant_email', '=', email), e('consultant_id', 'is', null)]),
      ]),
    );
}

function found(row: EngagementRow | undefined, expectedVersion: number | undefined): EngagementRow {
  if (row === undefined) throw notFound('engagement');
  if (expectedVersion !== undefined && row.version !== expectedVersion) throw new Problem('changed-meanwhile');
  return row;
}
