import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { type HayObservation, loadAsItCameIn, type ObservedLot } from '../../../core/cautions/hay-observations.js';
import { STACKED_BALE_FORMS } from '../../../core/cautions/guides.data.js';
import { heaviestBaleKg } from '../../../core/laying/offer-fit.js';
import { feedGroupOf } from '../../../core/feeds/other-feeds.data.js';
import { convertDecimal } from '../../../core/units/unit.js';
import { together } from '../../../platform/database/together.js';
import { PLANNED_ONCE } from '../../../platform/database/prepared-statements.js';
import type { DB, OperationTenant, Queries } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';
import { meanBaleKg } from '../stock/stock.read.js';
import { notReversed } from '../../kit/not-reversed.read.js';
import { typedFigure } from '../../../platform/wire/quantity.schema.js';
import type { HayLotRow } from '../lots/hay-lot.read.js';
import type { KnownLabTest } from '../lab-tests/lab-test.read.js';
import { type KnownUntil, type LotLine, lotLine } from '../lots/lot-line.read.js';

export type HayObservationRow = Selectable<DB['hay_observation']>;

const numberOf = (value: string | null): number | null => (value === null ? null : Number(value));

/** From what was typed, so that a reading of 165 °F reaches the 165 °F step; the rounded column might not. */
function celsiusOf({ temperature_value: value, temperature_unit: unit }: HayObservationRow): number | null {
  return value === null || unit === null ? null : convertDecimal(value, unit, 'C').toNumber();
}

/** A row as the core's observation. */
export function observationOf(row: HayObservationRow): HayObservation {
  const depth = typedFigure(row.depth_value, row.depth_unit);
  return {
    seenOn: row.happened_on,
    balesChecked: row.bales_checked,
    mold: row.mold,
    balesMoldy: row.bales_moldy,
    dust: row.dust,
    balesSpoiled: row.bales_spoiled,
    smell: row.smell,
    color: row.color,
    heatFelt: row.heat_felt,
    temperatureC: celsiusOf(row),
    probeDepth: depth === null ? null : { value: Number(depth.value), unit: depth.unit },
    moisturePercent: numberOf(row.moisture_percent),
  };
}

type OnTheLine = Pick<LotLine, 'for_lot_id' | 'source_id' | 'lot_name' | 'came_on' | 'together_until'>;

/** What the lot that was looked at held that day, kg, and what a bale of it weighs on the mean. */
interface HeldThen {
  hay_kind: HayLotRow['hay_kind'];
  bale_form: HayLotRow['bale_form'];
  held_kg: string | null;
  bale_kg: string | null;
}

/** Of hay in bales whose weight nobody knows there are at least so many as of the heaviest. */
function balesHeldOf({ hay_kind: hayKind, bale_form: baleForm, held_kg: held, bale_kg: bale }: HeldThen) {
  const heldKg = Number(held ?? 0);
  const baleKg = heaviestBaleKg({ hayKind, baleForm, meanBaleKg: bale === null ? null : Number(bale) });
  if (baleForm === 'loose' || baleKg === null || !(heldKg > 0)) return null;
  // Books in kilograms come to 59.9999 bales.
  return { number: Math.ceil(Number((heldKg / baleKg).toFixed(3))), isAtLeast: bale === null };
}

/** Of a reading that a ticket holds, its kind; null of a look. */
interface OfTicket {
  came_in: 'bought' | 'raised' | null;
}

/** What was seen of a lot or of one that its hay was, or had been, a part of, and of loads that came into them. */
function seenAlongTheLine(row: HayObservationRow & OfTicket & HeldThen & OnTheLine): HayObservation {
  const { for_lot_id: lotId, source_id: sourceId, lot_name: lotName, came_on: cameOn, together_until: until } = row;
  const seen =
    row.came_in === null
      ? { ...observationOf(row), balesHeld: balesHeldOf(row) }
      : loadAsItCameIn(row.came_in, row.happened_on, Number(row.moisture_percent));
  if (until !== null && seen.seenOn > until)
    return { ...seen, leftBefore: { lotId: row.hay_lot_id, lotName, on: until } };
  if (cameOn !== null) return { ...seen, movedIn: { sourceId, lotName, on: cameOn } };
  return row.hay_lot_id === lotId ? seen : { ...seen, seenIn: lotName };
}

/** A part that was taken from a lot, and when. */
interface OfPart {
  for_lot_id: string;
  lot_name: string;
  taken_on: string;
}

/** An observation of a part that was taken from a lot, as it tells of the rest. */
function seenOfPart(row: HayObservationRow & HeldThen & OfPart): HayObservation {
  const leftBefore = { lotId: row.hay_lot_id, lotName: row.lot_name, on: row.taken_on, isPart: true };
  return { ...observationOf(row), balesHeld: balesHeldOf(row), leftBefore };
}

/** A lot with its observations, and with what its own tests say of its moisture. */
export function observedLotOf(
  lot: HayLotRow,
  observations: readonly HayObservation[],
  tests: readonly Pick<KnownLabTest, 'method' | 'sampledOn' | 'analysis'>[] = [],
): ObservedLot {
  const baleForm = STACKED_BALE_FORMS.find((form) => form === lot.bale_form);
  const group = feedGroupOf(lot.hay_kind);
  const wrapped = lot.storage_method === 'plastic-wrap' && lot.bale_form !== 'loose';
  return {
    lotId: lot.id,
    lotName: lot.name,
    keeping: group === 'hay' && !wrapped ? 'dry hay' : wrapped || group === 'silage' ? 'wrapped' : 'other',
    ...(baleForm === undefined ? {} : { baleForm }),
    observations,
    tested: tests.flatMap(({ method, sampledOn, analysis: { dryMatterPercent } }) =>
      method === 'label' ? [] : [{ sampledOn, moisturePercent: 100 - dryMatterPercent }],
    ),
  };
}

@Injectable()
export class HayObservationRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<HayObservationRow> {
    const row = await db
      .selectFrom('hay_observation')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('hay observation', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { hayLotId?: string | undefined },
  ): Promise<HayObservationRow[]> {
    let select = db.selectFrom('hay_observation').selectAll().where('operation_id', '=', operationId);
    if (query.hayLotId !== undefined) select = select.where('hay_lot_id', '=', query.hayLotId);
    return newestFirst(select, query).execute();
  }

  /**
   * Observations of each lot up to a day, as known at an instant: entered by then and not reversed by then. For a lot
   * that was split off another or that hay was moved into, includes those of the other lot: from before the move as of
   * the same hay, from after it as of hay that had left. For a stack, includes those of the parts taken from it. The
   * moisture on a ticket is a reading of its load, unless that came in after the hay had left.
   */
  async known(
    db: Queries,
    operations: readonly KnownUntil[],
    lotIds: readonly string[],
  ): Promise<Map<string, HayObservation[]>> {
    const byLot = new Map<string, HayObservation[]>();
    const [along, ofParts] = await together(
      this.#alongTheLine(db, operations, lotIds),
      this.#ofParts(db, operations, lotIds),
    );
    const seen = [
      ...along.map((row) => [row.for_lot_id, seenAlongTheLine(row)] as const),
      ...ofParts.map((row) => [row.for_lot_id, seenOfPart(row)] as const),
    ];
    for (const [lotId, one] of seen) byLot.set(lotId, [...(byLot.get(lotId) ?? []), one]);
    return byLot;
  }

  /** Looks at other lots that this lot's hay was, or had been, a part of; newest first, without reversed ones. */
  async elsewhere({ db, operationId, moment }: OperationTenant, lotId: string): Promise<HayObservationRow[]> {
    const rows = await this.#alongTheLine(db, [{ operationId, instant: moment.toISOString() }], [lotId]);
    const looks = rows.filter((row) => row.came_in === null && row.hay_lot_id !== lotId);
    return [...new Map(looks.map((row) => [row.id, row])).values()];
  }

  async #alongTheLine(
    db: Queries,
    operations: readonly KnownUntil[],
    lotIds: readonly string[],
  ): Promise<(HayObservationRow & OfTicket & HeldThen & OnTheLine)[]> {
    if (lotIds.length === 0 || operations.length === 0) return [];
    return (
      knownRows(db, operations, 'looksAndTickets')
        .innerJoin(lotLine(operations, lotIds), (join) =>
          join
            .onRef('line.operation_id', '=', 'hay_observation.operation_id')
            .onRef('line.lot_id', '=', 'hay_observation.hay_lot_id'),
        )
        .modifyFront(PLANNED_ONCE)
        .selectAll('hay_observation')
        .select(HELD_THEN)
        .select(['line.for_lot_id', 'line.source_id', 'line.lot_name', 'line.came_on', 'line.together_until'])
        // What came in after this hay had left says nothing of it.
        .where((eb) =>
          eb.or([
            eb('hay_observation.came_in', 'is', null),
            eb('line.together_until', 'is', null),
            eb('hay_observation.happened_on', '<=', eb.ref('line.together_until')),
          ]),
        )
        .orderBy('hay_observation.happened_on', 'desc')
        .orderBy('hay_observation.recorded_at', 'desc')
        .orderBy('hay_observation.id', 'desc')
        .execute()
    );
  }

  /** Looks at lots that were split off each of these, however far down, from the day they left it. */
  async #ofParts(
    db: Queries,
    operations: readonly KnownUntil[],
    lotIds: readonly string[],
  ): Promise<(HayObservationRow & HeldThen & OfPart)[]> {
    if (lotIds.length === 0 || operations.length === 0) return [];
    const operationIds = operations.map((one) => one.operationId);
    const part = sql<OfPart & { operation_id: string; lot_id: string }>`(WITH RECURSIVE part AS (
      SELECT hay_lot.operation_id, hay_lot.split_from_id AS for_lot_id, hay_lot.id AS lot_id, hay_lot.name AS lot_name,
        (SELECT min(t.happened_on) FROM hay_transfer t
          WHERE t.operation_id = hay_lot.operation_id AND t.to_lot_id = hay_lot.id
            AND t.from_lot_id = hay_lot.split_from_id) AS taken_on
        FROM hay_lot
       WHERE hay_lot.operation_id = ANY (${operationIds}::uuid[]) AND hay_lot.split_from_id = ANY (${lotIds}::uuid[])
      UNION
      SELECT hay_lot.operation_id, part.for_lot_id, hay_lot.id, hay_lot.name, part.taken_on
        FROM part
        JOIN hay_lot ON hay_lot.operation_id = part.operation_id AND hay_lot.split_from_id = part.lot_id
    ) SELECT * FROM part)`.as<'part'>('part');
    return knownRows(db, operations, 'looks')
      .innerJoin(part, (join) =>
        join
          .onRef('part.operation_id', '=', 'hay_observation.operation_id')
          .onRef('part.lot_id', '=', 'hay_observation.hay_lot_id')
          .onRef('part.taken_on', '<=', 'hay_observation.happened_on'),
      )
      .modifyFront(PLANNED_ONCE)
      .selectAll('hay_observation')
      .select(HELD_THEN)
      .select(['part.for_lot_id', 'part.lot_name', 'part.taken_on'])
      .orderBy('hay_observation.happened_on', 'desc')
      .orderBy('hay_observation.recorded_at', 'desc')
      .orderBy('hay_observation.id', 'desc')
      .execute();
  }
}

/** Only where bales were looked at or found bad does it matter how many there were. */
const HELD_THEN = [
  'hay_lot.hay_kind' as const,
  'hay_lot.bale_form' as const,
  sql<string | null>`CASE WHEN coalesce(hay_observation.bales_checked, hay_observation.bales_spoiled) IS NOT NULL
    OR hay_observation.mold IS NOT NULL THEN (SELECT sum(m.kilograms) FROM stock_movement m
    WHERE m.operation_id = hay_observation.operation_id AND m.hay_lot_id = hay_observation.hay_lot_id
      AND m.effective_on <= hay_observation.happened_on) END`.as('held_kg'),
  meanBaleKg(sql.ref('hay_observation.operation_id'), sql.ref('hay_observation.hay_lot_id')).as('bale_kg'),
];

/** A ticket's moisture in the columns of `LOOKS`. */
const readingOfTicket = (ticket: 'hay_purchase' | 'harvest', cameIn: OfTicket['came_in']) => sql`
  SELECT t.operation_id, t.id, t.hay_lot_id, coalesce(late.told_on, t.happened_on), NULL, NULL, NULL, NULL, NULL, NULL,
    NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, t.moisture_pct, NULL, t.recorded_at, t.recorded_by,
    ${sql.lit(cameIn)}
    FROM ${sql.table(ticket)} AS t
    LEFT JOIN late_posting AS late ON late.operation_id = t.operation_id AND late.subject_id = t.id
   WHERE t.moisture_pct IS NOT NULL`;

const LOOKS = sql`
  SELECT o.operation_id, o.id, o.hay_lot_id, o.happened_on, o.seen_by_name, o.bales_checked, o.mold, o.bales_moldy,
    o.dust, o.bales_spoiled, o.smell, o.color, o.heat_felt, o.temperature_c, o.temperature_value, o.temperature_unit,
    o.depth_value, o.depth_unit, o.moisture_percent, o.note, o.recorded_at, o.recorded_by, NULL::text AS came_in
    FROM ${sql.table('hay_observation')} AS o`;

/** Looks alone, or with the moistures on tickets under the day that the ticket tells. */
const READINGS = {
  looks: sql<HayObservationRow & OfTicket>`(${LOOKS})`.as<'hay_observation'>('hay_observation'),
  looksAndTickets: sql<HayObservationRow & OfTicket>`(${LOOKS}
    UNION ALL ${readingOfTicket('hay_purchase', 'bought')}
    UNION ALL ${readingOfTicket('harvest', 'raised')})`.as<'hay_observation'>('hay_observation'),
} as const;

/** Looks and tickets up to a day, as known at an instant, without columns and order. */
function knownRows(db: Queries, operations: readonly KnownUntil[], readings: keyof typeof READINGS) {
  const operationIds = operations.map((one) => one.operationId);
  const until = sql<string>`(SELECT d.until FROM unnest(${operationIds}::uuid[],
    ${operations.map((one) => one.instant)}::timestamptz[]) AS d (operation_id, until)
    WHERE d.operation_id = hay_observation.operation_id)`;
  const seenUntil = sql<string>`(SELECT coalesce(d.seen, 'infinity') FROM unnest(${operationIds}::uuid[],
    ${operations.map((one) => one.sampledUntil ?? null)}::date[]) AS d (operation_id, seen)
    WHERE d.operation_id = hay_observation.operation_id)`;
  return db
    .selectFrom(READINGS[readings])
    .innerJoin('hay_lot', (join) =>
      join
        .onRef('hay_lot.operation_id', '=', 'hay_observation.operation_id')
        .onRef('hay_lot.id', '=', 'hay_observation.hay_lot_id'),
    )
    .where('hay_observation.operation_id', 'in', operationIds)
    .where('hay_observation.recorded_at', '<=', until)
    .where('hay_observation.happened_on', '<=', seenUntil)
    .where(notReversed('hay_observation', { knownAt: until }));
}
