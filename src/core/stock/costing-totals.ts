import { type Decimal, decimal, ZERO } from '../units/decimal.js';
import type { AccountRole } from './accounts.data.js';
import type { Money } from '../units/money.js';
import type { EntryCost } from './costing-replay.js';

/** What entries have added up to since the books began, as exact text. */
export interface CostingTotals {
  readonly entries: number;
  /** Rows of the physical ledger: a transfer has two. */
  readonly movements: number;
  /** Bills that came later, and their reversals. */
  readonly laterBills: number;
  readonly variances: number;
  /** Of entries that brought hay, or moved none, less reversed: mass in kilograms, change of the inventory's money. */
  readonly received: string;
  readonly valueReceived: string;
  /** Of entries that took hay; positive; less reversed. */
  readonly drawn: string;
  readonly valueDrawn: string;
  /** Net debit of each account that was posted to. */
  readonly accounts: readonly (readonly [account: AccountRole, amount: string])[];
}

export const NOTHING_YET: CostingTotals = {
  entries: 0,
  movements: 0,
  laterBills: 0,
  variances: 0,
  received: '0',
  valueReceived: '0',
  drawn: '0',
  valueDrawn: '0',
  accounts: [],
};

/** Adds up entries one by one, after what was there before. */
export class RunningTotals {
  readonly #counts: Record<'entries' | 'movements' | 'laterBills' | 'variances', number>;
  readonly #sums: Record<'received' | 'valueReceived' | 'drawn' | 'valueDrawn', Decimal>;
  readonly #accounts: Map<AccountRole, Decimal>;

  constructor({ accounts, received, valueReceived, drawn, valueDrawn, ...counts }: CostingTotals = NOTHING_YET) {
    this.#counts = { ...counts };
    this.#sums = {
      received: decimal(received),
      valueReceived: decimal(valueReceived),
      drawn: decimal(drawn),
      valueDrawn: decimal(valueDrawn),
    };
    this.#accounts = new Map(accounts.map(([account, amount]) => [account, decimal(amount)]));
  }

  /** What is reversed is taken off where it was added: a feeding that never was has not brought hay. */
  add({ kind, rows, massChange, inventoryChange, lines }: EntryCost): void {
    this.#counts.entries += 1;
    this.#counts.movements += rows.length;
    // A later bill moves no hay, only money.
    if (rows.length === 0) this.#counts.laterBills += 1;
    const sums = this.#sums;
    const isDraw = kind === 'reversal' ? massChange.isPositive() : massChange.isNegative();
    if (isDraw) {
      sums.drawn = sums.drawn.minus(massChange.kilograms);
      sums.valueDrawn = sums.valueDrawn.minus(inventoryChange.amount);
    } else {
      sums.received = sums.received.plus(massChange.kilograms);
      sums.valueReceived = sums.valueReceived.plus(inventoryChange.amount);
    }
    for (const { account, amount } of lines) this.addToAccount(account, amount);
  }

  /** Money that no entry of the ledger moved. */
  addToAccount(account: AccountRole, amount: Money): void {
    this.#accounts.set(account, (this.#accounts.get(account) ?? ZERO).plus(amount.amount));
  }

  addVariance(): void {
    this.#counts.variances += 1;
  }

  asText(): CostingTotals {
    const { received, valueReceived, drawn, valueDrawn } = this.#sums;
    return {
      ...this.#counts,
      received: received.toFixed(),
      valueReceived: valueReceived.toFixed(),
      drawn: drawn.toFixed(),
      valueDrawn: valueDrawn.toFixed(),
      accounts: [...this.#accounts].map(([account, amount]) => [account, amount.toFixed()] as const),
    };
  }
}

/** What one has that the other had not: the totals of the entries between them. */
export function lessTotals(one: CostingTotals, other: CostingTotals): CostingTotals {
  const negated = (text: string): string => decimal(text).negated().toFixed();
  return bothTotals(one, {
    entries: -other.entries,
    movements: -other.movements,
    laterBills: -other.laterBills,
    variances: -other.variances,
    received: negated(other.received),
    valueReceived: negated(other.valueReceived),
    drawn: negated(other.drawn),
    valueDrawn: negated(other.valueDrawn),
    accounts: other.accounts.map(([account, amount]) => [account, negated(amount)] as const),
  });
}

export function bothTotals(one: CostingTotals, other: CostingTotals): CostingTotals {
  const sum = (a: string, b: string): string => decimal(a).plus(b).toFixed();
  const accounts = new Map(one.accounts);
  for (const [account, amount] of other.accounts) accounts.set(account, sum(accounts.get(account) ?? '0', amount));
  return {
    entries: one.entries + other.entries,
    movements: one.movements + other.movements,
    laterBills: one.laterBills + other.laterBills,
    variances: one.variances + other.variances,
    received: sum(one.received, other.received),
    valueReceived: sum(one.valueReceived, other.valueReceived),
    drawn: sum(one.drawn, other.drawn),
    valueDrawn: sum(one.valueDrawn, other.valueDrawn),
    accounts: [...accounts],
  };
}
