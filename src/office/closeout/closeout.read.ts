import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { DatedEntry } from '../../core/time/what-stands.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { toldInPlace } from '../../records/kit/told-in-place.read.js';

/** Hay or other feed drawn for a herd, or the reversal of that. */
export interface FedMovement extends DatedEntry {
  /** The feeding that drew it. */
  readonly feedingId: string;
  readonly lot: string;
  readonly hayKind: string;
  /** Signed as the ledger is: feeding takes hay out. */
  readonly kilograms: string;
}

@Injectable()
export class CloseoutRead {
  /** Every movement that fed a herd up to a day, oldest first. */
  async fed({ db, operationId }: OperationTenant, herdId: string, until: string): Promise<FedMovement[]> {
    const { rows } = await sql<FedMovement>`
      SELECT m.id, m.effective_on AS "on", m.reverses_id AS "reversesId", m.source_id AS "feedingId", l.name AS lot,
        l.hay_kind AS "hayKind", m.kilograms::text, ${toldInPlace('m', 'source_id')} AS "toldOn"
        FROM stock_movement m
        JOIN hay_lot l ON l.operation_id = m.operation_id AND l.id = m.hay_lot_id
       WHERE m.operation_id = ${operationId} AND m.herd_id = ${herdId} AND m.effective_on <= ${until}::date
       ORDER BY m.effective_on, m.effective_at, m.sequence`.execute(db);
    return rows;
  }
}
