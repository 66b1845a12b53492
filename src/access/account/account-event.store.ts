import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { Database } from '../../platform/database/database.js';
import type { ACCOUNT_FAILURES } from '../../platform/wire/words.data.js';

/** Failures are kept so long; what changed an account stays. */
const FAILURES_KEPT_DAYS = 90;
const HOUR_MS = 3_600_000;

/** An attempt on somebody's account that failed. */
export interface AccountFailure {
  kind: (typeof ACCOUNT_FAILURES)[number];
  address: string;
  moment: Date;
  attempts: number;
}

/** Attempts that failed; everything else is written by the database (prisma/guards/63-account-events.sql). */
@Injectable()
export class AccountEventStore {
  constructor(private readonly database: Database) {}

  /** Equal ones from one address within the hour are one entry with a count. */
  async noteFailure(personId: string, { kind, address, moment, attempts }: AccountFailure): Promise<void> {
    await this.database.withProof({ person_id: personId }, async (db) => {
      const equal = await db
        .updateTable('account_event')
        .set((e) => ({ attempts: e('attempts', '+', attempts), happened_at: moment.toISOString() }))
        .where('person_id', '=', personId)
        .where('kind', '=', kind)
        .where('address', '=', address)
        .where('happened_at', '>', new Date(moment.getTime() - HOUR_MS).toISOString())
        .executeTakeFirst();
      if (equal.numUpdatedRows > 0n) return;
      await db
        .deleteFrom('account_event')
        .where('person_id', '=', personId)
        .where('kind', 'like', sql<typeof kind>`'%-failed'`)
        .where('happened_at', '<', new Date(moment.getTime() - FAILURES_KEPT_DAYS * 86_400_000).toISOString())
        .execute();
      await db
        .insertInto('account_event')
        .values({ person_id: personId, kind, address, happened_at: moment.toISOString(), attempts })
        .execute();
    });
  }
}
