import { Injectable } from '@nestjs/common';
import type { CostingMethod } from '../../../core/stock/costing-entries.js';
import { type CostReplay, replayCosts } from '../../../core/stock/costing-replay.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { together } from '../../../platform/database/together.js';
import { asCurrency } from '../../../platform/wire/quantity.schema.js';
import { CostingRead, type LedgerRow } from './costing.read.js';
import { annulled, costingEntries } from './ledger-entries.js';

export interface CostedBooks {
  replay: CostReplay;
  method: CostingMethod;
  /** Which herd each entry fed (for a reversal, the herd of what it reversed). */
  herdOf: ReadonlyMap<string, string>;
  /** The ledger row of each entry, with the record that caused it. */
  rowOf: ReadonlyMap<string, LedgerRow>;
  /** Every row of the ledger, including those that were reversed at their own instant and have no cost. */
  rows: readonly LedgerRow[];
  /** Movements and later bills, without those that were reversed at their own instant. */
  movements: number;
  laterBills: number;
}

/** The hay ledger and its money, replayed by the core under the operation's costing method. */
@Injectable()
export class CostingService {
  constructor(private readonly ledger: CostingRead) {}

  /**
   * Everything up to the end of a day, as known at an instant (now, if none is named). The whole history is needed:
   * today's cost of hay depends on everything before. A day in a closed period is valued by the method in force when it
   * was closed.
   */
  async upTo(
    tenant: OperationTenant,
    lastDay: string,
    knownAt?: string,
    underMethod?: CostingMethod,
  ): Promise<CostedBooks> {
    const currency = asCurrency(tenant.operation.currency);
    const [method, rows] = await together(
      underMethod === undefined ? this.methodOn(tenant, lastDay) : Promise.resolve(underMethod),
      this.ledger.ledger(tenant, lastDay, knownAt),
    );
    const replay = replayCosts({ method, currency, entries: costingEntries(rows, currency) });
    // The database refuses draws below zero and reversals that do not match, so the core should have nothing left to
    // refuse.
    if (!replay.ok)
      throw new Error(`The ledger cannot be costed: ${replay.problems.map((one) => one.message).join(' ')}`);
    const undone = annulled(rows);
    const standing = rows.filter((row) => !undone.has(row.id));
    return {
      replay,
      method,
      rows,
      movements: standing.filter((row) => row.rank === 1).length,
      laterBills: standing.filter((row) => row.rank !== 1).length,
      herdOf: new Map(rows.flatMap((row) => (row.herd_id === null ? [] : [[row.id, row.herd_id] as const]))),
      rowOf: new Map(rows.map((row) => [row.id, row])),
    };
  }

  /** The costing method for a day: that of the closing in force that covers it, or the operation's present one. */
  async methodOn(tenant: OperationTenant, day: string): Promise<CostingMethod> {
    return ((await this.ledger.methodOfClosing(tenant, day)) ?? tenant.operation.costingMethod) as CostingMethod;
  }
}
