import { Injectable } from '@nestjs/common';
import type { Selectable, Transaction } from 'kysely';
import { Database } from '../../platform/database/database.js';
import { inIdOrder } from '../../platform/database/id-order.js';
import type { DB, Tenant } from '../../platform/database/types.js';
import type { PageAsked } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';

export type PasskeyRow = Selectable<DB['passkey']>;

@Injectable()
export class PasskeyRead {
  constructor(private readonly database: Database) {}

  async one({ db, personId }: Tenant, id: string): Promise<PasskeyRow> {
    const row = await db
      .selectFrom('passkey')
      .selectAll()
      .where('id', '=', id)
      .where('person_id', '=', personId)
      .executeTakeFirst();
    if (row === undefined) throw notFound('passkey');
    return row;
  }

  /** Those of the person asking, also those that have ended, oldest first. */
  async page({ db, personId }: Tenant, query: PageAsked): Promise<PasskeyRow[]> {
    return inIdOrder(db.selectFrom('passkey').selectAll().where('person_id', '=', personId), query, 'asc').execute();
  }

  /** Those that work, oldest first. */
  async working({ db, personId }: Pick<Tenant, 'db' | 'personId'>): Promise<PasskeyRow[]> {
    return db
      .selectFrom('passkey')
      .selectAll()
      .where('person_id', '=', personId)
      .where('ended_at', 'is', null)
      .orderBy('id')
      .execute();
  }

  /** One that is shown by whoever has it, if it works. */
  async shown(credentialId: string): Promise<PasskeyRow | undefined> {
    return this.database.withProof({ proof: credentialId }, (db) =>
      db
        .selectFrom('passkey')
        .selectAll()
        .where('credential_id', '=', credentialId)
        .where('ended_at', 'is', null)
        .executeTakeFirst(),
    );
  }

  /** One that works, in a transaction of its person; nobody else uses it until that ends. */
  async hold(db: Transaction<DB>, personId: string, credentialId: string): Promise<PasskeyRow | undefined> {
    return db
      .selectFrom('passkey')
      .selectAll()
      .where('person_id', '=', personId)
      .where('credential_id', '=', credentialId)
      .where('ended_at', 'is', null)
      .forUpdate()
      .executeTakeFirst();
  }
}
