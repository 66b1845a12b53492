import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { feedGroupOf, OTHER_FEED_CODES } from '../../core/feeds/other-feeds.data.js';
import { addDays } from '../../core/time/calendar-day.js';
import { type Books, operationsOf } from '../../platform/database/books.js';
import { together } from '../../platform/database/together.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { notFound } from '../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../kit/newest-first.read.js';
import { notReversed } from '../kit/not-reversed.read.js';
import { toldInPlace } from '../kit/told-in-place.read.js';

export type FeedingRow = Selectable<DB['feeding']>;
export type LayerRow = Selectable<DB['feeding_layer']>;
export type LotFed = Pick<Selectable<DB['hay_lot']>, 'name' | 'hay_kind'>;
/** A layer with the lot it came from. */
export type LaidLayer = LayerRow & { lot: LotFed };

/** Was it laid, rather than kept in front of the cattle? What is wasted is wasted of what was laid. */
export const wasLaid = (layer: Pick<LayerRow, 'free_choice'>): boolean => !layer.free_choice;

/** Feedings of herds over [from, until); all, or only those that record refusals or waste. */
export interface FedSpan {
  herdIds?: readonly string[];
  from: string;
  until: string;
  tellingWaste?: boolean;
  /** The last day of the account that asks: what is reversed as of a later day stands in it. */
  accountUntil?: string | undefined;
  /** Its first day: what was posted late in place of a feeding of earlier days is a correction, and not fed in it. */
  accountFrom?: string | undefined;
}

/** A lot that was laid in front of a herd on a day, and how much of it. */
export interface LaidThen {
  feedingId: string;
  herdId: string;
  day: string;
  method: FeedingRow['method'];
  lotId: string;
  lot: Pick<Selectable<DB['hay_lot']>, 'hay_kind' | 'bale_form'> | undefined;
  kilograms: string;
}

/** What a feeding laid, in kilograms, and of which lots. */
export interface LaidByFeeding {
  id: string;
  herdId: string;
  day: string;
  kilograms: number;
  lotIds: string[];
}

/** What a herd was fed in a month, counted. */
export interface MonthOfFeedings {
  herdId: string;
  month: string;
  feedings: number;
  /** Those in which what was refused or wasted was recorded. */
  measured: number;
  lostKilograms: string;
}

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

  /** Includes reversed ones. */
  async byId({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<FeedingRow[]> {
    if (ids.length === 0) return [];
    return db
      .selectFrom('feeding')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', 'in', [...ids])
      .orderBy('id')
      .execute();
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
    if (feedingIds.length === 0) return new Map();
    return byFeeding(
      await layerRows(books)
        .where('feeding_id', 'in', [...feedingIds])
        .execute(),
    );
  }

  /** Layers of these feedings with the lots they came from, by feeding. */
  async laidIn({ db, operationId }: OperationTenant, feedingIds: readonly string[]): Promise<Map<string, LaidLayer[]>> {
    if (feedingIds.length === 0) return new Map();
    const rows = await db
      .selectFrom('feeding_layer')
      .innerJoin('hay_lot', (join) =>
        join
          .onRef('hay_lot.operation_id', '=', 'feeding_layer.operation_id')
          .onRef('hay_lot.id', '=', 'feeding_layer.hay_lot_id'),
      )
      .selectAll('feeding_layer')
      .select(['hay_lot.name', 'hay_lot.hay_kind'])
      .where('feeding_layer.operation_id', '=', operationId)
      .where('feeding_layer.feeding_id', 'in', [...feedingIds])
      .orderBy('feeding_id')
      .orderBy('position')
      .orderBy('part')
      .execute();
    return byFeeding(rows.map(({ name, hay_kind, ...layer }) => ({ ...layer, lot: { name, hay_kind } })));
  }

  /** What each of these feedings that stand laid, and of which lots. */
  async laidBy(tenant: OperationTenant, ids: readonly string[]): Promise<LaidByFeeding[]> {
    if (ids.length === 0) return [];
    const { db, operationId } = tenant;
    // Asked apart: of an operation that is new to it, the database would take a join for one of single rows, and try
    // every layer there is with every feeding.
    const [feedings, layers] = await together(
      db
        .selectFrom('feeding')
        .select(['id', 'herd_id as herdId', 'happened_on as day'])
        .where('operation_id', '=', operationId)
        .where(sql<boolean>`id = ANY (${ids}::uuid[])`)
        .where(notReversed('feeding'))
        .orderBy('id')
        .execute(),
      db
        .selectFrom('feeding_layer')
        .select('feeding_id as feedingId')
        .select(sql<number>`sum(kilograms)::float8`.as('kilograms'))
        .select(sql<string[]>`array_agg(DISTINCT hay_lot_id)`.as('lotIds'))
        .where('operation_id', '=', operationId)
        .where(sql<boolean>`feeding_id = ANY (${ids}::uuid[])`)
        .groupBy('feeding_id')
        .execute(),
    );
    const laid = new Map(layers.map(({ feedingId, ...of }) => [feedingId, of]));
    return feedings.flatMap((feeding) => {
      const of = laid.get(feeding.id);
      return of === undefined ? [] : [{ ...feeding, ...of }];
    });
  }

  /** Layers of the feedings of any of these spans, by feeding, in the round trip that asks for the feedings. */
  async layersBetween(books: Books, ...spans: readonly FedSpan[]): Promise<Map<string, LayerRow[]>> {
    const [first, ...others] = spans.map((span) => feedingsIn(books, span).select('feeding.id'));
    if (first === undefined) return new Map();
    const feedings = others.reduce((all, some) => all.unionAll(some), first);
    // As a list that the index is entered with; as a condition it would be tried on every layer there is.
    const rows = await layerRows(books)
      .where(sql<boolean>`feeding_id = ANY (ARRAY(${feedings}))`)
      .execute();
    return byFeeding(rows);
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
    const ids = new Map<string, string[]>();
    const keyOf = (one: Pick<FeedingRow, 'herd_id' | 'happened_on'>): string => `${one.herd_id} ${one.happened_on}`;
    for (const one of found) {
      const known = ids.get(keyOf(one));
      if (known === undefined) ids.set(keyOf(one), [one.id]);
      else known.push(one.id);
    }
    return (of) => ids.get(keyOf(of)) ?? [];
  }

  /**
   * What was laid in front of these herds on these days. What was told late and is booked under such a day was laid on
   * another one.
   */
  async laidOn(
    { db, operationId }: OperationTenant,
    asked: readonly { readonly herdId: string; readonly fedOn: string }[],
  ): Promise<LaidThen[]> {
    if (asked.length === 0) return [];
    const rows = await db
      .selectFrom('feeding')
      .innerJoin('feeding_layer', (join) =>
        join
          .onRef('feeding_layer.operation_id', '=', 'feeding.operation_id')
          .onRef('feeding_layer.feeding_id', '=', 'feeding.id'),
      )
      .innerJoin('hay_lot', (join) =>
        join
          .onRef('hay_lot.operation_id', '=', 'feeding_layer.operation_id')
          .onRef('hay_lot.id', '=', 'feeding_layer.hay_lot_id'),
      )
      .leftJoin('late_posting', (join) =>
        join
          .onRef('late_posting.operation_id', '=', 'feeding.operation_id')
          .onRef('late_posting.subject_id', '=', 'feeding.id'),
      )
      .select(['feeding.id as feedingId', 'feeding.herd_id as herdId', 'feeding.happened_on as day', 'feeding.method'])
      .select(['feeding_layer.hay_lot_id as lotId', 'feeding_layer.kilograms', 'hay_lot.hay_kind', 'hay_lot.bale_form'])
      .where('feeding.operation_id', '=', operationId)
      .where('feeding.herd_id', 'in', [...new Set(asked.map((one) => one.herdId))])
      .where('feeding.happened_on', 'in', [...new Set(asked.map((one) => one.fedOn))])
      .where('feeding_layer.free_choice', '=', false)
      .where('late_posting.subject_id', 'is', null)
      .where(notReversed('feeding'))
      .execute();
    return rows.map(({ hay_kind, bale_form, ...laid }) => ({ ...laid, lot: { hay_kind, bale_form } }));
  }

  /** The days on which these herds were laid something in so many days before any of these, by herd. */
  async daysBefore(
    { db, operationId }: OperationTenant,
    asked: readonly { readonly herdId: string; readonly fedOn: string }[],
    within: number,
  ): Promise<Map<string, string[]>> {
    const days = asked.map(({ fedOn }) => fedOn).sort();
    const [first, last] = [days[0], days.at(-1)];
    const byHerd = new Map<string, string[]>();
    if (first === undefined || last === undefined) return byHerd;
    const rows = await db
      .selectFrom('feeding')
      .select(['herd_id', 'happened_on'])
      .distinct()
      .where('operation_id', '=', operationId)
      .where('herd_id', 'in', [...new Set(asked.map((one) => one.herdId))])
      .where('happened_on', '>=', addDays(first, -within))
      .where('happened_on', '<', last)
      .where((e) =>
        e.exists(
          e
            .selectFrom('feeding_layer')
            .select('feeding_layer.hay_lot_id')
            .whereRef('feeding_layer.operation_id', '=', 'feeding.operation_id')
            .whereRef('feeding_layer.feeding_id', '=', 'feeding.id')
            .where('feeding_layer.free_choice', '=', false)
            // Looked up by the index for each; as a join, every layer there is would be tried with every feeding.
            .offset(sql<number>`0`),
        ),
      )
      .where(notReversed('feeding'))
      .execute();
    for (const row of rows) byHerd.set(row.herd_id, [...(byHerd.get(row.herd_id) ?? []), row.happened_on]);
    return byHerd;
  }

  /** Feedings of a span, oldest first. */
  async between(books: Books, span: FedSpan): Promise<FeedingRow[]> {
    if (span.herdIds?.length === 0) return [];
    return feedingsIn(books, span).selectAll('feeding').orderBy('feeding.happened_on').orderBy('feeding.id').execute();
  }

  /** How often each herd was fed in each month of a span, how often losses were recorded, and how much was lost. */
  async lossesByMonth(books: Books, span: FedSpan): Promise<MonthOfFeedings[]> {
    return feedingsIn(books, span)
      .select([
        'feeding.herd_id as herdId',
        sql<string>`to_char(feeding.happened_on, 'YYYY-MM')`.as('month'),
        (e) => e.cast<number>(e.fn.countAll(), 'integer').as('feedings'),
        sql<number>`(count(*) FILTER (
          WHERE feeding.refused_kg IS NOT NULL OR feeding.wasted_kg IS NOT NULL))::integer`.as('measured'),
        sql<string>`COALESCE(sum(feeding.refused_kg), 0) + COALESCE(sum(feeding.wasted_kg), 0)`.as('lostKilograms'),
      ])
      .groupBy([sql`1`, sql`2`])
      .execute();
  }

  /** Those of these herds that something was laid for on a day; what is kept in front of them does not count. */
  async herdsFedOn(books: Books, herdIds: readonly string[], day: string): Promise<Set<string>> {
    if (herdIds.length === 0) return new Set();
    const span = { herdIds, from: day, until: addDays(day, 1) };
    const [feedings, layers] = await together(this.between(books, span), this.layersBetween(books, span));
    return new Set(feedings.filter(({ id }) => (layers.get(id) ?? []).some(wasLaid)).map((one) => one.herd_id));
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

  /**
   * How a herd was last fed by a day: of the feedings that laid forage, the last. What is fed beside it, as cubes in a
   * bunk, does not tell.
   */
  async lastMethod(
    { db, operationId }: OperationTenant,
    herdId: string,
    until: string,
  ): Promise<FeedingRow['method'] | undefined> {
    const last = await db
      .selectFrom('feeding')
      .select('feeding.method')
      .where('feeding.operation_id', '=', operationId)
      .where('feeding.herd_id', '=', herdId)
      .where('feeding.happened_on', '<=', until)
      .where(notReversed('feeding'))
      .where((e) =>
        e.exists(
          e
            .selectFrom('feeding_layer')
            .innerJoin('hay_lot', (join) =>
              join
                .onRef('hay_lot.operation_id', '=', 'feeding_layer.operation_id')
                .onRef('hay_lot.id', '=', 'feeding_layer.hay_lot_id'),
            )
            .select('feeding_layer.hay_lot_id')
            .whereRef('feeding_layer.operation_id', '=', 'feeding.operation_id')
            .whereRef('feeding_layer.feeding_id', '=', 'feeding.id')
            .where('feeding_layer.free_choice', '=', false)
            .where('hay_lot.hay_kind', 'not in', BESIDE_FORAGE),
        ),
      )
      .orderBy('feeding.happened_on', 'desc')
      .orderBy('feeding.id', 'desc')
      .limit(1)
      .executeTakeFirst();
    return last?.method;
  }
}

const BESIDE_FORAGE = OTHER_FEED_CODES.filter((kind) => feedGroupOf(kind) !== 'silage');

/** Feedings of a span that stand, without columns and order. */
function feedingsIn(books: Books, { herdIds, from, until, tellingWaste = false, accountUntil, accountFrom }: FedSpan) {
  let select = books.db
    .selectFrom('feeding')
    .where('feeding.operation_id', 'in', operationsOf(books))
    .where(notReversed('feeding', { asOf: accountUntil }))
    .where('feeding.happened_on', '>=', from)
    .where('feeding.happened_on', '<', until);
  if (tellingWaste)
    select = select.where((e) =>
      e.or([e('feeding.refused_kg', 'is not', null), e('feeding.wasted_kg', 'is not', null)]),
    );
  if (accountFrom !== undefined)
    select = select.where(sql<boolean>`NOT COALESCE(feeding.happened_on >= ${accountFrom}::date
      AND ${toldInPlace('feeding')} < ${accountFrom}::date, false)`);
  return herdIds === undefined ? select : select.where('feeding.herd_id', 'in', [...herdIds]);
}

/** Layers in the order they were laid, not yet filtered by feeding. */
function layerRows(books: Books) {
  return books.db
    .selectFrom('feeding_layer')
    .selectAll()
    .where('operation_id', 'in', operationsOf(books))
    .orderBy('feeding_id')
    .orderBy('position')
    .orderBy('part');
}

function byFeeding<Layer extends LayerRow>(rows: readonly Layer[]): Map<string, Layer[]> {
  const layers = new Map<string, Layer[]>();
  for (const row of rows) {
    const known = layers.get(row.feeding_id);
    if (known === undefined) layers.set(row.feeding_id, [row]);
    else known.push(row);
  }
  return layers;
}
