import { Injectable } from '@nestjs/common';
import type { Refusal } from '../../../core/outcome/outcome.js';
import { type Steps, withoutRest } from '../../../core/outcome/steps.js';
import type { CostingEntry } from '../../../core/stock/costing-entries.js';
import { continueCosts, continueInSteps, type CostReplay } from '../../../core/stock/costing-replay.js';
import { monthOf } from '../../../core/time/calendar-day.js';
import { decimal } from '../../../core/units/decimal.js';
import type { OperationBooks } from '../../../platform/database/types.js';
import { together } from '../../../platform/database/together.js';
import { inTurns } from '../../../platform/turns.js';
import { asCurrency } from '../../../platform/wire/quantity.schema.js';
import { CostingRead, type LedgerRow } from './costing.read.js';
import { costingEntries } from './ledger-entries.js';
import {
  type AppendedCosts,
  type CostedRow,
  type DueCosts,
  type KeptState,
  type KindTip,
  LATEST_DAYS_KEPT,
  type LedgerPlace,
  WrittenCostsStore,
} from './written-costs.store.js';

/** An entry that would have more of them replayed leaves its costs to be written later. */
const ENTRIES_WITH_A_REQUEST = 500;
/** A few milliseconds of work. */
const ENTRIES_A_TURN = 100;
/** Of a long history that is written in parts, at least so many at a time. */
const ENTRIES_OF_A_PART = 2000;

/** Whether everything due is written, more of it can be at once, or it stays due for now. */
export type Progress = 'all' | 'more' | 'stays';

/** Writes down what the entries of the hay ledger cost, by the core's replay from the last state before a change. */
@Injectable()
export class WrittenCostsService {
  constructor(
    private readonly ledger: CostingRead,
    private readonly store: WrittenCostsStore,
  ) {}

  /** What is known after the last entries of the kinds of these lots, for entries that come after them. */
  tips(books: OperationBooks, lotIds: readonly string[]): Promise<KindTip[]> {
    return this.store.tips(books, lotIds);
  }

  /**
   * The costs of movements that come after all others of their kinds.
   * @returns what is to be appended; undefined where one does not, or where something of their kinds is due.
   */
  after(
    { operation }: OperationBooks,
    tips: readonly KindTip[],
    movements: readonly LedgerRow[],
  ): AppendedCosts[] | undefined {
    const currency = asCurrency(operation.currency);
    const method = operation.costingMethod;
    const appended: AppendedCosts[] = [];
    let known = 0;
    for (const tip of tips) {
      const rows = movements.filter((row) => tip.lots.includes(row.hay_lot_id));
      known += rows.length;
      const last = rows.at(-1);
      if (last === undefined) continue;
      const places = [tip.place, ...rows.map(placeOf)];
      if (!rows.every((row, index) => isAfter(placeOf(row), places[index] ?? tip.place))) return undefined;
      const entries = costingEntries(rows, currency);
      const costs = withoutRest(costsIfAny({ method, currency, after: tip.state, entries }));
      if (costs === undefined) return undefined;
      const { hayKind, version } = tip;
      appended.push({ hayKind, version, place: placeOf(last), state: costs.after, rows: costedRows(costs, rows) });
    }
    return known === movements.length ? appended : undefined;
  }

  /** Writes them, in statements that may be sent with COMMIT. @returns whether all are written; else they are due. */
  async append(books: OperationBooks, costs: readonly AppendedCosts[]): Promise<boolean> {
    return (await this.store.append(books, books.operation.costingMethod, costs)).length === costs.length;
  }

  /** The first thing that a change of the method does. */
  changeMethod(books: Pick<OperationBooks, 'db' | 'operationId'>): Promise<void> {
    return this.store.changeMethod(books);
  }

  /**
   * Writes the costs that are due under the operation's method, kind by kind: from the first day that changed on. The
   * last thing that a transaction does.
   * @param kinds `all` where there may be some that were never costed under this method
   * @returns whether all are written now; what would take long, or is being written by another, stays due, and reports
   * replay it.
   */
  async write(books: OperationBooks, kinds: 'due' | 'all' = 'due'): Promise<boolean> {
    let all = true;
    for (const due of await this.#dues(books, kinds)) {
      const history = await this.#historyFor(books, due, ENTRIES_WITH_A_REQUEST);
      all = history !== undefined && (await this.#writeHistory(books, due, history)) && all;
    }
    return all;
  }

  /**
   * Writes the next part of what is due, of any length: some days of one kind. Of the rest, less is due than before.
   * @param atLeast so many entries, if there are, and those of their last day
   */
  async writePart(books: OperationBooks, atLeast = ENTRIES_OF_A_PART): Promise<Progress> {
    const dues = await this.#dues(books, 'all');
    for (const due of dues) {
      const history = await this.#partFor(books, due, atLeast);
      if (!(await this.#writeHistory(books, due, history))) continue;
      return history.until === undefined && dues.length === 1 ? 'all' : 'more';
    }
    return dues.length === 0 ? 'all' : 'stays';
  }

  async #dues(books: OperationBooks, kinds: 'due' | 'all'): Promise<DueCosts[]> {
    const method = books.operation.costingMethod;
    const [, , dues] = await together(
      this.store.begin(books),
      kinds === 'all' ? this.store.open(books, method) : Promise.resolve(),
      this.store.due(books, method),
    );
    return dues;
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
    const told = (some: readonly CostedRow[]): ReadonlyMap<string, string> => {
      const lines = new Map<string, string[]>();
      for (const row of some.filter((one) => !isDue(one)))
        lines.set(row.entryId, [...(lines.get(row.entryId) ?? []), text(row)]);
      return new Map([...lines].map(([entryId, of]) => [entryId, of.sort().join('; ')]));
    };
    const [right, kept] = [told(costedRows(costs, rows)), told(written)];
    const entries = [...new Set([...right.keys(), ...kept.keys()])];
    return {
      written: written.filter((row) => !isDue(row)).length,
      // One line an entry, whatever of it differs.
      differ: entries
        .filter((entryId) => right.get(entryId) !== kept.get(entryId))
        .map((entryId) => `${kept.get(entryId) ?? 'nothing'}, and by the ledger ${right.get(entryId) ?? 'nothing'}`),
    };
  }

  /** @returns false where costing cannot follow the ledger, or where somebody has written others meanwhile. */
  async #writeHistory(books: OperationBooks, due: DueCosts, { rows, start, until }: History): Promise<boolean> {
    const currency = asCurrency(books.operation.currency);
    const entries = costingEntries(rows, currency);
    const days = [...new Set(entries.map((entry) => entry.on))];
    const keepAfter = days.filter((day, index) => day >= due.from && isKept(day, days[index + 1], days.length - index));
    const history = { method: due.method, currency, after: start?.state, entries, keepAfter };
    const costs = await inTurns(costsIfAny(history), ENTRIES_A_TURN);
    if (costs === undefined) return false;
    return this.store.replace(books, due, {
      until,
      rows: costedRows(costs, rows).filter((row) => row.on >= due.from),
      states: costs.kept,
      // Without a state of its day nothing can be appended to it.
      last: costs.kept.length === 0 ? undefined : lastPlace(rows, entries),
    });
  }

  /** As much of a kind's ledger as one part takes: whole days, most of them due. */
  async #partFor(books: OperationBooks, due: DueCosts, atLeast: number): Promise<History> {
    for (let [from, most] = [due.from, atLeast]; ;) {
      const start = await this.store.stateBefore(books, due, from);
      const found = await this.ledger.ledgerOfKind(books, due.hayKind, start?.until, most + 1);
      const cutOn = found.length > most ? found.at(-1)?.effective_on : undefined;
      const rows = cutOn === undefined ? found : found.filter((row) => row.effective_on < cutOn);
      const isDue = rows.filter((row) => row.effective_on >= due.from).length;
      // So that a part never costs much more than what it writes, however far back it has to begin.
      if (cutOn !== undefined && (isDue === 0 || isDue < rows.length / 2)) {
        most *= 2;
        continue;
      }
      const first = await this.#firstNamedBefore(books, rows);
      if (first === undefined)
        return { rows, start, until: cutOn === undefined ? undefined : rows.at(-1)?.effective_on };
      from = first;
    }
  }

  /**
   * The ledger of a kind from the last state on that comes before the first due day and before everything that later
   * entries reverse or bill; undefined if it is longer than `most`.
   */
  async #historyFor(books: OperationBooks, due: DueCosts, most: number): Promise<History | undefined> {
    for (let from = due.from; ;) {
      const start = await this.store.stateBefore(books, due, from);
      const rows = await this.ledger.ledgerOfKind(books, due.hayKind, start?.until, most + 1);
      if (rows.length > most) return undefined;
      const first = await this.#firstNamedBefore(books, rows);
      if (first === undefined) return { rows, start, until: undefined };
      from = first;
    }
  }

  /** The first day of what these rows reverse or bill and is not among them. */
  #firstNamedBefore(books: OperationBooks, rows: readonly LedgerRow[]): Promise<string | undefined> {
    const here = new Set(rows.map((row) => row.id));
    const before = rows.flatMap((row) => row.reverses_id ?? row.receipt_id ?? []).filter((id) => !here.has(id));
    return before.length === 0 ? Promise.resolve(undefined) : this.ledger.firstDayOf(books, before);
  }
}

/** A stretch of a kind's ledger, and what was known before it. */
interface History {
  rows: LedgerRow[];
  start: KeptState | undefined;
  /** Its last day, where more follows. */
  until: string | undefined;
}

/**
 * Nobody's entry is refused because costing cannot follow it: its cost stays due, and a report that replays it says
 * what is wrong.
 */
function* costsIfAny(
  history: Parameters<typeof continueCosts>[0],
): Steps<Exclude<ReturnType<typeof continueCosts>, Refusal> | undefined> {
  try {
    const costs = yield* continueInSteps(history);
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

/** Of an entry that is just entered; what it comes after was there before it, so at one instant it is the later one. */
function isAfter(place: LedgerPlace, known: LedgerPlace): boolean {
  if (place.on !== known.on) return place.on > known.on;
  if (place.rank !== known.rank) return place.rank > known.rank;
  return Date.parse(place.at) >= Date.parse(known.at);
}

function placeOf(row: LedgerRow): LedgerPlace {
  return { on: row.effective_on, rank: row.rank, at: row.effective_at };
}

function lastPlace(rows: readonly LedgerRow[], entries: readonly CostingEntry[]): LedgerPlace | undefined {
  const id = entries.at(-1)?.id;
  const last = rows.find((row) => row.id === id);
  return last && placeOf(last);
}
