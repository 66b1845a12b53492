import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { Mass } from '../../../core/units/mass.js';
import { type Books, operationsOf } from '../../../platform/database/books.js';
import type { DB, OperationTenant, Queries } from '../../../platform/database/types.js';
import type { PageAsked } from '../../../platform/http/cursor.js';
import { notFound, Problem } from '../../../platform/http/problem.js';
import { formatMass, type UnitSystem } from '../../../platform/wire/quantity.schema.js';
import { nameKey } from '../../../core/units/name-key.js';
import { notReversed } from '../../kit/not-reversed.read.js';
import { byName } from '../../kit/name-order.read.js';

export type HayLotRow = Selectable<DB['hay_lot']>;

/** A lot as it has to be told from others of its name: when its hay came first, and what is left of it. */
export interface LotHolding {
  id: string;
  name: string;
  /** Null where nothing has come into it. */
  cameOn: string | null;
  left: Mass;
}

/** The day a lot was baled, if that is after a day on which somebody is said to have sampled it or looked at it. */
export function baledAfter(lot: HayLotRow | undefined, day: string): string | null {
  const baledOn = lot?.harvested_on ?? null;
  return baledOn !== null && day < baledOn ? baledOn : null;
}

@Injectable()
export class HayLotRead {
  /** Who sold the hay of each lot, by the tickets that stand; of a lot split off another, those of that one too. */
  async vendors({ db, operationId }: OperationTenant, lotIds: readonly string[]): Promise<Map<string, string[]>> {
    if (lotIds.length === 0) return new Map();
    const { rows } = await sql<{ lot_id: string; vendors: string[] }>`
      WITH RECURSIVE came(lot_id, from_id) AS (
        SELECT id, id FROM hay_lot WHERE operation_id = ${operationId} AND id = ANY (${lotIds}::uuid[])
        UNION
        SELECT came.lot_id, l.split_from_id FROM came JOIN hay_lot l ON l.operation_id = ${operationId}
          AND l.id = came.from_id WHERE l.split_from_id IS NOT NULL)
      SELECT came.lot_id, array_agg(DISTINCT p.vendor) AS vendors FROM came
        JOIN hay_purchase p ON p.operation_id = ${operationId} AND p.hay_lot_id = came.from_id
       WHERE ${notReversed('p')} GROUP BY came.lot_id`.execute(db);
    return new Map(rows.map((row) => [row.lot_id, row.vendors]));
  }

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
    // The operation by its value: PostgreSQL may answer the inner questions for all lots at once.
    const reversed = sql<boolean>`(EXISTS (SELECT 1 FROM stock_movement m
        WHERE m.operation_id = ${operationId} AND m.hay_lot_id = hay_lot.id)
      AND NOT EXISTS (SELECT 1 FROM stock_movement m
        WHERE m.operation_id = ${operationId} AND m.hay_lot_id = hay_lot.id AND m.reverses_id IS NULL
          AND NOT EXISTS (SELECT 1 FROM stock_movement r
            WHERE r.operation_id = m.operation_id AND r.hay_lot_id = m.hay_lot_id AND r.reverses_id = m.id)))`;
    select = select.where(reversed, '=', query.reversed);
    if (query.onHand !== undefined) {
      const left = sql<boolean>`(COALESCE((SELECT sum(m.kilograms) FROM stock_movement m
        WHERE m.operation_id = ${operationId} AND m.hay_lot_id = hay_lot.id), 0) > 0)`;
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

  /** Lots of a ranch whose name is taken for this one and that still have hay; those that came first, first. */
  async withHayNamed(
    { db, operationId }: OperationTenant,
    { ranchId, name, besides }: { ranchId: string; name: string; besides: string },
  ): Promise<LotHolding[]> {
    const rows = await this.#holdings(db, operationId)
      .where('hay_lot.ranch_id', '=', ranchId)
      .where('hay_lot.id', '<>', besides)
      .where(sql<string>`lower(regexp_replace(btrim(hay_lot.name), '\\s+', ' ', 'g'))`, '=', nameKey(name))
      .having(sql<boolean>`sum(m.kilograms) > 0`)
      .execute();
    return rows.map(holdingOf);
  }

  /** What has to be known of these lots to tell them from each other. */
  async holdings({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<LotHolding[]> {
    if (ids.length === 0) return [];
    const rows = await this.#holdings(db, operationId)
      .where('hay_lot.id', 'in', [...ids])
      .execute();
    return rows.map(holdingOf);
  }

  #holdings(db: Queries, operationId: string) {
    return db
      .selectFrom('hay_lot')
      .leftJoin('stock_movement as m', (join) =>
        join.onRef('m.operation_id', '=', 'hay_lot.operation_id').onRef('m.hay_lot_id', '=', 'hay_lot.id'),
      )
      .select(['hay_lot.id', 'hay_lot.name'])
      .select([
        sql<string | null>`min(m.effective_on) FILTER (WHERE m.kilograms > 0)`.as('came_on'),
        sql<string>`coalesce(sum(m.kilograms), 0)`.as('kilograms'),
      ])
      .where('hay_lot.operation_id', '=', operationId)
      .groupBy(['hay_lot.id', 'hay_lot.name'])
      .orderBy('came_on')
      .orderBy('hay_lot.id');
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

function holdingOf(row: { id: string; name: string; came_on: string | null; kilograms: string }): LotHolding {
  return { id: row.id, name: row.name, cameOn: row.came_on, left: Mass.kilograms(row.kilograms) };
}

/** Words that tell a lot from others of its name. */
export function holdingWords({ id, cameOn, left }: LotHolding, units: UnitSystem): string {
  const { value, unit } = formatMass(left, units, 'large');
  return `${id} (${cameOn === null ? 'nothing came yet' : `came on ${cameOn}`}, ${value} ${unit} left)`;
}

/** Among the lots found, those named in a body. @throws Problem not-found with a pointer to each that is missing. */
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
