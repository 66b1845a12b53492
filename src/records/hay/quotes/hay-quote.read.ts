import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { Money } from '../../../core/units/money.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { asCurrency } from '../../../platform/wire/quantity.schema.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';
import { notReversed } from '../../kit/not-reversed.read.js';

export type HayQuoteRow = Selectable<DB['hay_quote']>;
export type HayQuotePriceRow = Selectable<DB['hay_quote_price']>;

/** Cost of a whole offer at the ranch: hay, freight and charges. */
export function deliveredCostOf(price: HayQuotePriceRow): Money {
  const money = (amount: string): Money => Money.of(amount, asCurrency(price.currency));
  return money(price.hay_amount).plus(money(price.freight_amount)).plus(money(price.charges_amount));
}

@Injectable()
export class HayQuoteRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<HayQuoteRow> {
    const row = await db
      .selectFrom('hay_quote')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('offer', id);
    return row;
  }

  /** Newest first, including withdrawn ones. */
  async page({ db, operationId }: OperationTenant, query: EventsAsked): Promise<HayQuoteRow[]> {
    return newestFirst(db.selectFrom('hay_quote').selectAll().where('operation_id', '=', operationId), query).execute();
  }

  async prices({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<Map<string, HayQuotePriceRow>> {
    if (ids.length === 0) return new Map();
    const rows = await db
      .selectFrom('hay_quote_price')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('hay_quote_id', 'in', [...ids])
      .execute();
    return new Map(rows.map((row) => [row.hay_quote_id, row]));
  }

  /** The tickets, not reversed, by which each offer was taken. */
  async purchases({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<Map<string, string[]>> {
    const taken = new Map<string, string[]>();
    if (ids.length === 0) return taken;
    const rows = await db
      .selectFrom('hay_quote_purchase')
      .select(['hay_quote_purchase.hay_quote_id', 'hay_quote_purchase.hay_purchase_id'])
      .where('hay_quote_purchase.operation_id', '=', operationId)
      .where('hay_quote_purchase.hay_quote_id', 'in', [...ids])
      .where(notReversed('hay_quote_purchase', { id: 'hay_purchase_id' }))
      .orderBy('hay_quote_purchase.hay_purchase_id')
      .execute();
    for (const row of rows) taken.set(row.hay_quote_id, [...(taken.get(row.hay_quote_id) ?? []), row.hay_purchase_id]);
    return taken;
  }

  /** Offers that can be taken on a day, with prices if the reader may see them. */
  async open(
    tenant: OperationTenant,
    on: string,
  ): Promise<{ quote: HayQuoteRow; price: HayQuotePriceRow | undefined }[]> {
    const { db, operationId } = tenant;
    const rows = await db
      .selectFrom('hay_quote')
      .selectAll('hay_quote')
      .where('hay_quote.operation_id', '=', operationId)
      .where(notReversed('hay_quote'))
      .where('hay_quote.happened_on', '<=', on)
      .where((e) => e.or([e('hay_quote.valid_until', 'is', null), e('hay_quote.valid_until', '>=', on)]))
      .orderBy('hay_quote.happened_on')
      .orderBy('hay_quote.id')
      .execute();
    const ids = rows.map((row) => row.id);
    const taken = await this.purchases(tenant, ids);
    const prices = await this.prices(tenant, ids);
    return rows.filter((row) => !taken.has(row.id)).map((quote) => ({ quote, price: prices.get(quote.id) }));
  }
}
