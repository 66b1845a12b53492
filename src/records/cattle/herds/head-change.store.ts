import { Injectable } from '@nestjs/common';
import type { Insertable } from 'kysely';
import { insertedRows } from '../../../platform/database/rows.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import type { NewPrice } from './head-change-price.js';
import type { HeadChangePriceRow, HeadChangeRow } from './head-change.read.js';

@Injectable()
export class HeadChangeStore {
  /** In one statement: the head is checked after all of them. */
  async insert({ db }: OperationTenant, rows: readonly Insertable<DB['head_change']>[]): Promise<HeadChangeRow[]> {
    return insertedRows(db, 'head_change', rows);
  }

  /** The price of one change, or of both sides of a move. Not read back: whoever enters it need not see prices. */
  async price(
    tenant: OperationTenant,
    changes: readonly { id: string; happened_on: string }[],
    price: NewPrice,
  ): Promise<HeadChangePriceRow[]> {
    const stamp = { recorded_at: tenant.moment.toISOString(), recorded_by: tenant.personId };
    const rows = changes.map(({ id, happened_on }) => ({
      ...price,
      ...stamp,
      operation_id: tenant.operationId,
      head_change_id: id,
      happened_on,
    }));
    await tenant.db.insertInto('head_change_price').values(rows).execute();
    return rows;
  }
}
