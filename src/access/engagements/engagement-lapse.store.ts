import { Injectable, type OnModuleInit } from '@nestjs/common';
import { sql, type Transaction } from 'kysely';
import { Database } from '../../platform/database/database.js';
import type { DB } from '../../platform/database/types.js';
import { AuditStore } from '../audit/audit.store.js';
import { EngagementArchive } from './engagement-archive.store.js';

/** Where the request came from whose read or write found an engagement past its end. */
interface RequestOrigin {
  moment: Date;
  requestId: string;
  address: string;
}

interface Waiting {
  id: string;
  consultant_id: string;
  until_at: string;
  after_end: string;
}

/**
 * Engagements that end by their own date. No job runs at that moment, but no write to the operation goes through before
 * the copy is taken: the database module asks here first. So however late the copy is taken, it shows the state at the
 * end.
 */
@Injectable()
export class EngagementLapse implements OnModuleInit {
  constructor(
    private readonly database: Database,
    private readonly archive: EngagementArchive,
    private readonly audit: AuditStore,
  ) {}

  onModuleInit(): void {
    this.database.settleBeforeWrites((operationId, by) => this.settle(operationId, by));
  }

  async settle(operationId: string, origin: RequestOrigin): Promise<void> {
    const waiting = await this.database.withProof(
      { settling: operationId, moment: origin.moment.toISOString() },
      (db) =>
        db
          .selectFrom('engagement')
          .select(['id', 'consultant_id', 'until_at', 'after_end'])
          .where('operation_id', '=', operationId)
          .where('state', '=', 'accepted')
          .where('until_at', '<=', origin.moment.toISOString())
          .orderBy('until_at')
          .orderBy('id')
          .execute(),
    );
    for (const one of waiting)
      await this.database.withProof({}, (db) => this.#close(db, operationId, one as Waiting, origin));
  }

  async #close(
    db: Transaction<DB>,
    operationId: string,
    { id, consultant_id: consultantId, until_at: until, after_end: afterEnd }: Waiting,
    origin: RequestOrigin,
  ): Promise<void> {
    // As the consultant, at the last instant before the end: the database decides what they could see.
    await sql`SELECT * FROM rickyard.enter(${consultantId}::uuid, NULL,
      ${until}::timestamptz - interval '1 microsecond', ${operationId}::uuid, regardless => true)`.execute(db);
    // Of two requests at once, one waits here and then finds it done.
    const still = await db
      .selectFrom('engagement')
      .select('id')
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .where('state', '=', 'accepted')
      .where('until_at', '=', until)
      .forUpdate()
      .executeTakeFirst();
    if (still === undefined) return;
    const kept =
      afterEnd === 'history'
        ? await this.archive.copy(db, { operationId, engagementId: id, consultantId, endedAt: until })
        : 0;
    // The version stays the same: nobody changed anything, and it already read as ended.
    await db
      .updateTable('engagement')
      .set({ state: 'ended', ended_at: until })
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .execute();
    await this.audit.append(db, {
      ...origin,
      operationId,
      personId: null,
      action: 'engagement.lapse',
      subjectKind: 'engagement',
      subjectId: id,
      after: { endedAt: until, recordsKept: kept },
    });
  }
}
