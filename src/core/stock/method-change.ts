import type { CalendarDay } from '../time/calendar-day.js';
import { Mass } from '../units/mass.js';
import { Money } from '../units/money.js';
import type { AccountRole } from './accounts.data.js';
import type { CostingMethod } from './costing-entries.js';
import type { CostReplay, EntryCost, PostingLine } from './costing-replay.js';
import { bothTotals, type CostingTotals, lessTotals, RunningTotals } from './costing-totals.js';

/** Some days of the books under one costing method, by replays of the whole ledger under that method. */
export interface MethodStretch {
  /** At its last day, or the last one asked about; with its entries as far as they are asked for. */
  readonly during: CostReplay;
  /** How it began; absent for the first one of the books. */
  readonly begins?: {
    readonly on: CalendarDay;
    /** Id of the change as an entry of the books. */
    readonly changeId: string;
    /** At the end of the day before, under the method that begins. */
    readonly before: CostReplay;
  };
}

/** A change of the costing method, and what it makes of the hay on hand at that moment. */
export interface MethodChange {
  readonly changeId: string;
  readonly on: CalendarDay;
  readonly from: CostingMethod;
  readonly to: CostingMethod;
  /** Above zero: the hay on hand is worth more under the new method. */
  readonly amount: Money;
  /** Of each lot that is worth something else. */
  readonly lots: readonly { readonly lotId: string; readonly hayKind: string; readonly amount: Money }[];
}

/** Accounts whose debit is what hay cost when it left: it depends on the method. */
const CHARGED: readonly AccountRole[] = ['feed-expense', 'cost-of-hay-sold', 'hay-loss', 'count-difference'];

/** The changes between stretches that follow each other. */
export function methodChanges(stretches: readonly MethodStretch[]): MethodChange[] {
  return stretches.flatMap(({ begins }, index): MethodChange[] => {
    const earlier = stretches[index - 1];
    return begins === undefined || earlier === undefined ? [] : [changeFrom(earlier.during, begins)];
  });
}

function changeFrom(old: CostReplay, { changeId, on, before }: NonNullable<MethodStretch['begins']>): MethodChange {
  return {
    changeId,
    on,
    from: old.method,
    to: before.method,
    amount: before.closingValue.minus(old.closingValue),
    lots: lotChanges(before, old),
  };
}

/**
 * The books over days of several costing methods: every entry at what it cost under the method of its day, and each
 * change of the method as an entry of the first day under the new one, lot by lot, so that all entries still add up to
 * what is on hand. The change is posted against equity, as the effect of a change in accounting principle on earlier
 * periods is (from memory: FASB ASC 250-10-45-5).
 *
 * What is reversed under one method and was charged under another is taken back at what it was charged; the difference
 * belongs to the change. So a mistake leaves the same trace in it as in the rest: none.
 *
 * @param stretches in their order; the last one's balances are those of the answer.
 */
export function joinedBooks(stretches: readonly MethodStretch[]): CostReplay {
  const last = stretches.at(-1);
  if (last === undefined) throw new RangeError('No books without a stretch');
  let [entries, variances]: [CostReplay['entries'], CostReplay['variances']] = [[], []];
  let totals: CostingTotals | undefined;
  stretches.forEach(({ during, begins }, index) => {
    const earlier = stretches[index - 1];
    if (begins === undefined || earlier === undefined) {
      ({ entries, variances, totals } = during);
      return;
    }
    const known = new Map(entries.map((one) => [one.entryId, one]));
    const change = changeEntry(changeFrom(earlier.during, begins));
    const own = during.entries
      .filter(({ on }) => on >= begins.on)
      .map((entry) => atWhatWasCharged(entry, known.get(entry.reverses ?? '')));
    entries = [...entries, change, ...own.map(({ entry }) => entry)];
    variances = [...variances, ...during.variances.filter(({ on }) => on >= begins.on)];
    const running = new RunningTotals(
      bothTotals(totals ?? earlier.during.totals, lessTotals(during.totals, begins.before.totals)),
    );
    for (const { account, amount } of [...change.lines, ...own.flatMap(({ moved }) => moved)])
      running.addToAccount(account, amount);
    totals = running.asText();
  });
  return { ...last.during, entries, variances, totals: totals ?? last.during.totals };
}

/** In an order of their own: written books know the lots in another order than a replay. */
function lotChanges(present: CostReplay, old: CostReplay): MethodChange['lots'] {
  const was = new Map(old.lots.map(({ lotId, value }) => [lotId, value]));
  return present.lots
    .map(({ lotId, hayKind, value }) => ({
      lotId,
      hayKind,
      amount: value.minus(was.get(lotId) ?? Money.zero(value.currency)),
    }))
    .filter(({ amount }) => !amount.isZero())
    .sort(byKindAndLot);
}

type OfLot = MethodChange['lots'][number];
const byKindAndLot = (one: OfLot, other: OfLot): number =>
  compareText(one.hayKind, other.hayKind) || compareText(one.lotId, other.lotId);
const compareText = (one: string, other: string): number => (one < other ? -1 : one > other ? 1 : 0);

/** A change as an entry of the books, which comes before all else of its day. */
export function changeEntry({ changeId, on, amount: inventoryChange, lots }: MethodChange): EntryCost {
  return {
    entryId: changeId,
    on,
    kind: 'costing-method-change',
    hayKind: '',
    rows: [],
    massChange: Mass.zero,
    inventoryChange,
    drawnFrom: [],
    lines: lots.flatMap(({ amount, ...lot }): PostingLine[] => [
      { account: 'hay-inventory', amount, ...lot },
      { account: 'costing-method-change', amount: amount.negated(), ...lot },
    ]),
    notes: [],
  };
}

/**
 * A reversal that mirrors what its entry was charged under the method of its own day.
 * @param reversed as it was charged then, if that was another method
 * @returns with the lines that were added for that
 */
export function atWhatWasCharged(
  entry: EntryCost,
  reversed: EntryCost | undefined,
): { entry: EntryCost; moved: readonly PostingLine[] } {
  if (entry.kind !== 'reversal' || reversed === undefined) return { entry, moved: [] };
  const moved = CHARGED.flatMap((account): PostingLine[] => {
    const of = ({ lines }: EntryCost): PostingLine[] => lines.filter((line) => line.account === account);
    const [line] = [...of(reversed), ...of(entry)];
    if (line === undefined) return [];
    const amounts = [...of(reversed), ...of(entry)].map(({ amount }) => amount);
    return [{ ...line, amount: Money.sum(amounts, line.amount.currency) }];
  }).filter(({ amount }) => !amount.isZero());
  if (moved.length === 0) return { entry, moved: [] };
  const others = moved.flatMap((line): PostingLine[] => [
    { ...line, amount: line.amount.negated() },
    { account: 'costing-method-change', amount: line.amount, hayKind: line.hayKind, lotId: line.lotId },
  ]);
  return { entry: { ...entry, lines: addedUp([...entry.lines, ...others]) }, moved: others };
}

/** Lines of one entry, one for each account, without those that come to nothing. */
function addedUp(lines: readonly PostingLine[]): PostingLine[] {
  const sums = new Map<AccountRole, PostingLine>();
  for (const line of lines) {
    const known = sums.get(line.account);
    sums.set(line.account, known === undefined ? line : { ...known, amount: known.amount.plus(line.amount) });
  }
  return [...sums.values()].filter(({ amount }) => !amount.isZero());
}
