import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { HaySalePriceRow, HaySaleRow } from './hay-sale.read.js';

@Injectable()
export class HaySaleStore {
  /** A sale with its proceeds, under an id that a count confirmed with it already refers to. */
  async insert(
    tenant: OperationTenant,
    id: string,
    sale: NewRow<'hay_sale'>,
    price: Omit<HaySalePriceRow, 'operation_id' | 'hay_sale_id'>,
  ): Promise<{ row: HaySaleRow; price: HaySalePriceRow }> {
    const row = await tenant.db
      .insertInto('hay_sale')
      .values({ ...sale, ...recordStamp(tenant, id) })
      .returningAll()
      .executeTakeFirstOrThrow();
    const priceRow = { ...price, operation_id: row.operation_id, hay_sale_id: id };
    await tenant.db.insertInto('hay_sale_price').values(priceRow).execute();
    return { row, price: priceRow };
  }
}
