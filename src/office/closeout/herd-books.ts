import type { CattlePaid, HeadEntry } from '../../core/closeout/herd-account.js';
import { Mass } from '../../core/units/mass.js';
import { type Currency, Money } from '../../core/units/money.js';
import { asCurrency } from '../../platform/wire/quantity.schema.js';
import type { HerdCostEntry } from '../../records/cattle/herd-costs/herd-cost.read.js';
import type { HeadChangePriceRow } from '../../records/cattle/herds/head-change.read.js';
import type { HerdHeadChange } from '../../records/cattle/herds/herd.read.js';

/** Rows of the records as the core's entries: text becomes weights and money, and nothing is worked out. */
export type HeadRow = HerdHeadChange & HeadEntry;
export type CostRow = Omit<HerdCostEntry, 'amount'> & { readonly amount: Money };

export function headEntries(changes: readonly HerdHeadChange[]): HeadRow[] {
  return changes.map((one) => ({
    ...one,
    meanWeight: one.meanWeightKg === null ? null : Mass.kilograms(one.meanWeightKg),
  }));
}

export function costEntries(costs: readonly HerdCostEntry[], currency: Currency): CostRow[] {
  return costs.map((one) => ({ ...one, amount: Money.of(one.amount, currency) }));
}

export function paidCattle(prices: ReadonlyMap<string, HeadChangePriceRow>): Map<string, CattlePaid> {
  return new Map(
    [...prices].map(([id, price]) => [
      id,
      {
        amount: Money.of(price.amount, asCurrency(price.currency)),
        how: price.how,
        payWeight: price.pay_weight_kg === null ? null : Mass.kilograms(price.pay_weight_kg),
        party: price.party,
      },
    ]),
  );
}
