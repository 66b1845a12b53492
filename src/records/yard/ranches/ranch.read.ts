import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { onceInTransaction } from '../../../platform/database/once-in-transaction.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import type { PageAsked } from '../../../platform/http/cursor.js';
import { notFound } from '../../../platform/http/problem.js';
import { byName } from '../../kit/name-order.read.js';

export type RanchRow = Selectable<DB['ranch']>;

@Injectable()
export class RanchRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<RanchRow> {
    const row = await db
      .selectFrom('ranch')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('ranch', id);
    return row;
  }

  async page({ db, operationId }: OperationTenant, query: PageAsked): Promise<RanchRow[]> {
    return byName(db.selectFrom('ranch').selectAll().where('operation_id', '=', operationId), query).execute();
  }

  async all({ db, operationId }: OperationTenant): Promise<RanchRow[]> {
    return db.selectFrom('ranch').selectAll().where('operation_id', '=', operationId).execute();
  }

  /** Time zone that sets when the days of a ranch begin and end. No entry of the books changes it. */
  readonly timeZone = onceInTransaction(
    async ({ db, operationId }: OperationTenant, ranchId: string): Promise<string> => {
      const row = await db
        .selectFrom('ranch')
        .select('time_zone')
        .where('operation_id', '=', operationId)
        .where('id', '=', ranchId)
        .executeTakeFirst();
      if (row === undefined) throw notFound('ranch', ranchId);
      return row.time_zone;
    },
  );

  /** The same of each ranch, asked before it is known which one counts. */
  async timeZones(tenant: OperationTenant): Promise<ReadonlyMap<string, string>> {
    return new Map((await this.all(tenant)).map((ranch) => [ranch.id, ranch.time_zone]));
  }

  /** Name of each ranch. */
  async names(tenant: OperationTenant): Promise<ReadonlyMap<string, string>> {
    return new Map((await this.all(tenant)).map((ranch) => [ranch.id, ranch.name]));
  }
}
