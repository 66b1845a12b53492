import { Injectable } from '@nestjs/common';
import type { Transaction } from 'kysely';
import { Database } from '../../platform/database/database.js';
import type { NewRow } from '../../platform/database/rows.js';
import type { DB } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { hashPassphrase } from '../sign-in/passphrase.js';

/** People who may sign in. A person is enrolled once, and no two share an email. */
@Injectable()
export class PersonStore {
  constructor(private readonly database: Database) {}

  /** For the keeper of the server. @throws Problem conflict where an account names the email already. */
  async enroll({ name, passphrase, ...given }: { email: string; name: string; passphrase: string }): Promise<string> {
    const id = newId();
    const email = given.email.trim().toLowerCase();
    const passphraseHash = await hashPassphrase(passphrase);
    await this.database.withProof({ enrolling_id: id, sign_in_email: email }, async (db) => {
      if ((await db.selectFrom('person').select('id').where('email', '=', email).executeTakeFirst()) !== undefined)
        throw new Problem('conflict');
      await db.insertInto('person').values({ id, email, name, passphrase_hash: passphraseHash }).execute();
    });
    return id;
  }

  /** In a transaction that enrols this person. */
  async insert(db: Transaction<DB>, person: NewRow<'person'> & { id: string }, moment: Date): Promise<void> {
    await db
      .insertInto('person')
      .values({ ...person, created_at: moment.toISOString() })
      .execute();
  }

  /** Which operation vouches for the account from now on. */
  async vouch(
    db: Transaction<DB>,
    id: string,
    by: Required<Pick<NewRow<'person'>, 'vouched_by_operation' | 'vouched_by_name' | 'vouched_at'>>,
  ): Promise<void> {
    await db.updateTable('person').set(by).where('id', '=', id).execute();
  }

  async changePassphrase(db: Transaction<DB>, id: string, passphraseHash: string): Promise<void> {
    await db.updateTable('person').set({ passphrase_hash: passphraseHash }).where('id', '=', id).execute();
  }

  /** With another address nothing is proven (prisma/guards/64-proven-emails.sql). */
  async changeEmail(
    db: Transaction<DB>,
    id: string,
    to: Pick<NewRow<'person'>, 'email' | 'passphrase_hash'>,
  ): Promise<void> {
    await db.updateTable('person').set(to).where('id', '=', id).execute();
  }

  /** In a transaction that has shown and used the link. */
  async proveEmail(db: Transaction<DB>, id: string, moment: Date): Promise<void> {
    await db.updateTable('person').set({ email_proven_at: moment.toISOString() }).where('id', '=', id).execute();
  }
}
