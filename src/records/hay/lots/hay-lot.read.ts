import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { type Books, operationsOf } from '../../../platform/database/books.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import type { PageAsked } from '../../../platform/http/cursor.js';
import { notFound, Problem } from '../../../platform/http/problem.js';
import { byName } from '../../kit/name-order.read.js';

export type HayLotRow = Selectable<DB['hay_lot']>;

/** The day a lot was baled, if that is after a day on which somebody is said to have sampled it or looked at it. */
export function baledAfter(lot: HayLotRow | undefined, day: string): string | null {
  const baledOn = lot?.harvested_on ?? null;
  return baledOn !== null && day < baledOn ? baledOn : null;
}

@Injectable()
export class HayLotRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<HayLotRow> {
    const row = await db
      .selectFrom('hay_lot')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('hay lot', id);
    return row;
  }

  /**
   * By name; `onHand` keeps those with hay left, or those without. Those whose every entry was reversed were never
   * there, unless they are asked for.
   */
  async page(
    { db, operationId }: OperationTenant,
    query: PageAsked & { ranchId?: string | undefined; onHand?: boolean | undefined; reversed: boolean },
  ): Promise<HayLotRow[]> {
    let select = db.selectFrom('hay_lot').selectAll().where('operation_id', '=', operationId);
    if (query.ranchId !== undefined) select = select.where('ranch_id', '=', query.ranchId);
    const reversed = sql<boolean>`(EXISTS (SELECT 1 FROM stock_movement m
        WHERE m.operation_id = hay_lot.operation_id AND m.hay_lot_id = hay_lot.id)
      AND NOT EXISTS (SELECT 1 FROM stock_movement m
        WHERE m.operation_id = hay_lot.operation_id AND m.hay_lot_id = hay_lot.id AND m.reverses_id IS NULL
          AND NOT EXISTS (SELECT 1 FROM stock_movement r
            WHERE r.operation_id = m.operation_id AND r.hay_lot_id = m.hay_lot_id AND r.reverses_id = m.id)))`;
    select = select.where(reversed, '=', query.reversed);
    if (query.onHand !== undefined) {
      const left = sql<boolean>`(COALESCE((SELECT sum(m.kilograms) FROM stock_movement m
        WHERE m.operation_id = hay_lot.operation_id AND m.hay_lot_id = hay_lot.id), 0) > 0)`;
      select = select.where(left, '=', query.onHand);
    }
    return byName(select, query).execute();
  }

  /** Several lots named in a body. @throws Problem not-found with a pointer to each that does not exist. */
  async named(
    { db, operationId }: OperationTenant,
    named: readonly { id: string; pointer: string }[],
  ): Promise<Map<string, HayLotRow>> {
    const rows =
      named.length === 0
        ? []
        : await db
            .selectFrom('hay_lot')
            .selectAll()
            .where('operation_id', '=', operationId)
            .where(
              'id',
              'in',
              named.map((one) => one.id),
            )
            .execute();
    return lotsNamed(rows, named);
  }

  /** Those of these lots that exist. */
  async byId(books: Books, ids: readonly string[]): Promise<HayLotRow[]> {
    if (ids.length === 0) return [];
    return books.db
      .selectFrom('hay_lot')
      .selectAll()
      .where('operation_id', 'in', operationsOf(books))
      .where('id', 'in', [...ids])
      .execute();
  }

  async all({ db, operationId }: OperationTenant): Promise<HayLotRow[]> {
    return db
      .selectFrom('hay_lot')
      .selectAll()
      .where('operation_id', '=', operationId)
      .orderBy('name')
      .orderBy('id')
      .execute();
  }
}

/** Among the lots found, those named in a body. @throws Problem not-found with a pointer to each that does not exist. */
export function lotsNamed(
  rows: Iterable<HayLotRow>,
  named: readonly { id: string; pointer: string }[],
): Map<string, HayLotRow> {
  const found = new Map([...rows].map((row) => [row.id, row]));
  const missing = named.filter((one) => !found.has(one.id));
  if (missing.length > 0)
    throw new Problem(
      'not-found',
      'A hay lot that the body names does not exist.',
      missing.map(({ id, pointer }) => ({
        pointer,
        code: 'no-such-lot',
        given: id,
        allowed: 'a lot of this operation',
        message: 'There is no such lot, or none that you may see.',
      })),
    );
  return found;
}
