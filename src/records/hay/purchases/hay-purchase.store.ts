import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import { together } from '../../../platform/database/together.js';
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
    const stamp = recordStamp(tenant);
    const of = { operation_id: stamp.operation_id, hay_purchase_id: stamp.id };
    const priceRow = { ...price, ...of };
    const [row] = await together(
      tenant.db
        .insertInto('hay_purchase')
        .values({ ...purchase, ...stamp })
        .returningAll()
        .executeTakeFirstOrThrow(),
      tenant.db.insertInto('hay_purchase_price').values(priceRow).execute(),
      ...(quoteId === undefined
        ? []
        : [
            tenant.db
              .insertInto('hay_quote_purchase')
              .values({ ...of, hay_quote_id: quoteId })
              .execute(),
          ]),
    );
    return { row, price: priceRow };
  }
}
