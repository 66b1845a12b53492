import type { FeedGroup } from '../nutrients/feed-groups.data.js';
import { type Decimal, decimal } from '../units/decimal.js';
import { CURRENCY_OF_DOLLAR, type MoneyBounds, PRICE_OF_TON } from './entry-bounds.data.js';
import type { Currency, PricePerMass } from '../units/money.js';

/** Money that is unlikely or cannot be meant, and what would have been usual or possible: in its currency. */
export interface MoneyMisfit {
  readonly impossible: boolean;
  readonly given: Decimal;
  readonly allowed: readonly [Decimal, Decimal];
  readonly source: string;
}

/** What speaks against money for a measure that the bounds are for; nothing at all (a gift) is never unlikely. */
export function moneyMisfit(given: Decimal, bounds: MoneyBounds, currency: Currency): MoneyMisfit | undefined {
  if (given.isZero()) return undefined;
  const scaled = ([least, most]: readonly [number, number]): readonly [Decimal, Decimal] => [
    decimal(least).times(CURRENCY_OF_DOLLAR[currency]),
    decimal(most).times(CURRENCY_OF_DOLLAR[currency]),
  ];
  const within = ([least, most]: readonly [Decimal, Decimal]): boolean => given.gte(least) && given.lte(most);
  const [usual, possible] = [scaled(bounds.usual), scaled(bounds.possible)];
  if (within(usual)) return undefined;
  const impossible = !within(possible);
  return { impossible, given, allowed: impossible ? possible : usual, source: bounds.source };
}

/** Of a price of feed: by the short ton, which the bounds are for. */
export function priceMisfit(price: PricePerMass, group: FeedGroup): MoneyMisfit | undefined {
  return moneyMisfit(price.in('ton'), PRICE_OF_TON[group], price.currency);
}
