import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { OperationTenant } from '../../platform/database/types.js';

export type BalanceGroup = 'lot' | 'place' | 'ranch' | 'kind';

export interface BalanceRow {
  key: string;
  label: string;
  ranch_id: string | null;
  kilograms: string;
  movements: string;
}

@Injectable()
export class BalancesRead {
  /**
   * Sums of the ledger at the end of a day or at an instant, as known at an instant; groups without hay are listed with
   * zero.
   */
  async grouped(
    { db, operationId }: OperationTenant,
    by: BalanceGroup,
    at: { untilDay: string } | { untilInstant: string },
    knownAt: string | undefined,
  ): Promise<BalanceRow[]> {
    let select = db
      .selectFrom('stock_movement')
      .innerJoin('hay_lot', (join) =>
        join
          .onRef('hay_lot.operation_id', '=', 'stock_movement.operation_id')
          .onRef('hay_lot.id', '=', 'stock_movement.hay_lot_id'),
      )
      .innerJoin('ranch', (join) =>
        join
          .onRef('ranch.operation_id', '=', 'stock_movement.operation_id')
          .onRef('ranch.id', '=', 'stock_movement.ranch_id'),
      )
      .leftJoin('place', (join) =>
        join
          .onRef('place.operation_id', '=', 'stock_movement.operation_id')
          .onRef('place.id', '=', 'stock_movement.place_id'),
      )
      .where('stock_movement.operation_id', '=', operationId);
    // A day ends in each ranch's own time zone; movements carry their day.
    select =
      'untilDay' in at
        ? select.where('stock_movement.effective_on', '<=', at.untilDay)
        : select.where('stock_movement.effective_at', '<=', at.untilInstant);
    if (knownAt !== undefined) select = select.where('stock_movement.recorded_at', '<=', knownAt);
    const [key, label, ranch] = {
      lot: [sql<string>`hay_lot.id::text`, sql<string>`hay_lot.name`, sql<string | null>`stock_movement.ranch_id`],
      place: [
        sql<string>`COALESCE(place.id::text, '')`,
        sql<string>`COALESCE(place.name, 'No named place at ' || ranch.name)`,
        sql<string | null>`stock_movement.ranch_id`,
      ],
      ranch: [sql<string>`ranch.id::text`, sql<string>`ranch.name`, sql<string | null>`stock_movement.ranch_id`],
      kind: [sql<string>`hay_lot.hay_kind`, sql<string>`hay_lot.hay_kind`, sql<string | null>`NULL::uuid`],
    }[by] as [ReturnType<typeof sql<string>>, ReturnType<typeof sql<string>>, ReturnType<typeof sql<string | null>>];
    return select
      .select([
        key.as('key'),
        label.as('label'),
        ranch.as('ranch_id'),
        sql<string>`sum(stock_movement.kilograms)`.as('kilograms'),
        // What was reversed at its own instant counts as if it had never happened, and so does its reversal.
        sql<string>`count(*) - 2 * count(*) FILTER (WHERE stock_movement.reverses_id IS NOT NULL AND EXISTS (
          SELECT 1 FROM stock_movement undone WHERE undone.operation_id = stock_movement.operation_id
            AND undone.id = stock_movement.reverses_id AND undone.effective_at = stock_movement.effective_at))`.as(
          'movements',
        ),
      ])
      .groupBy(sql`1, 2, 3`)
      .orderBy(sql`2, 1`)
      .execute();
  }
}
