import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { HayPurchasePriceRow, HayPurchaseRow } from './hay-purchase.read.js';

@Injectable()
export class HayPurchaseStore {
  /** A ticket, what it cost, and the offer that it accepts. */
  async insert(
    tenant: OperationTenant,
    purchase: NewRow<'hay_purchase'>,
    price: Omit<HayPurchasePriceRow, 'operation_id' | 'hay_purchase_id'>,
    quoteId: string | undefined,
  ): Promise<{ row: HayPurchaseRow; price: HayPurchasePriceRow }> {
    const row = await tenant.db
      .insertInto('hay_purchase')
      .values({ ...purchase, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
    const priceRow = { ...price, operation_id: row.operation_id, hay_purchase_id: row.id };
    await tenant.db.insertInto('hay_purchase_price').values(priceRow).execute();
    if (quoteId !== undefined)
      await tenant.db
        .insertInto('hay_quote_purchase')
        .values({ operation_id: row.operation_id, hay_quote_id: quoteId, hay_purchase_id: row.id })
        .execute();
    return { row, price: priceRow };
  }
}
