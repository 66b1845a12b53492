import { Injectable } from '@nestjs/common';
import type { CostingEntry } from '../../core/stock/costing-entries.js';
import { type CostReplay, replayCosts } from '../../core/stock/costing-replay.js';
import { Mass } from '../../core/units/mass.js';
import { Money } from '../../core/units/money.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { asCurrency } from '../../platform/wire/quantity.schema.js';

export interface CostedBooks {
  replay: CostReplay;
  /** Which herd each entry fed (for a reversal: the herd of what it reversed). */
  herdOf: ReadonlyMap<string, string>;
  movements: number;
}

/** The hay ledger and its money, replayed by the core under the operation's costing method. */
@Injectable()
export class CostingService {
  /** Everything up to the end of a day. The whole history is needed: what hay costs today rests on what came before. */
  async upTo(tenant: OperationTenant, lastDay: string): Promise<CostedBooks> {
    const { db, operationId, operation } = tenant;
    const currency = asCurrency(operation.currency);
    const movements = await db.selectFrom('stock_movement')
      .innerJoin('hay_lot', (join) => join.onRef('hay_lot.operation_id', '=', 'stock_movement.operation_id').onRef('hay_lot.id', '=', 'stock_movement.hay_lot_id'))
      .select(['stock_movement.id', 'stock_movement.hay_lot_id', 'stock_movement.kind', 'stock_movement.kilograms', 'stock_movement.effective_on', 'stock_movement.place_id', 'stock_movement.ranch_id',
        'stock_movement.herd_id', 'stock_movement.source_id', 'stock_movement.reverses_id', 'stock_movement.reason', 'hay_lot.hay_kind'])
      .where('stock_movement.operation_id', '=', operationId).where('stock_movement.effective_on', '<=', lastDay)
      .orderBy('stock_movement.effective_on').orderBy('stock_movement.effective_at').orderBy('stock_movement.sequence').execute();
    const costs = await db.selectFrom('stock_cost').select(['stock_movement_id', 'kind', 'amount']).where('operation_id', '=', operationId).where('stock_movement_id', 'is not', null).execute();
    const owed = new Map<string, { cost: Money; freight: Money }>();
    for (const { stock_movement_id: id, kind, amount } of costs) {
      if (id === null) continue;
      const known = owed.get(id) ?? { cost: Money.zero(currency), freight: Money.zero(currency) };
      const money = Money.of(amount, currency);
      owed.set(id, kind === 'freight' ? { ...known, freight: known.freight.plus(money) } : { ...known, cost: known.cost.plus(money) });
    }
    const herdOf = new Map<string, string>();
    const entries = movements.map((row): CostingEntry => {
      if (row.herd_id !== null) herdOf.set(row.id, row.herd_id);
      const head = { id: row.id, on: row.effective_on };
      const mass = Mass.kilograms(row.kilograms);
      const at = { lotId: row.hay_lot_id, placeId: row.place_id ?? row.ranch_id };
      const money = owed.get(row.id) ?? { cost: Money.zero(currency), freight: Money.zero(currency) };
      switch (row.kind) {
        case 'purchase': return { ...head, ...at, kind: 'purchase', hayKind: row.hay_kind, mass, ...money };
        case 'harvest': return { ...head, ...at, kind: 'harvest', hayKind: row.hay_kind, mass, cost: money.cost.plus(money.freight) };
        case 'feed': return { ...head, ...at, kind: 'feed', herdId: row.herd_id ?? '', mass: mass.negated() };
        case 'sale': return { ...head, ...at, kind: 'sale', mass: mass.negated() };
        case 'shrink': return { ...head, ...at, kind: 'shrink', mass: mass.negated(), treatment: 'into-unit-cost' };
        case 'count-adjustment': return { ...head, ...at, kind: 'count-adjustment', change: mass, treatment: 'into-unit-cost' };
        case 'reversal': return { ...head, kind: 'reversal', reverses: row.reverses_id ?? '', reason: row.reason ?? '' };
        default: throw new RangeError(`A movement of kind ${row.kind} has no costing rule`);
      }
    });
    const replay = replayCosts({ method: operation.costingMethod, currency, entries });
    // The database refuses draws below zero and reversals that do not match, so the core has nothing left to refuse.
    if (!replay.ok) throw new Error(`The ledger cannot be costed: ${replay.problems.map((one) => one.message).join(' ')}`);
    return { replay, herdOf, movements: movements.length };
  }
}
