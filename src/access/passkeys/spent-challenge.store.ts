import { Injectable } from '@nestjs/common';
import type { Transaction } from 'kysely';
import { Database } from '../../platform/database/database.js';
import { showProof } from '../../platform/database/proof.js';
import type { DB } from '../../platform/database/types.js';
import { hashToken } from '../sign-in/tokens.js';

/** Challenges that were answered, kept until they would have expired. */
@Injectable()
export class SpentChallengeStore {
  constructor(private readonly database: Database) {}

  /** In a transaction of its own, so that it stays spent whatever comes of the answer. False: it was spent before. */
  async spend(challenge: string, until: Date, moment: Date): Promise<boolean> {
    return this.database.withProof({ moment: moment.toISOString() }, (db) => this.spendIn(db, challenge, until));
  }

  /** With the transaction that the answer is for. */
  async spendIn(db: Transaction<DB>, challenge: string, until: Date): Promise<boolean> {
    const hash = hashToken(challenge);
    await showProof(db, { proof: hash });
    // The database shows those that have expired at the moment of this transaction, and this one.
    await db.deleteFrom('spent_challenge').where('challenge_hash', '<>', hash).execute();
    const { numInsertedOrUpdatedRows: spent } = await db
      .insertInto('spent_challenge')
      .values({ challenge_hash: hash, expires_at: until.toISOString() })
      .onConflict((conflict) => conflict.doNothing())
      .executeTakeFirstOrThrow();
    return spent === 1n;
  }
}
