import { Injectable } from '@nestjs/common';
import type { ChangedRow, NewRow } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { newId } from '../../platform/identifiers.js';
import type { EngagementRow } from './engagement.read.js';

type Where = Pick<OperationTenant, 'db' | 'operationId'>;

/** The database lets only the operation's owner and the consultant concerned write here. */
@Injectable()
export class EngagementStore {
  async insert({ db, operationId }: Where, engagement: Omit<NewRow<'engagement'>, 'id'>): Promise<EngagementRow> {
    return db
      .insertInto('engagement')
      .values({ ...engagement, operation_id: operationId, id: newId() })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** Changes a locked engagement. */
  async change({ db, operationId }: Where, id: string, changes: ChangedRow<'engagement'>): Promise<EngagementRow> {
    return db
      .updateTable('engagement')
      .set((e) => ({ ...changes, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** Removes the consultant's copy. */
  async dropCopy({ db, operationId }: Where, id: string): Promise<void> {
    await db
      .deleteFrom('engagement_archive')
      .where('operation_id', '=', operationId)
      .where('engagement_id', '=', id)
      .execute();
  }
}
