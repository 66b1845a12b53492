import { Injectable } from '@nestjs/common';
import type { Refusal } from '../../../core/outcome/outcome.js';
import { continueCosts, type CostReplay } from '../../../core/stock/costing-replay.js';
import { monthOf } from '../../../core/time/calendar-day.js';
import { decimal } from '../../../core/units/decimal.js';
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
   * Writes the costs that are due under the operation's method, kind by kind: from the first day that changed on. The
   * last thing that a transaction does.
   * @returns whether all are written now; what would take long stays due, and reports replay it.
   */
  async write(books: OperationBooks, most = ENTRIES_WITH_A_REQUEST): Promise<boolean> {
    await this.store.begin(books);
    let all = true;
    for (const due of await this.store.due(books, books.operation.costingMethod))
      all = (await this.#writeKind(books, due, most)) && all;
    return all;
  }

  /**
   * Holds what is written under the operation's method against a replay of the whole ledger.
   * @returns the entries that differ, and how many are written; what is due is left out on both sides.
   */
  async differences(books: OperationBooks): Promise<{ written: number; differ: string[] }> {
    const method = books.operation.costingMethod;
    await this.store.begin(books);
    const dueFrom = new Map((await this.store.due(books, method)).map((one) => [one.hayKind as string, one.from]));
    const rows = await this.ledger.ledger(books, 'infinity', undefined);
    const written = await this.store.rows(books, method);
    const currency = asCurrency(books.operation.currency);
    const costs = continueCosts({ method, currency, entries: costingEntries(rows, currency) });
    if (!costs.ok)
      throw new Error(`The ledger cannot be costed: ${costs.problems.map((one) => one.message).join(' ')}`);
    const kindOf = new Map(rows.map((row) => [row.id, row.hay_kind]));
    const isDue = ({ entryId, on }: CostedRow): boolean => {
      const from = dueFrom.get(kindOf.get(entryId) ?? '');
      return from !== undefined && on >= from;
    };
    const text = (row: CostedRow): string =>
      [row.entryId, row.on, row.herdId, decimal(row.kilograms).toFixed(), decimal(row.amount).toFixed(2)].join(' ') +
      (row.variance === null ? '' : ` variance ${decimal(row.variance).toFixed(2)}`);
    const right = new Set(
      costedRows(costs, rows)
        .filter((row) => !isDue(row))
        .map(text),
    );
    const kept = new Set(written.filter((row) => !isDue(row)).map(text));
    return {
      written: kept.size,
      differ: [...[...right].filter((one) => !kept.has(one)), ...[...kept].filter((one) => !right.has(one))],
    };
  }

  async #writeKind(books: OperationBooks, due: DueCosts, most: number): Promise<boolean> {
    const found = await this.#historyFor(books, due, most);
    if (found === undefined) return false;
    const { rows, start } = found;
    const currency = asCurrency(books.operation.currency);
    const entries = costingEntries(rows, currency);
    const days = [...new Set(entries.map((entry) => entry.on))];
    const costs = costsIfAny({
      method: due.method,
      currency,
      after: start?.state,
      entries,
      keepAfter: days.filter((day, index) => day >= due.from && isKept(day, days[index + 1], days.length - index)),
    });
    if (costs === undefined) return false;
    await this.store.replace(
      books,
      due,
      costedRows(costs, rows).filter((row) => row.on >= due.from),
      costs.kept,
    );
    return true;
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

/**
 * Nobody's entry is refused because costing cannot follow it: its cost stays due, and a report that replays it says
 * what is wrong.
 */
function costsIfAny(
  history: Parameters<typeof continueCosts>[0],
): Exclude<ReturnType<typeof continueCosts>, Refusal> | undefined {
  try {
    const costs = continueCosts(history);
    return costs.ok ? costs : undefined;
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

function costedRows(costs: Pick<CostReplay, 'entries' | 'variances'>, rows: readonly LedgerRow[]): CostedRow[] {
  const herdOf = new Map(rows.map((row) => [row.id, row.herd_id]));
  const varianceOf = new Map(costs.variances.map((one) => [one.entryId, one.amount.amount.toFixed()]));
  return costs.entries.map((entry) => ({
    entryId: entry.entryId,
    on: entry.on,
    herdId: herdOf.get(entry.entryId) ?? null,
    kilograms: entry.massChange.kilograms.toFixed(),
    amount: entry.inventoryChange.amount.toFixed(),
    variance: varianceOf.get(entry.entryId) ?? null,
  }));
}

/** The last day of a month with entries, and the last days of all. */
function isKept(day: string, next: string | undefined, fromTheEnd: number): boolean {
  return next === undefined || monthOf(day) !== monthOf(next) || fromTheEnd <= LATEST_DAYS_KEPT;
}
