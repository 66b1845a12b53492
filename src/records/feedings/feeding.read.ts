import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { type Books, operationsOf } from '../../platform/database/books.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { notFound } from '../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../kit/newest-first.read.js';
import { notReversed } from '../kit/not-reversed.read.js';

export type FeedingRow = Selectable<DB['feeding']>;
export type LayerRow = Selectable<DB['feeding_layer']>;

/** Was it laid, rather than kept in front of the cattle? What is wasted is wasted of what was laid. */
export const wasLaid = (layer: Pick<LayerRow, 'free_choice'>): boolean => !layer.free_choice;

/** Questions about what was fed. Reversed feedings are left out unless the question says otherwise. */
@Injectable()
export class FeedingRead {
  /** Includes reversed ones. */
  async one({ db, operationId }: OperationTenant, id: string): Promise<FeedingRow> {
    const row = await db
      .selectFrom('feeding')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('feeding', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { herdId?: string | undefined },
  ): Promise<FeedingRow[]> {
    let select = db.selectFrom('feeding').selectAll().where('operation_id', '=', operationId);
    if (query.herdId !== undefined) select = select.where('herd_id', '=', query.herdId);
    return newestFirst(select, query).execute();
  }

  async layersOf(books: Books, feedingIds: readonly string[]): Promise<Map<string, LayerRow[]>> {
    const byFeeding = new Map<string, LayerRow[]>();
    if (feedingIds.length === 0) return byFeeding;
    const rows = await books.db
      .selectFrom('feeding_layer')
      .selectAll()
      .where('operation_id', 'in', operationsOf(books))
      .where('feeding_id', 'in', [...feedingIds])
      .orderBy('feeding_id')
      .orderBy('position')
      .orderBy('part')
      .execute();
    for (const row of rows) byFeeding.set(row.feeding_id, [...(byFeeding.get(row.feeding_id) ?? []), row]);
    return byFeeding;
  }

  /** Feedings, not reversed, of the same herds and days as these, by herd and day, oldest first. */
  async onTheSameDays(
    { db, operationId }: OperationTenant,
    rows: readonly Pick<FeedingRow, 'herd_id' | 'happened_on'>[],
  ): Promise<(of: Pick<FeedingRow, 'herd_id' | 'happened_on'>) => string[]> {
    if (rows.length === 0) return () => [];
    const found = await db
      .selectFrom('feeding')
      .select(['id', 'herd_id', 'happened_on'])
      .where('operation_id', '=', operationId)
      .where('herd_id', 'in', [...new Set(rows.map((row) => row.herd_id))])
      .where('happened_on', 'in', [...new Set(rows.map((row) => row.happened_on))])
      .where(notReversed('feeding'))
      .orderBy('id')
      .execute();
    return (of) =>
      found.filter((row) => row.herd_id === of.herd_id && row.happened_on === of.happened_on).map((row) => row.id);
  }

  /** Feedings of herds over [from, until), oldest first; all, or only those that record refusals or waste. */
  async between(
    books: Books,
    span: { herdIds?: readonly string[]; from: string; until: string; tellingWaste?: boolean },
  ): Promise<FeedingRow[]> {
    let select = books.db
      .selectFrom('feeding')
      .selectAll('feeding')
      .where('feeding.operation_id', 'in', operationsOf(books))
      .where(notReversed('feeding'))
      .where('feeding.happened_on', '>=', span.from)
      .where('feeding.happened_on', '<', span.until)
      .orderBy('feeding.happened_on')
      .orderBy('feeding.id');
    if (span.tellingWaste === true)
      select = select.where((e) => e.or([e('refused_kg', 'is not', null), e('wasted_kg', 'is not', null)]));
    if (span.herdIds !== undefined) {
      if (span.herdIds.length === 0) return [];
      select = select.where('feeding.herd_id', 'in', [...span.herdIds]);
    }
    return select.execute();
  }

  /** The last day, not after `until`, on which each of these herds was fed: one step back in the index for each. */
  async lastDays(books: Books, herdIds: readonly string[], until: string): Promise<Map<string, string>> {
    if (herdIds.length === 0) return new Map();
    const rows = await books.db
      .selectFrom('herd')
      .innerJoinLateral(
        (e) =>
          e
            .selectFrom('feeding')
            .select('feeding.happened_on as last')
            .whereRef('feeding.operation_id', '=', 'herd.operation_id')
            .whereRef('feeding.herd_id', '=', 'herd.id')
            .where('feeding.happened_on', '<=', until)
            .where(notReversed('feeding'))
            .orderBy('feeding.happened_on', 'desc')
            .limit(1)
            .as('fed'),
        (join) => join.onTrue(),
      )
      .select(['herd.id', 'fed.last'])
      .where('herd.operation_id', 'in', operationsOf(books))
      .where('herd.id', 'in', [...herdIds])
      .execute();
    return new Map(rows.map((row) => [row.id, row.last]));
  }
}
