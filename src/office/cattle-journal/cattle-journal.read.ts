import { Injectable } from '@nestjs/common';
import { type RawBuilder, sql } from 'kysely';
import { boughtOnHand, type HeadPaid } from '../../core/closeout/bought-on-hand.js';
import type { HerdMoneyEntry } from '../../core/closeout/cattle-postings.js';
import { Money } from '../../core/units/money.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { toldInPlace } from '../../records/kit/told-in-place.read.js';
import { asCurrency } from '../../platform/wire/quantity.schema.js';

type Row = Omit<HerdMoneyEntry, 'amount'> & { amount: string };

@Injectable()
export class CattleJournalRead {
  /** Money of head changes and costs of herds of some days, with the reversals of these days, oldest first. */
  entries(tenant: OperationTenant, days: { from: string; until: string }): Promise<HerdMoneyEntry[]> {
    return this.#entries(tenant, days, sql``);
  }

  /**
   * The same of so many whole days from one on as have so many entries at most, but of one at least. Nothing where
   * there are none up to a day.
   */
  async nextDays(
    tenant: OperationTenant,
    days: { from: string; until: string },
    most: number,
  ): Promise<HerdMoneyEntry[]> {
    const found = await this.#entries(tenant, days, sql`LIMIT ${most + 1}`);
    const last = found.at(-1);
    if (last === undefined || found.length <= most) return found;
    const whole = found.filter(({ on }) => on < last.on);
    return whole.length > 0 ? whole : this.entries(tenant, { from: last.on, until: last.on });
  }

  /** Bought cattle that still stand at the end of a day, and what they cost. */
  async boughtOnHand(
    { db, operationId, operation }: OperationTenant,
    until: string,
  ): Promise<ReturnType<typeof boughtOnHand>> {
    const { rows } = await sql<Omit<HeadPaid, 'paid'> & { paid: string | null }>`
      SELECT h.id, h.happened_on AS "on", h.reverses_id AS "reversesId", h.herd_id AS "herdId", h.kind, h.head,
        h.move_id AS "moveId", p.amount::text AS paid, ${toldInPlace('h')} AS "toldOn"
        FROM head_change h
        LEFT JOIN head_change_price p ON p.operation_id = h.operation_id AND p.head_change_id = h.id AND p.how = 'paid'
       WHERE h.operation_id = ${operationId} AND h.happened_on <= ${until}::date
       ORDER BY h.happened_on, h.id`.execute(db);
    const currency = asCurrency(operation.currency);
    const entries = rows.map((row) => ({ ...row, paid: row.paid === null ? null : Money.of(row.paid, currency) }));
    return boughtOnHand(entries, until, currency);
  }

  async #entries(
    { db, operationId, operation }: OperationTenant,
    { from, until }: { from: string; until: string },
    limit: RawBuilder<unknown>,
  ): Promise<HerdMoneyEntry[]> {
    const within = (day: string): RawBuilder<boolean> => sql`${sql.ref(day)} BETWEEN ${from}::date AND ${until}::date`;
    const { rows } = await sql<Row>`
      SELECT * FROM (
        SELECT h.id, h.happened_on AS "on", h.reverses_id AS "reversesId", COALESCE(o.kind, h.kind) AS kind, p.how,
          h.herd_id AS "herdId", p.amount::text AS amount, h.move_id AS "moveId", p.party, h.note AS memo
          FROM head_change h
          LEFT JOIN head_change o ON o.operation_id = h.operation_id AND o.id = h.reverses_id
          JOIN head_change_price p ON p.operation_id = h.operation_id
           AND p.head_change_id = COALESCE(h.reverses_id, h.id)
         WHERE h.operation_id = ${operationId} AND ${within('h.happened_on')}
        UNION ALL
        SELECT c.id, c.happened_on, NULL::uuid, 'herd-cost', 'paid', c.herd_id, m.amount::text, NULL::uuid, c.payee,
          COALESCE(c.note, c.kind)
          FROM herd_cost c
          JOIN herd_cost_money m ON m.operation_id = c.operation_id AND m.herd_cost_id = c.id
         WHERE c.operation_id = ${operationId} AND ${within('c.happened_on')}
        UNION ALL
        SELECT r.id, r.effective_on, r.subject_id, 'herd-cost', 'paid', c.herd_id, m.amount::text, NULL::uuid,
          c.payee, r.reason
          FROM reversal r
          JOIN herd_cost c ON c.operation_id = r.operation_id AND c.id = r.subject_id
          JOIN herd_cost_money m ON m.operation_id = c.operation_id AND m.herd_cost_id = c.id
         WHERE r.operation_id = ${operationId} AND r.subject_kind = 'herd-cost' AND ${within('r.effective_on')}
      ) x ORDER BY "on", id ${limit}`.execute(db);
    const currency = asCurrency(operation.currency);
    return rows.map((row) => ({ ...row, amount: Money.of(row.amount, currency) }));
  }
}
