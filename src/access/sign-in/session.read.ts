import { Injectable } from '@nestjs/common';
import { inIdOrder } from '../../platform/database/id-order.js';
import type { Tenant } from '../../platform/database/types.js';
import type { PageAsked } from '../../platform/http/cursor.js';

export interface SessionRow {
  id: string;
  created_at: string;
  user_agent: string | null;
  address: string | null;
  renewed_at: string | null;
}

@Injectable()
export class SessionRead {
  /** Open sessions of the person asking, newest first. */
  async page({ db, personId }: Tenant, query: PageAsked): Promise<SessionRow[]> {
    const select = db
      .selectFrom('person_session')
      .select(['id', 'created_at', 'user_agent', 'address'])
      .select((e) =>
        e
          .selectFrom('session_token')
          .select((t) => t.fn.max('created_at').as('at'))
          .whereRef('session_token.session_id', '=', 'person_session.id')
          .as('renewed_at'),
      )
      .where('person_id', '=', personId)
      .where('ended_at', 'is', null);
    return inIdOrder(select, query, 'desc').execute();
  }
}
