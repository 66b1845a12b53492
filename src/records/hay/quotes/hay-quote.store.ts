import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { HayQuotePriceRow, HayQuoteRow } from './hay-quote.read.js';

@Injectable()
export class HayQuoteStore {
  /** An offer and what it would cost. */
  async insert(
    tenant: OperationTenant,
    quote: NewRow<'hay_quote'>,
    price: Omit<HayQuotePriceRow, 'operation_id' | 'hay_quote_id'>,
  ): Promise<{ row: HayQuoteRow; price: HayQuotePriceRow }> {
    const row = await tenant.db
      .insertInto('hay_quote')
      .values({ ...quote, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
    const priceRow = { ...price, operation_id: row.operation_id, hay_quote_id: row.id };
    await tenant.db.insertInto('hay_quote_price').values(priceRow).execute();
    return { row, price: priceRow };
  }

  /** Two people cannot both take one offer: the second waits until the first is done. */
  async hold({ db }: OperationTenant, id: string): Promise<void> {
    await sql`SELECT pg_advisory_xact_lock(hashtextextended(${id}, 731))`.execute(db);
  }
}
