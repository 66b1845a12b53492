import { Injectable } from '@nestjs/common';
import type { NewRow } from '../../platform/database/rows.js';
import type { Tenant } from '../../platform/database/types.js';

/** Links by which a person shows that mail reaches them. */
@Injectable()
export class EmailLinkStore {
  async insert(
    { db, personId, moment }: Tenant,
    id: string,
    link: Omit<NewRow<'email_link'>, 'person_id'>,
  ): Promise<void> {
    await db
      .insertInto('email_link')
      .values({ ...link, id, person_id: personId, created_at: moment.toISOString() })
      .execute();
  }

  async use({ db, moment }: Tenant, id: string): Promise<void> {
    await db.updateTable('email_link').set({ used_at: moment.toISOString() }).where('id', '=', id).execute();
  }

  /** None that the person asking has is good any more. */
  async endAll({ db, personId, moment }: Tenant): Promise<void> {
    await db
      .updateTable('email_link')
      .set({ expires_at: moment.toISOString() })
      .where('person_id', '=', personId)
      .where('used_at', 'is', null)
      .where('expires_at', '>', moment.toISOString())
      .execute();
  }
}
