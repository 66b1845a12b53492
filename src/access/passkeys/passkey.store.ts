import { Injectable } from '@nestjs/common';
import type { Transaction } from 'kysely';
import type { ChangedRow, NewRow } from '../../platform/database/rows.js';
import type { DB, Tenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';
import type { PasskeyRow } from './passkey.read.js';

@Injectable()
export class PasskeyStore {
  /** Undefined if there is one of that id already, whoever's. */
  async insert(
    { db, personId, moment }: Tenant,
    id: string,
    passkey: Omit<NewRow<'passkey'>, 'person_id'>,
  ): Promise<PasskeyRow | undefined> {
    return db
      .insertInto('passkey')
      .values({ ...passkey, id, person_id: personId, created_at: moment.toISOString() })
      .onConflict((conflict) => conflict.doNothing())
      .returningAll()
      .executeTakeFirst();
  }

  /** It was used; not a change of the person's. */
  async note(db: Transaction<DB>, id: string, used: ChangedRow<'passkey'>): Promise<void> {
    await db.updateTable('passkey').set(used).where('id', '=', id).execute();
  }

  /** @throws Problem changed-meanwhile where somebody else changed it first. */
  async change(
    { db }: Tenant,
    { id, version }: { id: string; version: number },
    set: ChangedRow<'passkey'>,
  ): Promise<PasskeyRow> {
    const row = await db
      .updateTable('passkey')
      .set((e) => ({ ...set, version: e('version', '+', 1) }))
      .where('id', '=', id)
      .where('version', '=', version)
      .returningAll()
      .executeTakeFirst();
    if (row === undefined) throw new Problem('changed-meanwhile');
    return row;
  }
}
