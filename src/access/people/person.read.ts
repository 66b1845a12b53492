import { Injectable } from '@nestjs/common';
import type { Transaction } from 'kysely';
import type { DB } from '../../platform/database/types.js';

export interface NamedPerson {
  id: string;
  name: string;
  email: string;
  /** Null: nobody has shown that mail to the address reaches them. */
  email_proven_at: string | null;
}

const NAMED = ['id', 'name', 'email', 'email_proven_at'] as const;

/** A person, in a transaction that may see them. */
@Injectable()
export class PersonRead {
  async one(db: Transaction<DB>, id: string): Promise<NamedPerson> {
    return db.selectFrom('person').select(NAMED).where('id', '=', id).executeTakeFirstOrThrow();
  }

  /** Until the transaction ends, nobody else who holds this person goes on. */
  async hold(db: Transaction<DB>, id: string): Promise<void> {
    await db.selectFrom('person').select('id').where('id', '=', id).forNoKeyUpdate().execute();
  }

  /** Of these people, as far as the transaction sees them, those whose address is proven: the address of each. */
  async provenEmails(
    db: Transaction<DB>,
    ids: readonly (string | null)[],
  ): Promise<ReadonlyMap<string | null, string>> {
    const asked = ids.filter((one) => one !== null);
    if (asked.length === 0) return new Map();
    const rows = await db
      .selectFrom('person')
      .select(['id', 'email'])
      .where('id', 'in', asked)
      .where('email_proven_at', 'is not', null)
      .execute();
    return new Map(rows.map(({ id, email }) => [id, email]));
  }

  /** The operation that vouches for the account; null if the keeper of the server does. */
  async vouchedBy(db: Transaction<DB>, id: string): Promise<string | null> {
    const row = await db
      .selectFrom('person')
      .select('vouched_by_operation')
      .where('id', '=', id)
      .executeTakeFirstOrThrow();
    return row.vouched_by_operation;
  }

  async passphraseHash(db: Transaction<DB>, id: string): Promise<string | null> {
    return (await db.selectFrom('person').select('passphrase_hash').where('id', '=', id).executeTakeFirstOrThrow())
      .passphrase_hash;
  }
}
