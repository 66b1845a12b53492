import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { toBaseUnit } from '../../../core/units/unit.js';
import { type Books, operationsOf } from '../../../platform/database/books.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import type { PageAsked } from '../../../platform/http/cursor.js';
import { notFound } from '../../../platform/http/problem.js';
import { typedFigure } from '../../../platform/wire/quantity.schema.js';
import { byName } from '../../kit/name-order.read.js';

export type PlaceRow = Selectable<DB['place']>;

/** Feeding length that cattle can eat along, m; null if not known. */
export function bunkLengthMeters(place: PlaceRow | undefined): number | null {
  const typed = typedFigure(place?.bunk_length_value ?? null, place?.bunk_length_unit ?? null);
  return typed === null ? null : toBaseUnit(Number(typed.value), typed.unit);
}

@Injectable()
export class PlaceRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<PlaceRow> {
    const row = await db
      .selectFrom('place')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('place', id);
    return row;
  }

  async page(
    { db, operationId }: OperationTenant,
    query: PageAsked & { ranchId?: string | undefined },
  ): Promise<PlaceRow[]> {
    let select = db.selectFrom('place').selectAll().where('operation_id', '=', operationId);
    if (query.ranchId !== undefined) select = select.where('ranch_id', '=', query.ranchId);
    return byName(select, query).execute();
  }

  /** Those of these places that exist. */
  async byId(books: Books, ids: readonly string[]): Promise<ReadonlyMap<string, PlaceRow>> {
    if (ids.length === 0) return new Map();
    const rows = await books.db
      .selectFrom('place')
      .selectAll()
      .where('operation_id', 'in', operationsOf(books))
      .where('id', 'in', [...ids])
      .execute();
    return new Map(rows.map((row) => [row.id, row]));
  }
}
