import { Injectable } from '@nestjs/common';
import type { Selectable, Transaction } from 'kysely';
import { type NewRow, thingStamp } from '../../platform/database/rows.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';

export type RecoveryTokenRow = Selectable<DB['recovery_token']>;

/** Tokens with which an owner lets one of their own people set a new passphrase. */
@Injectable()
export class RecoveryTokenStore {
  /** Those issued before for the same membership are good no longer. */
  async insert(tenant: OperationTenant, id: string, token: Omit<NewRow<'recovery_token'>, 'issued_by'>): Promise<void> {
    await tenant.db
      .updateTable('recovery_token')
      .set({ expires_at: tenant.moment.toISOString() })
      .where('operation_id', '=', tenant.operationId)
      .where('membership_id', '=', token.membership_id)
      .where('used_at', 'is', null)
      .where('expires_at', '>', tenant.moment.toISOString())
      .execute();
    await tenant.db
      .insertInto('recovery_token')
      .values({ ...token, ...thingStamp(tenant, id), issued_by: tenant.personId })
      .execute();
  }

  /** The token that a proof opens, valid or not; locked, so nobody else can use it until the transaction ends. */
  async hold(db: Transaction<DB>, proof: string): Promise<RecoveryTokenRow | undefined> {
    return db.selectFrom('recovery_token').selectAll().where('token_hash', '=', proof).forUpdate().executeTakeFirst();
  }

  async use(db: Transaction<DB>, { operation_id: operationId, id }: RecoveryTokenRow, moment: Date): Promise<void> {
    await db
      .updateTable('recovery_token')
      .set({ used_at: moment.toISOString() })
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .execute();
  }
}
