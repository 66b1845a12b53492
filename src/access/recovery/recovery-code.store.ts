import { Injectable } from '@nestjs/common';
import type { Transaction } from 'kysely';
import { Database } from '../../platform/database/database.js';
import type { DB } from '../../platform/database/types.js';
import { newId } from '../../platform/identifiers.js';
import { hashCode, newCode } from '../sign-in/tokens.js';

const CODES = 10;

/** Codes by which a person comes back in, each once; kept as hashes. Inside a transaction that is that person's. */
@Injectable()
export class RecoveryCodeStore {
  constructor(private readonly database: Database) {}

  async left(db: Transaction<DB>, personId: string): Promise<number> {
    const { left } = await db
      .selectFrom('recovery_code')
      .select((e) => e.fn.countAll<string>().as('left'))
      .where('person_id', '=', personId)
      .where('used_at', 'is', null)
      .executeTakeFirstOrThrow();
    return Number(left);
  }

  /** Whose unused code is it? */
  async holder(code: string): Promise<string | undefined> {
    const proof = hashCode(code);
    const row = await this.database.withProof({ proof }, (db) =>
      db
        .selectFrom('recovery_code')
        .select('person_id')
        .where('code_hash', '=', proof)
        .where('used_at', 'is', null)
        .executeTakeFirst(),
    );
    return row?.person_id;
  }

  async holds(db: Transaction<DB>, personId: string, code: string): Promise<boolean> {
    const row = await db
      .selectFrom('recovery_code')
      .select('id')
      .where('person_id', '=', personId)
      .where('code_hash', '=', hashCode(code))
      .where('used_at', 'is', null)
      .executeTakeFirst();
    return row !== undefined;
  }

  /** Takes a code, once. */
  async take(db: Transaction<DB>, personId: string, code: string, moment: Date): Promise<boolean> {
    const used = await db
      .updateTable('recovery_code')
      .set({ used_at: moment.toISOString() })
      .where('person_id', '=', personId)
      .where('code_hash', '=', hashCode(code))
      .where('used_at', 'is', null)
      .executeTakeFirst();
    return used.numUpdatedRows > 0n;
  }

  /** Ten codes, shown once; those made before are gone. */
  async make(db: Transaction<DB>, personId: string, moment: Date): Promise<string[]> {
    const codes = Array.from({ length: CODES }, newCode);
    // Two who make some at once: the later one's are those that count.
    await db.selectFrom('person').select('id').where('id', '=', personId).forUpdate().execute();
    await db.deleteFrom('recovery_code').where('person_id', '=', personId).execute();
    await db
      .insertInto('recovery_code')
      .values(
        codes.map((code) => ({
          id: newId(),
          person_id: personId,
          code_hash: hashCode(code),
          created_at: moment.toISOString(),
        })),
      )
      .execute();
    return codes;
  }
}
