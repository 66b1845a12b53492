import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { z } from 'zod';
import type { DB, Tenant } from '../../platform/database/types.js';
import { type PageAsked, readCursor } from '../../platform/http/cursor.js';
import { ACCOUNT_NOTICES } from '../../platform/wire/words.data.js';

export type AccountEventRow = Selectable<DB['account_event']>;

/** For so many days what is new is told with `/v1/me`. */
const NOTICE_DAYS = 7;

/** What happened to the account of the person asking. The database shows it to nobody else, nor to a key. */
@Injectable()
export class AccountEventRead {
  /** Newest first. */
  async page({ db, personId }: Tenant, query: PageAsked): Promise<AccountEventRow[]> {
    const rows = db
      .selectFrom('account_event')
      .selectAll()
      .where('person_id', '=', personId)
      .orderBy('sequence', 'desc')
      .limit(query.limit + 1);
    if (query.cursor === undefined) return rows.execute();
    return rows
      .where('sequence', '<', readCursor(query.cursor, z.tuple([z.string().regex(/^\d{1,15}$/)]))[0])
      .execute();
  }

  /** How many events of the last days their person should look at. */
  async notices({ db, personId, moment }: Tenant): Promise<number> {
    const { notices } = await db
      .selectFrom('account_event')
      .select((e) => e.fn.countAll<string>().as('notices'))
      .where('person_id', '=', personId)
      .where('kind', 'in', [...ACCOUNT_NOTICES])
      .where('happened_at', '>', new Date(moment.getTime() - NOTICE_DAYS * 86_400_000).toISOString())
      .executeTakeFirstOrThrow();
    return Number(notices);
  }
}
