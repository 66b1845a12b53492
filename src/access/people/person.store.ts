import { Injectable } from '@nestjs/common';
import { Database } from '../../platform/database/database.js';
import { newId } from '../../platform/identifiers.js';
import { hashPassphrase } from '../sign-in/passphrase.js';

/** People who may sign in. Someone is enrolled once; an email is theirs alone. */
@Injectable()
export class PersonStore {
  constructor(private readonly database: Database) {}

  /** @throws Problem conflict where the email is taken. */
  async enrol({ email, name, passphrase }: { email: string; name: string; passphrase: string }): Promise<string> {
    const id = newId();
    const passphraseHash = await hashPassphrase(passphrase);
    await this.database.withProof({ enrolling_id: id }, (db) =>
      db.insertInto('person').values({ id, email: email.trim().toLowerCase(), name, passphrase_hash: passphraseHash }).execute());
    return id;
  }
}
