import type { AccountRole } from '../stock/accounts.data.js';
import { type AccountMap, type Sides, sidesOf } from '../stock/journal.js';
import type { CalendarDay } from '../time/calendar-day.js';
import type { DatedEntry } from '../time/what-stands.js';
import type { Money } from '../units/money.js';

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

export interface HerdPosting extends Sides {
  readonly account: AccountRole;
  readonly accountNumber: string;
  readonly accountName: string;
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
function accountsOf({ kind, how }: HerdMoneyEntry): readonly [debit: AccountRole, credit: AccountRole] {
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
 *
 * @param entries of some days: a record and what undoes it on the same day, and both sides of a move, come together
 */
export function herdPostings(entries: readonly HerdMoneyEntry[], accounts: AccountMap): HerdJournalEntry[] {
  const byId = new Map(entries.map((one) => [one.id, one]));
  const onOwnDay = new Set(
    entries.flatMap((one) => {
      const reversed = byId.get(one.reversesId ?? '');
      return reversed?.on === one.on ? [one.id, reversed.id] : [];
    }),
  );
  const arrivals = new Map(
    entries.flatMap((one) => (one.kind === 'move-in' && one.moveId !== null ? [[moveKey(one), one] as const] : [])),
  );
  return entries
    .filter(({ id, amount, kind }) => !onOwnDay.has(id) && !amount.isZero() && kind !== 'move-in')
    .map((one) => {
      const [debit, credit] = accountsOf(one);
      const debited = one.kind === 'move-out' ? (arrivals.get(moveKey(one)) ?? one) : one;
      const amount = one.reversesId === null ? one.amount : one.amount.negated();
      return {
        entryId: one.id,
        on: one.on,
        kind: one.kind,
        reversesId: one.reversesId,
        party: one.party,
        memo: one.memo,
        lines: [
          posting(debit, debited.herdId, amount, accounts),
          posting(credit, one.herdId, amount.negated(), accounts),
        ],
      };
    });
}

/** A move and its reversal have two sides each. */
function moveKey({ moveId, reversesId }: HerdMoneyEntry): string {
  return `${moveId} ${reversesId === null}`;
}

function posting(account: AccountRole, herdId: string, amount: Money, accounts: AccountMap): HerdPosting {
  const { number, name } = accounts[account];
  return { account, accountNumber: number, accountName: name, ...sidesOf(amount), herdId };
}
