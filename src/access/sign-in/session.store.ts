import { Injectable } from '@nestjs/common';
import type { Transaction } from 'kysely';
import type { DB, Tenant, Words } from '../../platform/database/types.js';
import { notFound } from '../../platform/http/problem.js';

/** Ends sessions of a person, in a transaction that runs as that person. */
@Injectable()
export class SessionStore {
  /** @throws Problem not-found where the person asking has no such open session. */
  async end({ db, personId, moment }: Tenant, id: string, reason: Words['SessionEnd']): Promise<void> {
    const ended = await db
      .updateTable('person_session')
      .set({ ended_at: moment.toISOString(), ended_reason: reason })
      .where('id', '=', id)
      .where('person_id', '=', personId)
      .where('ended_at', 'is', null)
      .executeTakeFirst();
    if (ended.numUpdatedRows === 0n) throw notFound('session');
  }

  /** The person has shown a secret in this session of theirs. */
  async prove({ db, personId, moment }: Tenant, id: string): Promise<void> {
    await db
      .updateTable('person_session')
      .set({ proven_at: moment.toISOString() })
      .where('id', '=', id)
      .where('person_id', '=', personId)
      .execute();
  }

  /** Ends all of a person's sessions, or all but one. */
  async endAll(
    { db, personId, moment }: { db: Transaction<DB>; personId: string; moment: Date },
    reason: Words['SessionEnd'],
    except?: string,
  ): Promise<void> {
    const update = db
      .updateTable('person_session')
      .set({ ended_at: moment.toISOString(), ended_reason: reason })
      .where('person_id', '=', personId)
      .where('ended_at', 'is', null);
    await (except === undefined ? update : update.where('id', '<>', except)).execute();
  }
}
