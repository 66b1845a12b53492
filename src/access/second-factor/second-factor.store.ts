import { Injectable } from '@nestjs/common';
import type { Selectable, Transaction } from 'kysely';
import type { DB } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';
import { isSealed, SealProblem, SecretBox } from '../../platform/secrets/secret-box.js';
import { hasSecondFactor } from '../../platform/database/second-factor.read.js';
import { newSecret, stepOfCode } from './one-time-code.js';

/** The second factor of one person, in a transaction that runs as that person. */
@Injectable()
export class SecondFactorStore {
  constructor(private readonly secrets: SecretBox) {}

  async of(db: Transaction<DB>, personId: string): Promise<Selectable<DB['second_factor']> | undefined> {
    return db.selectFrom('second_factor').selectAll().where('person_id', '=', personId).executeTakeFirst();
  }

  /** Are one-time codes turned on? */
  async codesInForce(db: Transaction<DB>, personId: string): Promise<boolean> {
    return typeof (await this.of(db, personId))?.confirmed_at === 'string';
  }

  /** Is the passphrase not enough alone: are codes turned on, or is there a passkey, which stands for both? */
  inForce(db: Transaction<DB>, personId: string): Promise<boolean> {
    return hasSecondFactor(db, personId);
  }

  /** Stores a new secret that waits for its first code, replacing any earlier one; kept sealed. */
  async begin(db: Transaction<DB>, personId: string, moment: Date): Promise<string> {
    const secret = newSecret();
    await db.deleteFrom('second_factor').where('person_id', '=', personId).execute();
    await db
      .insertInto('second_factor')
      .values({ person_id: personId, secret: this.secrets.seal(secret, personId), created_at: moment.toISOString() })
      .execute();
    return secret;
  }

  /**
   * Accepts a one-time code once: with the row locked, only one of two simultaneous uses succeeds.
   * @throws Problem second-factor-unreadable where the secret was sealed under a key that is not here.
   */
  async takeCode(db: Transaction<DB>, personId: string, code: string, moment: Date): Promise<boolean> {
    const factor = await db
      .selectFrom('second_factor')
      .selectAll()
      .where('person_id', '=', personId)
      .forUpdate()
      .executeTakeFirst();
    if (factor === undefined) return false;
    const secret = this.#open(factor.secret, personId);
    const step = stepOfCode(code, secret, moment);
    if (step === undefined || (factor.last_step !== null && step <= factor.last_step)) return false;
    // A secret that an earlier release stored in plain text is sealed when it is used, if no start did it before.
    const sealed = isSealed(factor.secret) ? factor.secret : this.secrets.seal(secret, personId);
    await db
      .updateTable('second_factor')
      .set({ last_step: step, secret: sealed })
      .where('person_id', '=', personId)
      .execute();
    return true;
  }

  /** The first code was right: from now on sign-in asks for one. */
  async confirm(db: Transaction<DB>, personId: string, moment: Date): Promise<void> {
    await db
      .updateTable('second_factor')
      .set({ confirmed_at: moment.toISOString() })
      .where('person_id', '=', personId)
      .execute();
  }

  async remove(db: Transaction<DB>, personId: string): Promise<void> {
    await db.deleteFrom('second_factor').where('person_id', '=', personId).execute();
  }

  #open(kept: string, personId: string): string {
    if (!isSealed(kept)) return kept;
    try {
      return this.secrets.open(kept, personId);
    } catch (error) {
      if (error instanceof SealProblem) throw new Problem('second-factor-unreadable');
      throw error;
    }
  }
}
