import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import type { BaleRounding } from '../../core/laying/whole-bales.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import { notFound } from '../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../records/kit/newest-first.read.js';
import { notReversed } from '../../records/kit/not-reversed.read.js';

export type ConfirmationRow = Selectable<DB['feed_sheet_confirmation']>;
export type ConfirmedLotRow = Selectable<DB['feed_sheet_lot']>;

/** A confirmed sheet that was not reversed, with how its ration counts bales. */
export type StandingConfirmation = ConfirmationRow & { bale_rounding: BaleRounding };
/** A feeding that was not reversed, and who entered it, if the person asking may know. */
export type StandingFeeding = Selectable<DB['feeding']> & { entered_by: string | null };

/** What herds were fed over a range of days. */
interface History {
  confirmed: StandingConfirmation[];
  lots: Map<string, ConfirmedLotRow[]>;
  feedings: StandingFeeding[];
  reversed: { herd_id: string; happened_on: string; recorded_at: string; reversed_at: string }[];
}

/** Questions about sheets that were fed. A confirmation counts until its feeding is reversed. */
@Injectable()
export class FeedSheetRead {
  /** Includes one whose feeding was reversed. */
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

  /** Newest first, including those whose feedings were reversed. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { herdId?: string | undefined },
  ): Promise<ConfirmationRow[]> {
    let select = db.selectFrom('feed_sheet_confirmation').selectAll().where('operation_id', '=', operationId);
    if (query.herdId !== undefined) select = select.where('herd_id', '=', query.herdId);
    return newestFirst(select, query).execute();
  }

  /** What was confirmed, fed and reversed over [from, until], oldest first. */
  async history(tenant: OperationTenant, herdIds: readonly string[], from: string, until: string): Promise<History> {
    if (herdIds.length === 0) return { confirmed: [], lots: new Map(), feedings: [], reversed: [] };
    const { db, operationId } = tenant;
    const confirming = db
      .selectFrom('feed_sheet_confirmation')
      .innerJoin('ration', (join) =>
        join
          .onRef('ration.operation_id', '=', 'feed_sheet_confirmation.operation_id')
          .onRef('ration.id', '=', 'feed_sheet_confirmation.ration_id'),
      )
      .selectAll('feed_sheet_confirmation')
      .select('ration.bale_rounding')
      .where('feed_sheet_confirmation.operation_id', '=', operationId)
      .where('feed_sheet_confirmation.herd_id', 'in', [...herdIds])
      .where('feed_sheet_confirmation.happened_on', '>=', from)
      .where('feed_sheet_confirmation.happened_on', '<=', until)
      .where(notReversed('feed_sheet_confirmation', { id: 'feeding_id' }))
      .orderBy('feed_sheet_confirmation.happened_on')
      .orderBy('feed_sheet_confirmation.id')
      .execute();
    const feeding = db
      .selectFrom('feeding')
      .leftJoin('person', 'person.id', 'feeding.recorded_by')
      .selectAll('feeding')
      .select('person.name as entered_by')
      .where('feeding.operation_id', '=', operationId)
      .where('feeding.herd_id', 'in', [...herdIds])
      .where('feeding.happened_on', '>=', from)
      .where('feeding.happened_on', '<=', until)
      .where(notReversed('feeding'))
      .orderBy('feeding.happened_on')
      .orderBy('feeding.id')
      .execute();
    const reversing = db
      .selectFrom('feeding')
      .innerJoin('reversal', (join) =>
        join
          .onRef('reversal.operation_id', '=', 'feeding.operation_id')
          .onRef('reversal.subject_id', '=', 'feeding.id'),
      )
      .select(['feeding.herd_id', 'feeding.happened_on', 'feeding.recorded_at', 'reversal.recorded_at as reversed_at'])
      .where('feeding.operation_id', '=', operationId)
      .where('feeding.herd_id', 'in', [...herdIds])
      .where('feeding.happened_on', '>=', from)
      .where('feeding.happened_on', '<=', until)
      .execute();
    const [confirmed, feedings, reversed] = await together(confirming, feeding, reversing);
    const lots = await this.lotsOf(
      tenant,
      confirmed.map((row) => row.id),
    );
    return { confirmed, lots, feedings, reversed };
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
