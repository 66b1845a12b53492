import { Injectable } from '@nestjs/common';
import type { CostingMethod } from '../../../core/stock/costing-entries.js';
import { continueCosts } from '../../../core/stock/costing-replay.js';
import { monthOf } from '../../../core/time/calendar-day.js';
import type { OperationBooks } from '../../../platform/database/types.js';
import { asCurrency } from '../../../platform/wire/quantity.schema.js';
import { CostingRead, type LedgerRow } from './costing.read.js';
import { costingEntries } from './ledger-entries.js';
import {
  type CostedRow,
  type DueCosts,
  type KeptState,
  LATEST_DAYS_KEPT,
  WrittenCostsStore,
} from './written-costs.store.js';

/** An entry that would have more of them replayed leaves its costs to be written later. */
const ENTRIES_WITH_A_REQUEST = 2000;

/** Writes down what the entries of the hay ledger cost, by the core's replay from the last state before a change. */
@Injectable()
export class WrittenCostsService {
  constructor(
    private readonly ledger: CostingRead,
    private readonly store: WrittenCostsStore,
  ) {}

  /**
   * Writes the costs that are due under the operation's method, kind by kind: from the first day that changed on. What
   * would take long stays due, and reports replay it.
   */
  async write(books: OperationBooks, most = ENTRIES_WITH_A_REQUEST): Promise<void> {
    await this.store.begin(books);
    for (const due of await this.store.due(books, books.operation.costingMethod as CostingMethod))
      await this.#writeKind(books, due, most);
    await this.store.end(books);
  }

  async #writeKind(books: OperationBooks, due: DueCosts, most: number): Promise<void> {
    const found = await this.#historyFor(books, due, most);
    if (found === undefined) return;
    const { rows, start } = found;
    const currency = asCurrency(books.operation.currency);
    const entries = costingEntries(rows, currency);
    const days = [...new Set(entries.map((entry) => entry.on))];
    const costs = continueCosts({
      method: due.method,
      currency,
      after: start?.state,
      entries,
      keepAfter: days.filter((day, index) => day >= due.from && isKept(day, days[index + 1], days.length - index)),
    });
    if (!costs.ok)
      throw new Error(`The ledger cannot be costed: ${costs.problems.map((one) => one.message).join(' ')}`);
    const herdOf = new Map(rows.map((row) => [row.id, row.herd_id]));
    const varianceOf = new Map(costs.variances.map((one) => [one.entryId, one.amount.amount.toFixed()]));
    await this.store.replace(
      books,
      due,
      costs.entries
        .filter((entry) => entry.on >= due.from)
        .map((entry): CostedRow => ({
          entryId: entry.entryId,
          on: entry.on,
          herdId: herdOf.get(entry.entryId) ?? null,
          kilograms: entry.massChange.kilograms.toFixed(),
          amount: entry.inventoryChange.amount.toFixed(),
          variance: varianceOf.get(entry.entryId) ?? null,
        })),
      costs.kept,
    );
  }

  /**
   * The ledger of a kind from the last state on that comes before the first due day and before everything that later
   * entries reverse or bill; undefined if it is longer than `most`.
   */
  async #historyFor(
    books: OperationBooks,
    due: DueCosts,
    most: number,
  ): Promise<{ rows: LedgerRow[]; start: KeptState | undefined } | undefined> {
    for (let from = due.from; ;) {
      const start = await this.store.stateBefore(books, due, from);
      const rows = await this.ledger.ledgerOfKind(books, due.hayKind, start?.until, most + 1);
      if (rows.length > most) return undefined;
      const here = new Set(rows.map((row) => row.id));
      const before = rows.flatMap((row) => row.reverses_id ?? row.receipt_id ?? []).filter((id) => !here.has(id));
      const first = before.length === 0 ? undefined : await this.ledger.firstDayOf(books, before);
      if (first === undefined) return { rows, start };
      from = first;
    }
  }
}

/** The last day of a month with entries, and the last days of all. */
function isKept(day: string, next: string | undefined, fromTheEnd: number): boolean {
  return next === undefined || monthOf(day) !== monthOf(next) || fromTheEnd <= LATEST_DAYS_KEPT;
}
