import { decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { Money, type Currency } from '../units/money.js';
import { bothTotals, type CostingTotals, NOTHING_YET } from './costing-totals.js';
import { emptyBalance, noteOrigin, type CostBalance, type SourceHolders } from './cost-balance.js';

/** A balance as exact text. */
export interface BalanceState {
  readonly key: string;
  /** In kilograms. */
  readonly mass: string;
  readonly value: string;
  /** Per source of cost, the share of it that is still here. */
  readonly origins: readonly (readonly [source: string, share: string])[];
}

/**
 * What a replay knows after some entries, as plain data: enough to go on with later ones, unless these name (a
 * reversal, a later bill) one of the entries before.
 */
export interface CostingState {
  readonly lots: readonly {
    readonly lotId: string;
    readonly hayKind: string;
    readonly places: readonly (readonly [placeId: string, kilograms: string])[];
  }[];
  readonly kinds: readonly { readonly hayKind: string; readonly balances: readonly BalanceState[] }[];
  readonly totals: CostingTotals;
}

/** What is known of several kinds, each after its own entries: no entry touches two kinds. */
export function togetherKnown(states: readonly CostingState[]): CostingState {
  return {
    lots: states.flatMap((state) => state.lots),
    kinds: states.flatMap((state) => state.kinds),
    totals: states.map((state) => state.totals).reduce(bothTotals, NOTHING_YET),
  };
}

export function balanceState({ key, mass, value, scale, origins }: CostBalance): BalanceState {
  return {
    key,
    mass: mass.kilograms.toFixed(),
    value: value.amount.toFixed(),
    origins: [...origins.at()].map(([source, raw]) => [source, raw.times(scale).toString()] as const),
  };
}

export function balanceFromState(
  state: BalanceState,
  order: number,
  holders: SourceHolders,
  currency: Currency,
): CostBalance {
  const balance = emptyBalance(state.key, order, holders, currency);
  balance.mass = Mass.kilograms(state.mass);
  balance.value = Money.of(state.value, currency);
  for (const [source, share] of state.origins) noteOrigin(balance, source, decimal(share));
  return balance;
}
