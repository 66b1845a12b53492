import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { inIdOrder } from '../../platform/database/id-order.js';
import type { DB, Tenant } from '../../platform/database/types.js';
import type { PageAsked } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';

export type PersonKeyRow = Selectable<DB['person_key']>;

/** Keys of the person asking. */
@Injectable()
export class PersonKeyRead {
  /** With `lock`, nobody else changes it until the transaction ends. */
  async one({ db, personId }: Tenant, id: string, { lock = false } = {}): Promise<PersonKeyRow> {
    const select = db.selectFrom('person_key').selectAll().where('id', '=', id).where('person_id', '=', personId);
    const row = await (lock ? select.forUpdate() : select).executeTakeFirst();
    if (row === undefined) throw notFound('key');
    return row;
  }

  /** Those that work at present. */
  async working({ db, personId, moment }: Tenant): Promise<PersonKeyRow[]> {
    return db
      .selectFrom('person_key')
      .selectAll()
      .where('person_id', '=', personId)
      .where('revoked_at', 'is', null)
      .where('expires_at', '>', moment.toISOString())
      .orderBy('id')
      .execute();
  }

  async page({ db, personId }: Tenant, query: PageAsked): Promise<PersonKeyRow[]> {
    return inIdOrder(db.selectFrom('person_key').selectAll().where('person_id', '=', personId), query, 'asc').execute();
  }
}
