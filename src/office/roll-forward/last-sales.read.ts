import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { OperationTenant } from '../../platform/database/types.js';
import { notReversed } from '../../records/kit/not-reversed.read.js';

/** What the operation last sold of a kind. */
export interface LastSale {
  hayKind: string;
  soldOn: string;
  kilograms: string;
  proceeds: string;
}

@Injectable()
export class LastSalesRead {
  /** The last sale of each kind over some days that stands at their end. */
  async byKind(
    { db, operationId }: OperationTenant,
    { from, until }: { from: string; until: string },
  ): Promise<LastSale[]> {
    const { rows } = await sql<LastSale>`
      SELECT DISTINCT ON (l.hay_kind) l.hay_kind AS "hayKind", s.happened_on AS "soldOn",
        s.weight_kg::text AS kilograms, p.proceeds_amount::text AS proceeds
        FROM hay_sale s
        JOIN hay_sale_price p ON p.operation_id = s.operation_id AND p.hay_sale_id = s.id
        JOIN hay_lot l ON l.operation_id = s.operation_id AND l.id = s.hay_lot_id
       WHERE s.operation_id = ${operationId} AND s.happened_on BETWEEN ${from}::date AND ${until}::date
         AND ${notReversed('s', { asOf: until })}
       ORDER BY l.hay_kind, s.happened_on DESC, s.id DESC`.execute(db);
    return rows;
  }
}
