import { Injectable } from '@nestjs/common';
import type { Transaction } from 'kysely';
import type { DB } from '../../platform/database/types.js';

export interface NamedPerson {
  id: string;
  name: string;
  email: string;
}

/** A person, in a transaction that may see them. */
@Injectable()
export class PersonRead {
  async one(db: Transaction<DB>, id: string): Promise<NamedPerson> {
    return db.selectFrom('person').select(['id', 'name', 'email']).where('id', '=', id).executeTakeFirstOrThrow();
  }

  async passphraseHash(db: Transaction<DB>, id: string): Promise<string | null> {
    return (await db.selectFrom('person').select('passphrase_hash').where('id', '=', id).executeTakeFirstOrThrow())
      .passphrase_hash;
  }
}
