import type { CalendarDay } from '../time/calendar-day.js';
import { Money, type Currency } from '../units/money.js';
import { ACCOUNT_ROLES, type AccountRole } from './accounts.data.js';
import type { CostReplay, EntryCost, PostingLine } from './costing-replay.js';

/** The operation's own account for each role; the starting map is `STARTING_ACCOUNTS`. */
export type AccountMap = Readonly<Record<AccountRole, { readonly number: string; readonly name: string }>>;
export const STARTING_ACCOUNTS: AccountMap = ACCOUNT_ROLES;

/** An amount on its side of a posting; the other side is nothing. */
export interface Sides {
  readonly debit: Money;
  readonly credit: Money;
}

/** @param amount above zero: a debit */
export function sidesOf(amount: Money): Sides {
  const none = Money.zero(amount.currency);
  return amount.isNegative() ? { debit: none, credit: amount.negated() } : { debit: amount, credit: none };
}

export interface JournalLine extends Sides {
  readonly account: AccountRole;
  readonly accountNumber: string;
  readonly accountName: string;
  readonly hayKind: string;
  readonly lotId: string;
  readonly herdId?: string;
}

/** One balanced double entry: the debits and the credits of `lines` are equal. */
export interface JournalEntry {
  readonly entryId: string;
  readonly on: CalendarDay;
  readonly kind: EntryCost['kind'];
  readonly reverses?: string;
  readonly lines: readonly JournalLine[];
}

/**
 * The journal of a replay: one double entry per ledger entry that moved money, in the order of the history.
 * `from` and `until` cut a period out, half-open; an entry without money (a transfer, normal shrink) has none.
 */
export function journalOf(
  replay: Pick<CostReplay, 'entries' | 'currency'>,
  accounts: AccountMap,
  period: { from?: CalendarDay; until?: CalendarDay } = {},
): JournalEntry[] {
  return replay.entries
    .filter(
      (entry) =>
        (period.from === undefined || entry.on >= period.from) &&
        (period.until === undefined || entry.on < period.until),
    )
    .filter((entry) => entry.lines.length > 0)
    .map((entry) => ({
      entryId: entry.entryId,
      on: entry.on,
      kind: entry.kind,
      ...(entry.reverses === undefined ? {} : { reverses: entry.reverses }),
      lines: entry.lines.map((line) => journalLine(line, accounts)),
    }));
}

function journalLine(line: PostingLine, accounts: AccountMap): JournalLine {
  return {
    account: line.account,
    accountNumber: accounts[line.account].number,
    accountName: accounts[line.account].name,
    ...sidesOf(line.amount),
    hayKind: line.hayKind,
    lotId: line.lotId,
    ...(line.herdId === undefined ? {} : { herdId: line.herdId }),
  };
}

export interface TrialBalance {
  readonly rows: readonly {
    readonly accountNumber: string;
    readonly accountName: string;
    readonly debit: Money;
    readonly credit: Money;
  }[];
  readonly totalDebit: Money;
  readonly totalCredit: Money;
}

/**
 * Each account's net side, by account number; roles mapped to one account are one row. Totals are equal if the journal
 * is.
 */
export function trialBalance(journal: readonly JournalEntry[], currency: Currency): TrialBalance {
  return netSides(
    journal.flatMap((entry) => entry.lines).map((line) => ({ ...line, net: line.debit.minus(line.credit) })),
    currency,
  );
}

/** The trial balance of everything since the books began. */
export function trialBalanceOfTotals({ totals, currency }: CostReplay, accounts: AccountMap): TrialBalance {
  return netSides(
    totals.accounts.map(([role, amount]) => ({
      accountNumber: accounts[role].number,
      accountName: accounts[role].name,
      net: Money.of(amount, currency),
    })),
    currency,
  );
}

function netSides(
  lines: readonly { accountNumber: string; accountName: string; net: Money }[],
  currency: Currency,
): TrialBalance {
  const accounts = new Map<string, { name: string; net: Money }>();
  for (const line of lines) {
    const so = accounts.get(line.accountNumber)?.net ?? Money.zero(currency);
    accounts.set(line.accountNumber, { name: line.accountName, net: so.plus(line.net) });
  }
  const rows = [...accounts]
    .sort(([one], [other]) => (one < other ? -1 : one > other ? 1 : 0))
    .map(([accountNumber, { name, net }]) => ({ accountNumber, accountName: name, ...sidesOf(net) }));
  return {
    rows,
    totalDebit: Money.sum(
      rows.map((row) => row.debit),
      currency,
    ),
    totalCredit: Money.sum(
      rows.map((row) => row.credit),
      currency,
    ),
  };
}
