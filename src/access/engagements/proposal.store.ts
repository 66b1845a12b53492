import { Injectable } from '@nestjs/common';
import type { NewRow } from '../../platform/database/rows.js';
import type { Tenant } from '../../platform/database/types.js';
import { newId } from '../../platform/identifiers.js';
import type { ProposalRow } from './proposal.read.js';

@Injectable()
export class ProposalStore {
  async insert(
    { db, personId, moment }: Tenant,
    proposal: Omit<NewRow<'engagement_proposal'>, 'id' | 'consultant_id'>,
  ): Promise<ProposalRow> {
    return db
      .insertInto('engagement_proposal')
      .values({ ...proposal, id: newId(), consultant_id: personId, created_at: moment.toISOString() })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** Records what became of a locked proposal. */
  async answer({ db, moment }: Tenant, id: string, state: 'accepted' | 'declined' | 'withdrawn'): Promise<void> {
    await db
      .updateTable('engagement_proposal')
      .set((e) => ({ state, answered_at: moment.toISOString(), version: e('version', '+', 1) }))
      .where('id', '=', id)
      .execute();
  }
}
