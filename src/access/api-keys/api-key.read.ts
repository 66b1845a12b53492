import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { inIdOrder } from '../../platform/database/id-order.js';
import type { DB, OperationTenant, Tenant } from '../../platform/database/types.js';
import type { PageAsked } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';

export type ApiKeyRow = Selectable<DB['api_key']>;

@Injectable()
export class ApiKeyRead {
  /** With `lock`, nobody else changes it until the transaction ends. */
  async one({ db, operationId }: OperationTenant, id: string, { lock = false } = {}): Promise<ApiKeyRow> {
    const select = db.selectFrom('api_key').selectAll().where('operation_id', '=', operationId).where('id', '=', id);
    const row = await (lock ? select.forUpdate() : select).executeTakeFirst();
    if (row === undefined) throw notFound('API key');
    return row;
  }

  /** Those that the person asking made, in whichever operation, and that work at present. */
  async working({ db, personId, moment }: Tenant): Promise<ApiKeyRow[]> {
    return db
      .selectFrom('api_key')
      .selectAll()
      .where('created_by', '=', personId)
      .where('revoked_at', 'is', null)
      .where('expires_at', '>', moment.toISOString())
      .orderBy('id')
      .execute();
  }

  /** Whether a membership is in force in which the person asking, its maker, made this key: it ends with that one. */
  async isOfPresent({ db, operationId, personId, moment }: OperationTenant, key: ApiKeyRow): Promise<boolean> {
    const now = moment.toISOString();
    const row = await db
      .selectFrom('membership')
      .select('id')
      .where('operation_id', '=', operationId)
      .where('person_id', '=', personId)
      .where('confirmed_at', 'is not', null)
      .where('from_at', '<=', key.created_at)
      .where((e) => e.or([e('until_at', 'is', null), e('until_at', '>', now)]))
      .executeTakeFirst();
    return row !== undefined;
  }

  /** For how many days after it was made the owner lets a key work; null: until the key ends. */
  async daysMost({ db, operationId }: OperationTenant): Promise<number | null> {
    const row = await db
      .selectFrom('operation')
      .select('key_days_most')
      .where('id', '=', operationId)
      .executeTakeFirstOrThrow();
    return row.key_days_most;
  }

  async page({ db, operationId }: OperationTenant, query: PageAsked): Promise<ApiKeyRow[]> {
    return inIdOrder(
      db.selectFrom('api_key').selectAll().where('operation_id', '=', operationId),
      query,
      'asc',
    ).execute();
  }
}
