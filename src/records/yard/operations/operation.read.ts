import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import type { DB, Tenant } from '../../../platform/database/types.js';
import type { PageAsked } from '../../../platform/http/cursor.js';
import { notFound } from '../../../platform/http/problem.js';
import { byName } from '../../kit/name-order.read.js';

export type OperationRow = Selectable<DB['operation']>;

@Injectable()
export class OperationRead {
  async one({ db }: Tenant, id: string): Promise<OperationRow> {
    const row = await db.selectFrom('operation').selectAll().where('id', '=', id).executeTakeFirst();
    if (row === undefined) throw notFound('operation');
    return row;
  }

  /** The operations that the person asking belongs to. */
  async page({ db }: Tenant, query: PageAsked): Promise<OperationRow[]> {
    return byName(db.selectFrom('operation').selectAll(), query).execute();
  }
}
