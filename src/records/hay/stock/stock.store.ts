import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { MovementKind } from '../../../core/stock/movement-kinds.data.js';
import { decimal } from '../../../core/units/decimal.js';
import type { Mass } from '../../../core/units/mass.js';
import type { Money } from '../../../core/units/money.js';
import { endOfDayIn, startOfDayIn } from '../../../platform/clock.js';
import { leanedOn } from '../../kit/leaned-on.js';
import { insertRows } from '../../../platform/database/rows.js';
import type { OperationTenant, Words } from '../../../platform/database/types.js';
import { newId } from '../../../platform/identifiers.js';
import type { LedgerRow } from '../costing/costing.read.js';
import { CostWriting } from '../costing/cost-writing.js';
import type { KindTip } from '../costing/written-costs.store.js';
import { addHoldingCounts } from './held-counts.store.js';
import type { RecordReference } from '../../../platform/wire/record-kinds.data.js';

export interface NewMovement {
  lotId: string;
  kind: Exclude<MovementKind, 'reversal'>;
  /** Signed. */
  change: Mass;
  typedValue: string;
  typedUnit: Words['QuantityUnit'];
  on: string;
  /** The instant, if one was given. */
  at?: string | undefined;
  timeZone: string;
  ranchId: string;
  placeId: string | null;
  herdId?: string | undefined;
  source: RecordReference;
  reason?: string | undefined;
}

export interface NewCost {
  lotId: string;
  movementId: string;
  kind: Words['StockCostKind'];
  amount: Money;
  /** Of a later bill, as it was typed, where that was kept. */
  typed?: string | undefined;
  on: string;
  source: RecordReference;
}

/** The reversal of a record: which one, from which day, why. */
interface NewReversal {
  id: string;
  on: string;
  reason: string;
}

/** A record, and its reversal. */
export interface ReversedRecord {
  readonly source: RecordReference;
  readonly reversal: NewReversal;
}

/** The hay ledger. Rows are only ever added; the database refuses anything else and any draw below zero. */
@Injectable()
export class StockStore {
  constructor(private readonly costs: CostWriting) {}

  /** @param tips of the kinds of these lots, if they were read before (`CostWriting.tips`); for draws without money. */
  async add(tenant: OperationTenant, movements: readonly NewMovement[], tips?: readonly KindTip[]): Promise<string[]> {
    const { db, operationId, personId, moment } = tenant;
    const instantOf = defaultInstants();
    const rows = movements.map((movement) => ({
      operation_id: operationId,
      id: newId(),
      hay_lot_id: movement.lotId,
      kind: movement.kind,
      kilograms: movement.change.kilograms.toFixed(),
      typed_value: movement.typedValue,
      typed_unit: movement.typedUnit,
      effective_on: movement.on,
      effective_at: movement.at ?? instantOf(movement),
      ranch_id: movement.ranchId,
      place_id: movement.placeId,
      herd_id: movement.herdId ?? null,
      source_kind: movement.source.kind,
      source_id: movement.source.id,
      reason: movement.reason ?? null,
      recorded_at: moment.toISOString(),
      recorded_by: personId,
    }));
    if (tips === undefined) this.costs.withThisEntry(tenant);
    else this.costs.withMovements(tenant, tips, rows.map(asLedgerRow));
    const restated = await addHoldingCounts(db, rows);
    // What was restated comes after these movements, whose costs were thought to come last.
    if (restated && tips !== undefined) this.costs.withThisEntry(tenant);
    return rows.map((row) => row.id);
  }

  /**
   * Locks these lots until the transaction ends, so that a balance stays true until what rests on it is written. Always
   * in the order of their ids, as the ledger itself locks them.
   */
  async hold({ db }: OperationTenant, lotIds: readonly string[]): Promise<void> {
    for (const lotId of [...new Set(lotIds)].sort())
      await sql`SELECT pg_advisory_xact_lock(hashtextextended(${lotId}, 727))`.execute(db);
  }

  /** Money that belongs to a movement. */
  async addCosts(tenant: OperationTenant, costs: readonly NewCost[]): Promise<string[]> {
    const { db, operationId, personId, moment } = tenant;
    this.costs.withThisEntry(tenant);
    const rows = costs
      .filter(({ amount }) => !amount.isZero())
      .map((cost) => ({
        operation_id: operationId,
        id: newId(),
        hay_lot_id: cost.lotId,
        stock_movement_id: cost.movementId,
        kind: cost.kind,
        amount: cost.amount.amount.toFixed(),
        amount_value: cost.typed ?? null,
        currency: cost.amount.currency,
        effective_on: cost.on,
        source_kind: cost.source.kind,
        source_id: cost.source.id,
        recorded_at: moment.toISOString(),
        recorded_by: personId,
      }));
    if (rows.length > 0) await db.insertInto('stock_cost').values(rows).execute();
    return rows.map((row) => row.id);
  }

  /**
   * What the hay of a receipt cost when it came, and each later bill or credit on it, or what took one back, with its
   * day in the books. Read by whoever corrects the books too, who need not see it: only to be judged.
   */
  async billedOn(
    { db, operationId }: OperationTenant,
    movementId: string,
  ): Promise<{ landed: string; bills: { on: string; amount: string }[] }> {
    await sql`SELECT set_config('rickyard.reversing', 'yes', true)`.execute(db);
    const { rows } = await sql<{ on: string | null; amount: string }>`
      SELECT CASE WHEN c.kind IN ('late-freight', 'late-charges') THEN line.effective_on END AS on, line.amount
        FROM stock_cost c
        JOIN stock_cost line ON line.operation_id = c.operation_id
         AND (line.id = c.id OR line.reverses_id = c.id AND c.kind IN ('late-freight', 'late-charges'))
       WHERE c.operation_id = ${operationId}::uuid AND c.stock_movement_id = ${movementId}::uuid`.execute(db);
    await sql`SELECT set_config('rickyard.reversing', '', true)`.execute(db);
    return {
      landed: rows.reduce((sum, { on, amount }) => (on === null ? sum.plus(amount) : sum), decimal(0)).toFixed(),
      bills: rows.flatMap(({ on, amount }) => (on === null ? [] : [{ on, amount }])),
    };
  }

  /** Of hay on which credits were entered, that which these bills, no credits, are of: what brought it. */
  async creditedBeside({ db, operationId }: OperationTenant, billIds: readonly string[]): Promise<string[]> {
    await sql`SELECT set_config('rickyard.reversing', 'yes', true)`.execute(db);
    const { rows } = await sql<{ id: string }>`
      SELECT DISTINCT bill.stock_movement_id AS id FROM stock_cost bill
        JOIN stock_cost credit ON credit.operation_id = bill.operation_id AND credit.amount < 0
         AND credit.stock_movement_id = bill.stock_movement_id AND credit.source_kind = 'late-cost'
       WHERE bill.operation_id = ${operationId}::uuid AND bill.amount > 0 AND bill.stock_movement_id IS NOT NULL
         AND bill.source_kind = 'late-cost' AND bill.source_id = ANY (${[...billIds]}::uuid[])`.execute(db);
    await sql`SELECT set_config('rickyard.reversing', '', true)`.execute(db);
    return rows.map(({ id }) => id);
  }

  /**
   * Money of records that are to be entered again, by record: to whoever corrects the books, who need not see it. Only
   * to be written, or to be shown to whoever sees prices.
   */
  async costsOf(
    { db, operationId }: OperationTenant,
    kind: RecordReference['kind'],
    ids: readonly string[],
  ): Promise<ReadonlyMap<string, { amount: string; typed: string | null }>> {
    await sql`SELECT set_config('rickyard.reversing', 'yes', true)`.execute(db);
    const rows = await db
      .selectFrom('stock_cost')
      .select(['source_id', 'amount', 'amount_value'])
      .where('operation_id', '=', operationId)
      .where('source_kind', '=', kind)
      .where('source_id', '=', sql<string>`ANY (${[...ids]}::uuid[])`)
      .execute();
    await sql`SELECT set_config('rickyard.reversing', '', true)`.execute(db);
    return new Map(rows.map((row) => [row.source_id, { amount: row.amount, typed: row.amount_value }]));
  }

  /**
   * Reverses every movement (and the money on it) that a record caused, on the record's own day or a later one. A
   * movement reversed on its own day is reversed at its own instant, as if it had never happened.
   */
  async reverse(tenant: OperationTenant, source: RecordReference, reversal: NewReversal): Promise<void> {
    await this.reverseAll(tenant, [{ source, reversal }]);
  }

  /** The same of several records, as one entry: only what is left after all of them may not be below zero. */
  async reverseAll(tenant: OperationTenant, records: readonly ReversedRecord[]): Promise<void> {
    this.costs.withThisEntry(tenant);
    const reversals = new Map(records.map(({ source, reversal }) => [`${source.kind} ${source.id}`, reversal]));
    const reversalOf = (row: { source_kind: string; source_id: string }): NewReversal => {
      const found = reversals.get(`${row.source_kind} ${row.source_id}`);
      if (found === undefined) throw new RangeError(`Nobody reverses ${row.source_kind} ${row.source_id}`);
      return found;
    };
    const kinds = [...new Set(records.map(({ source }) => source.kind))];
    for (const kind of kinds) {
      const ids = records.filter(({ source }) => source.kind === kind).map(({ source }) => source.id);
      await this.#reverseMovements(tenant, kind, ids, reversalOf);
      await this.#reverseCosts(tenant, kind, ids, reversalOf);
    }
  }

  async #reverseMovements(
    tenant: OperationTenant,
    kind: RecordReference['kind'],
    ids: readonly string[],
    reversalOf: (row: { source_kind: string; source_id: string }) => NewReversal,
  ): Promise<void> {
    const { db, operationId, personId, moment } = tenant;
    const movements = await db
      .selectFrom('stock_movement')
      .innerJoin('ranch', (join) =>
        join
          .onRef('ranch.operation_id', '=', 'stock_movement.operation_id')
          .onRef('ranch.id', '=', 'stock_movement.ranch_id'),
      )
      .selectAll('stock_movement')
      .select('ranch.time_zone')
      .where('stock_movement.operation_id', '=', operationId)
      .where('source_kind', '=', kind)
      .where('source_id', '=', sql<string>`ANY (${[...ids]}::uuid[])`)
      .where('kind', '<>', 'reversal')
      .orderBy('sequence')
      .execute();
    if (movements.length === 0) return;
    const rows = movements.map((movement) => {
      const reversal = reversalOf(movement);
      return {
        operation_id: operationId,
        id: newId(),
        hay_lot_id: movement.hay_lot_id,
        kind: 'reversal' as const,
        kilograms: negated(movement.kilograms),
        typed_value: negated(movement.typed_value),
        typed_unit: movement.typed_unit,
        effective_on: reversal.on,
        effective_at:
          reversal.on === movement.effective_on
            ? movement.effective_at
            : startOfDayIn(movement.time_zone, reversal.on).toISOString(),
        ranch_id: movement.ranch_id,
        place_id: movement.place_id,
        herd_id: movement.herd_id,
        source_kind: 'reversal' as const,
        source_id: reversal.id,
        reverses_id: movement.id,
        reason: reversal.reason,
        recorded_at: moment.toISOString(),
        recorded_by: personId,
      };
    });
    await addHoldingCounts(db, rows).catch((error: unknown) => {
      const [id, ...others] = ids;
      // Who takes back several at once is told by the import what stands in the way.
      if (id === undefined || others.length > 0) throw error;
      throw leanedOn(error, tenant, { kind, id, how: 'reversal' });
    });
  }

  /**
   * Whoever corrects the books reverses the money too, even money that they may not see (the policy allows it under
   * this setting only).
   */
  async #reverseCosts(
    { db, operationId, personId, moment }: OperationTenant,
    kind: RecordReference['kind'],
    ids: readonly string[],
    reversalOf: (row: { source_kind: string; source_id: string }) => NewReversal,
  ): Promise<void> {
    await sql`SELECT set_config('rickyard.reversing', 'yes', true)`.execute(db);
    const costs = await db
      .selectFrom('stock_cost')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('source_kind', '=', kind)
      .where('source_id', '=', sql<string>`ANY (${[...ids]}::uuid[])`)
      .where('reverses_id', 'is', null)
      .orderBy('sequence')
      .execute();
    const rows = costs.map((cost) => {
      const reversal = reversalOf(cost);
      return {
        operation_id: operationId,
        id: newId(),
        hay_lot_id: cost.hay_lot_id,
        stock_movement_id: null,
        kind: cost.kind,
        amount: negated(cost.amount),
        currency: cost.currency,
        effective_on: reversal.on,
        source_kind: 'reversal' as const,
        source_id: reversal.id,
        reverses_id: cost.id,
        recorded_at: moment.toISOString(),
        recorded_by: personId,
      };
    });
    await insertRows(db, 'stock_cost', rows);
    await sql`SELECT set_config('rickyard.reversing', '', true)`.execute(db);
  }
}

/**
 * With a day only: arrivals count from the start of the day, draws at its end. Each is worked out once, since a file
 * has many of a day.
 */
function defaultInstants(): (movement: NewMovement) => string {
  const known = new Map<string, string>();
  return ({ change, timeZone, on }) => {
    const draw = change.isNegative();
    const key = `${timeZone} ${on} ${draw}`;
    const instant = known.get(key) ?? (draw ? endOfDayIn(timeZone, on) : startOfDayIn(timeZone, on)).toISOString();
    known.set(key, instant);
    return instant;
  };
}

function negated(decimalText: string): string {
  return decimalText.startsWith('-') ? decimalText.slice(1) : `-${decimalText}`;
}

/** As it will be read from the ledger, for costing alone. */
function asLedgerRow(
  row: Pick<LedgerRow, 'id' | 'hay_lot_id' | 'kilograms' | 'effective_on' | 'effective_at' | 'herd_id'> & {
    kind: NewMovement['kind'];
  } & Pick<LedgerRow, 'ranch_id' | 'place_id' | 'source_kind' | 'source_id' | 'reason' | 'recorded_at'>,
): LedgerRow {
  return {
    ...row,
    rank: 1,
    hay_kind: '',
    category: '',
    sequence: '',
    reverses_id: null,
    treatment: null,
    cost: '0',
    freight: '0',
    proceeds: null,
    receipt_id: null,
  };
}
