import { Injectable } from '@nestjs/common';
import type { NewRow } from '../../platform/database/rows.js';
import type { Tenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';
import type { PersonKeyRow } from './person-key.read.js';

@Injectable()
export class PersonKeyStore {
  async insert(
    { db, personId, moment }: Tenant,
    id: string,
    key: Omit<NewRow<'person_key'>, 'person_id'>,
  ): Promise<PersonKeyRow> {
    return db
      .insertInto('person_key')
      .values({ ...key, id, person_id: personId, created_at: moment.toISOString() })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** Changes when a locked key ends. */
  async endAt({ db }: Tenant, id: string, expiresAt: string): Promise<void> {
    await db
      .updateTable('person_key')
      .set((e) => ({ expires_at: expiresAt, version: e('version', '+', 1) }))
      .where('id', '=', id)
      .execute();
  }

  /** Ends every working one; answers how many. */
  async revokeAll({ db, personId, moment }: Tenant): Promise<number> {
    const { numUpdatedRows } = await db
      .updateTable('person_key')
      .set((e) => ({ revoked_at: moment.toISOString(), version: e('version', '+', 1) }))
      .where('person_id', '=', personId)
      .where('revoked_at', 'is', null)
      .where('expires_at', '>', moment.toISOString())
      .executeTakeFirstOrThrow();
    return Number(numUpdatedRows);
  }

  /** @throws Problem changed-meanwhile where somebody else changed it first. */
  async revoke({ db, moment }: Tenant, { id, version }: { id: string; version: number }): Promise<void> {
    const changed = await db
      .updateTable('person_key')
      .set((e) => ({ revoked_at: moment.toISOString(), version: e('version', '+', 1) }))
      .where('id', '=', id)
      .where('version', '=', version)
      .executeTakeFirst();
    if (changed.numUpdatedRows === 0n) throw new Problem('changed-meanwhile');
  }
}
