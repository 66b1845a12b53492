import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { Mass } from '../../core/units/mass.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { notFound } from '../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../records/kit/newest-first.read.js';
import { notReversed } from '../../records/kit/not-reversed.read.js';

export type ConfirmationRow = Selectable<DB['feed_sheet_confirmation']>;
export type ConfirmedLotRow = Selectable<DB['feed_sheet_lot']>;

/**
 * What a feeding left over, and how its bales were counted: hay in opened bales is another thing than whole bales ahead
 * of the need.
 */
interface CarriedIn {
  rounding: string;
  lots: ReadonlyMap<string, Mass>;
}

/** Questions about sheets that were fed. A confirmation stands while its feeding was not reversed. */
@Injectable()
export class FeedSheetRead {
  /** Also one whose feeding was reversed. */
  async one({ db, operationId }: OperationTenant, id: string): Promise<ConfirmationRow> {
    const row = await db
      .selectFrom('feed_sheet_confirmation')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('feed sheet confirmation');
    return row;
  }

  /** Newest first, also those whose feedings were reversed. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { herdId?: string | undefined },
  ): Promise<ConfirmationRow[]> {
    let select = db.selectFrom('feed_sheet_confirmation').selectAll().where('operation_id', '=', operationId);
    if (query.herdId !== undefined) select = select.where('herd_id', '=', query.herdId);
    return newestFirst(select, query).execute();
  }

  /**
   * Which herds' sheets of a day were confirmed, and what the confirmation before that day left of each lot, by herd.
   */
  async around(
    { db, operationId }: OperationTenant,
    herdIds: readonly string[],
    day: string,
  ): Promise<{ confirmed: Map<string, ConfirmationRow>; carriedIn: Map<string, CarriedIn> }> {
    const confirmed = new Map<string, ConfirmationRow>();
    const carriedIn = new Map<string, CarriedIn>();
    if (herdIds.length === 0) return { confirmed, carriedIn };
    const standing = await db
      .selectFrom('feed_sheet_confirmation')
      .innerJoin('ration', (join) =>
        join
          .onRef('ration.operation_id', '=', 'feed_sheet_confirmation.operation_id')
          .onRef('ration.id', '=', 'feed_sheet_confirmation.ration_id'),
      )
      .selectAll('feed_sheet_confirmation')
      .select('ration.bale_rounding')
      .distinctOn(['feed_sheet_confirmation.herd_id', 'feed_sheet_confirmation.happened_on'])
      .where('feed_sheet_confirmation.operation_id', '=', operationId)
      .where('feed_sheet_confirmation.herd_id', 'in', [...herdIds])
      .where('feed_sheet_confirmation.happened_on', '<=', day)
      .where(notReversed('feed_sheet_confirmation', { id: 'feeding_id' }))
      .orderBy('feed_sheet_confirmation.herd_id')
      .orderBy('feed_sheet_confirmation.happened_on', 'desc')
      .orderBy('feed_sheet_confirmation.id', 'desc')
      .execute();
    const before = new Map<string, (typeof standing)[number]>();
    for (const row of standing) {
      if (row.happened_on === day) confirmed.set(row.herd_id, row);
      else if (!before.has(row.herd_id)) before.set(row.herd_id, row);
    }
    const lots = await this.lotsOf(
      { db, operationId },
      [...before.values()].map((row) => row.id),
    );
    for (const [herdId, row] of before)
      carriedIn.set(herdId, {
        rounding: row.bale_rounding,
        lots: new Map((lots.get(row.id) ?? []).map((lot) => [lot.hay_lot_id, Mass.kilograms(lot.carried_out_kg)])),
      });
    return { confirmed, carriedIn };
  }

  async lotsOf(
    { db, operationId }: Pick<OperationTenant, 'db' | 'operationId'>,
    confirmationIds: readonly string[],
  ): Promise<Map<string, ConfirmedLotRow[]>> {
    if (confirmationIds.length === 0) return new Map();
    const rows = await db
      .selectFrom('feed_sheet_lot')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('confirmation_id', 'in', [...confirmationIds])
      .orderBy('hay_lot_id')
      .execute();
    const byConfirmation = new Map<string, ConfirmedLotRow[]>();
    for (const row of rows)
      byConfirmation.set(row.confirmation_id, [...(byConfirmation.get(row.confirmation_id) ?? []), row]);
    return byConfirmation;
  }
}
