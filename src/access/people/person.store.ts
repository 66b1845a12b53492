import { Injectable } from '@nestjs/common';
import type { Transaction } from 'kysely';
import { Database } from '../../platform/database/database.js';
import type { NewRow } from '../../platform/database/rows.js';
import type { DB } from '../../platform/database/types.js';
import { newId } from '../../platform/identifiers.js';
import { hashPassphrase } from '../sign-in/passphrase.js';

/** People who may sign in. A person is enrolled once, and no two share an email. */
@Injectable()
export class PersonStore {
  constructor(private readonly database: Database) {}

  /** @throws Problem conflict where the email is taken. */
  async enroll({ email, name, passphrase }: { email: string; name: string; passphrase: string }): Promise<string> {
    const id = newId();
    const passphraseHash = await hashPassphrase(passphrase);
    await this.database.withProof({ enrolling_id: id }, (db) =>
      db
        .insertInto('person')
        .values({ id, email: email.trim().toLowerCase(), name, passphrase_hash: passphraseHash })
        .execute(),
    );
    return id;
  }

  /** In a transaction that enrols this person. @throws Problem conflict where the email is taken. */
  async insert(db: Transaction<DB>, person: NewRow<'person'> & { id: string }, moment: Date): Promise<void> {
    await db
      .insertInto('person')
      .values({ ...person, created_at: moment.toISOString() })
      .execute();
  }

  async changePassphrase(db: Transaction<DB>, id: string, passphraseHash: string): Promise<void> {
    await db.updateTable('person').set({ passphrase_hash: passphraseHash }).where('id', '=', id).execute();
  }
}
