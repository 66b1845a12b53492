import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { decimal } from '../../../core/units/decimal.js';
import { Mass } from '../../../core/units/mass.js';
import { type Books, operationsOf } from '../../../platform/database/books.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';
import { notReversed } from '../../kit/not-reversed.read.js';

export type WeighInRow = Selectable<DB['weigh_in']>;
export type AnimalWeightRow = Selectable<DB['animal_weight']>;

/** Mean weight after the shrink that the record says to apply. */
export function meanAfterShrink(row: Pick<WeighInRow, 'mean_kg' | 'shrink_pct'>): Mass {
  return Mass.kilograms(row.mean_kg).times(
    decimal('100')
      .minus(row.shrink_pct ?? '0')
      .div(100),
  );
}

export interface HerdWeighIn {
  herdId: string;
  day: string;
  head: number;
  mean: Mass;
  fill: 'full' | 'shrunk';
}

@Injectable()
export class WeighInRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<WeighInRow> {
    const row = await db
      .selectFrom('weigh_in')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('weigh-in', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { herdId?: string | undefined },
  ): Promise<WeighInRow[]> {
    let select = db.selectFrom('weigh_in').selectAll().where('operation_id', '=', operationId);
    if (query.herdId !== undefined) select = select.where('herd_id', '=', query.herdId);
    return newestFirst(select, query).execute();
  }

  /** The animals of these weigh-ins, in the order in which they were recorded. */
  async animalsOf({ db, operationId }: OperationTenant, weighInIds: readonly string[]): Promise<AnimalWeightRow[]> {
    if (weighInIds.length === 0) return [];
    return db
      .selectFrom('animal_weight')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('weigh_in_id', 'in', [...weighInIds])
      .orderBy('weigh_in_id')
      .orderBy('position')
      .execute();
  }

  /** Weigh-ins that were not reversed, oldest first. */
  async of(books: Books, herdIds: readonly string[]): Promise<HerdWeighIn[]> {
    if (herdIds.length === 0) return [];
    const rows = await books.db
      .selectFrom('weigh_in')
      .selectAll('weigh_in')
      .where('weigh_in.operation_id', 'in', operationsOf(books))
      .where('weigh_in.herd_id', 'in', [...herdIds])
      .where(notReversed('weigh_in'))
      .orderBy('weigh_in.happened_on')
      .orderBy('weigh_in.id')
      .execute();
    return rows.map((row) => ({
      herdId: row.herd_id,
      day: row.happened_on,
      head: row.head,
      mean: meanAfterShrink(row),
      fill: row.fill,
    }));
  }
}
