import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import type { DB, OperationTenant, Words } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { eventCursor } from '../../kit/day-range.js';
import type { EventsAsked } from '../../kit/newest-first.read.js';
import { RECEIPT_KINDS, type ReceiptKind } from '../../../platform/wire/record-kinds.data.js';
import { notReversed } from '../../kit/not-reversed.read.js';

export type MovementRow = Selectable<DB['stock_movement']>;

/** Questions about the rows of the hay ledger. */
@Injectable()
export class MovementRead {
  /** The movement that brought in the hay of a receipt. */
  async broughtBy(
    { db, operationId }: OperationTenant,
    receipt: { kind: ReceiptKind; id: string },
  ): Promise<Pick<MovementRow, 'id' | 'hay_lot_id' | 'effective_on' | 'kilograms'>> {
    const found = await db
      .selectFrom('stock_movement')
      .select(['id', 'hay_lot_id', 'effective_on', 'kilograms'])
      .where('operation_id', '=', operationId)
      .where('source_kind', '=', receipt.kind)
      .where('source_id', '=', receipt.id)
      .executeTakeFirst();
    if (found === undefined) throw notFound('receipt');
    return found;
  }

  /** The receipts that brought hay into a lot on a day and stand. */
  async receiptsOn(
    { db, operationId }: OperationTenant,
    lotId: string,
    day: string,
  ): Promise<{ kind: ReceiptKind; id: string }[]> {
    const rows = await db
      .selectFrom('stock_movement')
      .select(['source_kind', 'source_id'])
      .where('operation_id', '=', operationId)
      .where('hay_lot_id', '=', lotId)
      .where('effective_on', '=', day)
      .where('source_kind', 'in', RECEIPT_KINDS)
      .where(notReversed('stock_movement', { id: 'source_id' }))
      .orderBy('sequence')
      .execute();
    return rows.map((row) => ({ kind: row.source_kind as ReceiptKind, id: row.source_id }));
  }

  /** A page of a lot's movements, newest day first, each with the balance after it. */
  async pageOfLot(
    { db, operationId }: OperationTenant,
    lotId: string,
    query: EventsAsked,
  ): Promise<(MovementRow & { balance_after: string })[]> {
    const before = eventCursor(query.cursor);
    const running = db
      .selectFrom('stock_movement')
      .selectAll()
      .select(sql<string>`sum(kilograms) OVER (ORDER BY effective_at, sequence)`.as('balance_after'))
      .where('operation_id', '=', operationId)
      .where('hay_lot_id', '=', lotId)
      .as('running');
    let select = db
      .selectFrom(running)
      .selectAll()
      .orderBy('effective_on', 'desc')
      .orderBy('id', 'desc')
      .limit(query.limit + 1);
    if (query.from !== undefined) select = select.where('effective_on', '>=', query.from);
    if (query.until !== undefined) select = select.where('effective_on', '<=', query.until);
    if (before !== undefined)
      select = select.where((e) =>
        e.or([
          e('effective_on', '<', before.day),
          e.and([e('effective_on', '=', before.day), e('id', '<', before.id)]),
        ]),
      );
    return select.execute();
  }

  /** All movements of a lot up to the end of a day, in the order in which they count. */
  async ofLot({ db, operationId }: OperationTenant, lotId: string, until: string): Promise<MovementRow[]> {
    return db
      .selectFrom('stock_movement')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('hay_lot_id', '=', lotId)
      .where('effective_on', '<=', until)
      .orderBy('effective_on')
      .orderBy('effective_at')
      .orderBy('sequence')
      .execute();
  }

  /** Rows in the order of entry, with what the lot holds: those after one sequence number. */
  async bySequence(
    { db, operationId }: OperationTenant,
    asked: {
      after: string;
      limit: number;
      from?: string | undefined;
      until?: string | undefined;
      hayLotId?: string | undefined;
    },
  ): Promise<(MovementRow & { lot_name: string; hay_kind: Words['FeedKind'] })[]> {
    let page = db
      .selectFrom('stock_movement')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('sequence', '>', asked.after)
      .orderBy('sequence')
      .limit(asked.limit);
    if (asked.from !== undefined) page = page.where('effective_on', '>=', asked.from);
    if (asked.until !== undefined) page = page.where('effective_on', '<=', asked.until);
    if (asked.hayLotId !== undefined) page = page.where('hay_lot_id', '=', asked.hayLotId);
    // Joined before it is cut to a page, the whole ledger would be sorted for each where the table is just filled.
    return db
      .selectFrom(page.as('page'))
      .innerJoin('hay_lot', (join) =>
        join.onRef('hay_lot.operation_id', '=', 'page.operation_id').onRef('hay_lot.id', '=', 'page.hay_lot_id'),
      )
      .selectAll('page')
      .select(['hay_lot.name as lot_name', 'hay_lot.hay_kind'])
      .orderBy('page.sequence')
      .execute();
  }
}
