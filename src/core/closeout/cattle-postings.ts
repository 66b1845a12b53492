import type { AccountRole } from '../stock/accounts.data.js';
import type { AccountMap } from '../stock/journal.js';
import type { CalendarDay } from '../time/calendar-day.js';
import type { DatedEntry } from '../time/what-stands.js';
import { type Currency, Money } from '../units/money.js';

/** Money of cattle that came or went, or of a cost of a herd, as it was entered; a reversal has the same amount. */
export interface HerdMoneyEntry extends DatedEntry {
  readonly kind: 'in' | 'out' | 'death' | 'sale' | 'move-in' | 'move-out' | 'herd-cost';
  readonly how: 'paid' | 'valued';
  readonly herdId: string;
  /** Above zero but for a credit of a cost. */
  readonly amount: Money;
  /** Ties the two sides of a move together. */
  readonly moveId: string | null;
  readonly party: string | null;
  readonly memo: string | null;
}

export interface HerdPosting {
  readonly account: AccountRole;
  readonly accountNumber: string;
  readonly accountName: string;
  readonly debit: Money;
  readonly credit: Money;
  readonly herdId: string;
}

/** One balanced double entry. */
export interface HerdJournalEntry {
  readonly entryId: string;
  readonly on: CalendarDay;
  readonly kind: HerdMoneyEntry['kind'];
  readonly reversesId: string | null;
  readonly party: string | null;
  readonly memo: string | null;
  readonly lines: readonly HerdPosting[];
}

/** Which account is debited and which is credited by money that comes in or goes out. */
function sidesOf({ kind, how }: HerdMoneyEntry): readonly [debit: AccountRole, credit: AccountRole] {
  switch (kind) {
    case 'herd-cost':
      return ['herd-costs', 'payables'];
    case 'in':
      return ['cattle-purchases', how === 'valued' ? 'raised-cattle-transfer' : 'payables'];
    case 'out':
    case 'sale':
    case 'death':
      return [how === 'valued' ? 'raised-cattle-transfer' : 'receivables', 'cattle-sales'];
    case 'move-in':
    case 'move-out':
      return ['cattle-transfers', 'cattle-transfers'];
  }
}

/**
 * The journal of cattle and of the costs of herds, oldest first as given: one double entry a record, the opposite for a
 * reversal on its own day. What was reversed as of its own day has none, nor its reversal. A move debits the herd
 * that the cattle came to and credits the one they left, on one account, so that it nets to nothing but for the herds.
 */
export function herdPostings(
  entries: readonly HerdMoneyEntry[],
  accounts: AccountMap,
  currency: Currency,
): HerdJournalEntry[] {
  const byId = new Map(entries.map((one) => [one.id, one]));
  const arrivals = new Map(entries.flatMap((one) => (one.kind === 'move-in' ? [[sideOf(one), one]] : [])));
  const onOwnDay = new Set(
    entries.flatMap((one) => {
      const reversed = one.reversesId === null ? undefined : byId.get(one.reversesId);
      return reversed?.on === one.on ? [one.id, reversed.id] : [];
    }),
  );
  return entries
    .filter(({ id, amount, kind }) => !onOwnDay.has(id) && !amount.isZero() && kind !== 'move-in')
    .map((one) => {
      const to = one.kind === 'move-out' && one.moveId !== null ? arrivals.get(sideOf(one)) : undefined;
      const [debit, credit] = sidesOf(one);
      const debited = to ?? one;
      const reversed = one.reversesId !== null;
      return {
        entryId: one.id,
        on: one.on,
        kind: one.kind,
        reversesId: one.reversesId,
        party: one.party,
        memo: one.memo,
        lines: [
          posting(debit, debited, { accounts, currency, isDebit: !reversed, amount: one.amount }),
          posting(credit, one, { accounts, currency, isDebit: reversed, amount: one.amount }),
        ],
      };
    });
}

/** The two sides of a move, and those of its reversal, have this in common. */
function sideOf({ moveId, reversesId }: HerdMoneyEntry): string {
  return `${moveId} ${reversesId === null}`;
}

function posting(
  account: AccountRole,
  { herdId }: HerdMoneyEntry,
  {
    accounts,
    currency,
    isDebit,
    amount,
  }: { accounts: AccountMap; currency: Currency; isDebit: boolean; amount: Money },
): HerdPosting {
  const none = Money.zero(currency);
  const debits = isDebit !== amount.isNegative();
  const size = amount.isNegative() ? amount.negated() : amount;
  const { number, name } = accounts[account];
  return {
    account,
    accountNumber: number,
    accountName: name,
    debit: debits ? size : none,
    credit: debits ? none : size,
    herdId,
  };
}
