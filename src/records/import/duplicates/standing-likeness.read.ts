import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { nameKey } from '../../../core/units/name-key.js';
import { LAB_NUTRIENTS } from '../../../core/nutrients/nutrients.js';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { notReversed } from '../../kit/not-reversed.read.js';
import type { ImportKindCode } from '../import-kind.js';
import { kilogramsKey, likenessOf, type Likeness, numberKey } from './likeness.js';
import { instantKey } from './row-likeness.js';

/** A record that stands, and how it looks beside rows of a file. */
export interface StandingLikeness extends Likeness {
  readonly record: SubjectRef;
}

interface Found {
  readonly id: string;
  readonly on: string;
  readonly parts: readonly (string | undefined)[];
  /** Of a ticket. */
  readonly number?: string | null;
}
type Asked = OperationTenant & { readonly days: readonly string[] };

/** What stands on certain days, as `ROW_LIKENESS` tells rows of a file of that kind. */
@Injectable()
export class StandingLikenessRead {
  async of(tenant: OperationTenant, code: ImportKindCode, days: readonly string[]): Promise<StandingLikeness[]> {
    const [kind, find] = FINDERS[code];
    const found = days.length === 0 ? [] : await find({ ...tenant, days });
    return found.flatMap(({ id, on, parts, number }) => {
      const likeness = likenessOf(on, parts, number);
      return likeness === undefined ? [] : [{ ...likeness, record: { kind, id } }];
    });
  }
}

/** The day that was told, where an entry was posted to a later one. */
const TOLD = sql`COALESCE(late.told_on, it.happened_on)`;
const lateOf = sql`LEFT JOIN late_posting late ON late.operation_id = it.operation_id AND late.subject_id = it.id`;
const daysOf = ({ days }: Asked) => sql`ANY (${[...days]}::date[])`;
const tableOf = ({ operationId }: Asked, table: string, day = sql`it.happened_on`) =>
  sql`FROM ${sql.table(table)} it WHERE it.operation_id = ${operationId}::uuid AND ${notReversed('it')}
    AND ${day} = `;

const received =
  (table: 'hay_purchase' | 'harvest') =>
  async (asked: Asked): Promise<Found[]> => {
    const number = table === 'hay_purchase' ? sql`it.ticket_number` : sql`NULL`;
    const { rows } = await sql<{ id: string; on: string; lot: string; kg: string; number: string | null }>`
      SELECT it.id, ${TOLD} AS on, it.hay_lot_id AS lot, it.weight_kg AS kg, ${number} AS number
        FROM ${sql.table(table)} it ${lateOf}
       WHERE it.operation_id = ${asked.operationId}::uuid AND ${notReversed('it')} AND ${TOLD} = ${daysOf(asked)}
       ORDER BY it.id`.execute(asked.db);
    return rows.map(({ id, on, lot, kg, number: of }) => ({ id, on, parts: [lot, kilogramsKey(kg)], number: of }));
  };

/** What left a lot, or was found in it: as it was typed, in bales or by weight. */
const drawn =
  (table: 'hay_sale' | 'hay_transfer' | 'stock_count') =>
  async (asked: Asked): Promise<Found[]> => {
    const { lot, to, kg, typed, unit } = DRAWN_COLUMNS[table];
    const number = table === 'hay_sale' ? sql`it.ticket_number` : sql`NULL`;
    const { rows } = await sql<{
      id: string;
      on: string;
      lot: string;
      to: string | null;
      taken: string | null;
      kg: string;
      number: string | null;
    }>`
      SELECT it.id, ${TOLD} AS on, ${sql.ref(lot)} AS lot, ${to} AS to, ${sql.ref(kg)} AS kg, ${number} AS number,
          CASE WHEN ${sql.ref(unit)} = 'bale' THEN ${sql.ref(typed)} END AS taken
        FROM ${sql.table(table)} it ${lateOf}
       WHERE it.operation_id = ${asked.operationId}::uuid AND ${notReversed('it')} AND ${TOLD} = ${daysOf(asked)}
       ORDER BY it.id`.execute(asked.db);
    return rows.map((row) => ({
      id: row.id,
      on: row.on,
      parts: [row.lot, row.to ?? '', row.taken === null ? kilogramsKey(row.kg) : `${numberKey(row.taken)} bale`],
      number: row.number,
    }));
  };
const DRAWN_COLUMNS = {
  hay_sale: {
    lot: 'it.hay_lot_id',
    to: sql`NULL`,
    kg: 'it.weight_kg',
    typed: 'it.weight_value',
    unit: 'it.weight_unit',
  },
  hay_transfer: {
    lot: 'it.from_lot_id',
    to: sql.ref('it.to_lot_id'),
    kg: 'it.weight_kg',
    typed: 'it.weight_value',
    unit: 'it.weight_unit',
  },
  stock_count: {
    lot: 'it.hay_lot_id',
    to: sql`NULL`,
    kg: 'it.counted_kg',
    typed: 'it.counted_value',
    unit: 'it.counted_unit',
  },
} as const;

async function lateCosts(asked: Asked): Promise<Found[]> {
  const { rows } = await sql<{ id: string; on: string; lot: string; owed: string; biller: string }>`
    SELECT it.id, ${TOLD} AS on, it.hay_lot_id AS lot, it.owed, it.biller FROM late_cost it ${lateOf}
     WHERE it.operation_id = ${asked.operationId}::uuid AND ${notReversed('it')} AND ${TOLD} = ${daysOf(asked)}
     ORDER BY it.id`.execute(asked.db);
  return rows.map(({ id, on, lot, owed, biller }) => ({ id, on, parts: [lot, owed, nameKey(biller)] }));
}

/** Whoever sees no prices sees no rates, and is not told of them. */
async function yardageRates(asked: Asked): Promise<Found[]> {
  const { rows } = await sql<{ id: string; on: string; herd: string | null }>`
    SELECT it.id, it.from_on AS on, it.herd_id AS herd FROM yardage_rate it
     WHERE it.operation_id = ${asked.operationId}::uuid AND ${notReversed('it')} AND it.from_on = ${daysOf(asked)}
     ORDER BY it.id`.execute(asked.db);
  return rows.map(({ id, on, herd }) => ({ id, on, parts: [herd ?? ''] }));
}

async function labTests(asked: Asked): Promise<Found[]> {
  const { rows } = await sql<{
    id: string;
    on: string;
    lot: string;
    report: string | null;
    analysis: Record<string, { value: string; unit: string }>;
  }>`SELECT it.id, it.sampled_on AS on, it.hay_lot_id AS lot, it.report_number AS report, it.analysis
    ${tableOf(asked, 'lab_test', sql`it.sampled_on`)} ${daysOf(asked)} ORDER BY it.id`.execute(asked.db);
  return rows.map(({ id, on, lot, report, analysis }) => ({
    id,
    on,
    parts: [
      lot,
      numberKey(report),
      ...LAB_NUTRIENTS.map((nutrient) => {
        const value = analysis[nutrient];
        return value === undefined ? '' : `${numberKey(value.value)} ${value.unit}`;
      }),
    ],
  }));
}

async function feedings(asked: Asked): Promise<Found[]> {
  const { rows } = await sql<{
    id: string;
    on: string;
    herd: string;
    at: string | null;
    drawn: { lot: string; kg: string; typed: string; unit: string }[];
  }>`SELECT it.id, ${TOLD} AS on, it.herd_id AS herd, it.happened_at AS at,
      (SELECT json_agg(json_build_object('lot', l.hay_lot_id, 'kg', l.kilograms::text, 'typed', l.typed_value,
          'unit', l.typed_unit))
         FROM feeding_layer l WHERE l.operation_id = it.operation_id AND l.feeding_id = it.id) AS drawn
     FROM feeding it ${lateOf}
    WHERE it.operation_id = ${asked.operationId}::uuid AND ${notReversed('it')} AND ${TOLD} = ${daysOf(asked)}
    ORDER BY it.id`.execute(asked.db);
  return rows.map(({ id, on, herd, at, drawn }) => ({
    id,
    on,
    parts: [
      herd,
      instantKey(at ?? undefined),
      drawn
        .map(({ lot, kg, typed, unit }) =>
          unit === 'bale' ? `${lot} ${numberKey(typed)} bale` : `${lot} ${kilogramsKey(kg)}`,
        )
        .sort()
        .join(' '),
    ],
  }));
}

async function animalWeights(asked: Asked): Promise<Found[]> {
  const { rows } = await sql<{
    id: string;
    on: string;
    herd: string;
    tag: string | null;
    eid: string | null;
    kg: string;
  }>`
    SELECT it.id, it.happened_on AS on, it.herd_id AS herd, a.visual_tag AS tag, a.electronic_id AS eid,
        a.kilograms AS kg
      FROM weigh_in it JOIN animal_weight a ON a.operation_id = it.operation_id AND a.weigh_in_id = it.id
     WHERE it.operation_id = ${asked.operationId}::uuid AND ${notReversed('it')} AND it.happened_on = ${daysOf(asked)}
     ORDER BY it.id, a.position`.execute(asked.db);
  return rows.map(({ id, on, herd, tag, eid, kg }) => ({
    id,
    on,
    parts: [herd, eid ?? numberKey(tag), kilogramsKey(kg)],
  }));
}

async function groupWeights(asked: Asked): Promise<Found[]> {
  const { rows } = await sql<{ id: string; on: string; herd: string; head: number; kg: string }>`
    SELECT it.id, it.happened_on AS on, it.herd_id AS herd, it.head, it.mean_kg AS kg
    ${tableOf(asked, 'weigh_in')} ${daysOf(asked)} AND it.scope = 'group' ORDER BY it.id`.execute(asked.db);
  return rows.map(({ id, on, herd, head, kg }) => ({ id, on, parts: [herd, String(head), kilogramsKey(kg)] }));
}

async function headChanges(asked: Asked): Promise<Found[]> {
  const { rows } = await sql<{ id: string; on: string; herd: string; kind: string; head: number; to: string | null }>`
    SELECT it.id, ${TOLD} AS on, it.herd_id AS herd, it.kind, it.head, it.other_herd_id AS to
      FROM head_change it ${lateOf}
      LEFT JOIN head_change undone ON undone.operation_id = it.operation_id AND undone.reverses_id = it.id
     WHERE it.operation_id = ${asked.operationId}::uuid AND undone.id IS NULL
       AND it.kind NOT IN ('reversal', 'move-in') AND ${TOLD} = ${daysOf(asked)} ORDER BY it.id`.execute(asked.db);
  return rows.map(({ id, on, herd, kind, head, to }) => ({
    id,
    on,
    parts: [herd, kind === 'move-out' ? 'move' : kind, String(Math.abs(head)), to ?? ''],
  }));
}

async function herdEvents(asked: Asked): Promise<Found[]> {
  const { rows } = await sql<{
    id: string;
    on: string;
    herd: string;
    kind: string;
    last: string | null;
    checked: number | null;
    open: number | null;
    score: string | null;
    class: string | null;
    kg: string | null;
  }>`SELECT it.id, it.happened_on AS on, it.herd_id AS herd, it.kind, it.last_on AS last, it.head_checked AS checked,
      it.head_open AS open, it.body_condition AS score, it.cattle_class AS class, it.mass_kg AS kg
    ${tableOf(asked, 'herd_event')} ${daysOf(asked)} AND NOT it.opening ORDER BY it.id`.execute(asked.db);
  return rows.map((row) => ({
    id: row.id,
    on: row.on,
    parts: [
      row.herd,
      row.kind,
      row.last === row.on ? '' : (row.last ?? ''),
      ...[row.checked, row.open, row.score].map(numberKey),
      row.class ?? '',
      kilogramsKey(row.kg),
    ],
  }));
}

async function hayObservations(asked: Asked): Promise<Found[]> {
  const { rows } = await sql<Record<string, string | number | null> & { id: string; on: string; lot: string }>`
    SELECT it.*, it.happened_on AS on, it.hay_lot_id AS lot
    ${tableOf(asked, 'hay_observation')} ${daysOf(asked)} ORDER BY it.id`.execute(asked.db);
  return rows.map((row) => ({
    id: row.id,
    on: row.on,
    parts: [
      row.lot,
      ...['mold', 'dust', 'smell', 'color', 'heat_felt'].map((column) => String(row[column] ?? '')),
      ...['bales_checked', 'bales_moldy', 'bales_spoiled', 'moisture_percent'].map((one) => numberKey(row[one])),
      row['temperature_unit'] === null ? '' : `${numberKey(row['temperature_value'])} ${row['temperature_unit']}`,
    ],
  }));
}

const FINDERS: Readonly<Record<ImportKindCode, readonly [SubjectRef['kind'], (asked: Asked) => Promise<Found[]>]>> = {
  'hay-tickets': ['hay-purchase', received('hay_purchase')],
  harvests: ['harvest', received('harvest')],
  'hay-sales': ['hay-sale', drawn('hay_sale')],
  'hay-transfers': ['hay-transfer', drawn('hay_transfer')],
  'stock-counts': ['stock-count', drawn('stock_count')],
  'late-costs': ['late-cost', lateCosts],
  'yardage-rates': ['yardage-rate', yardageRates],
  'lab-tests': ['lab-test', labTests],
  feedings: ['feeding', feedings],
  'animal-weights': ['weigh-in', animalWeights],
  'group-weights': ['weigh-in', groupWeights],
  'head-changes': ['head-change', headChanges],
  'herd-events': ['herd-event', herdEvents],
  'hay-observations': ['hay-observation', hayObservations],
};
