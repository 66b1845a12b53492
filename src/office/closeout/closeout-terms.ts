import type { CattleStanding } from '../../core/closeout/closeout.js';
import { type InterestTerms } from '../../core/closeout/interest.js';
import { type CattleMassUnit, cattleWorth, pricePerCattleMass } from '../../core/gain/cattle-price.js';
import { farmPriceOfKinds } from '../../core/stock/farm-price.js';
import { decimal, type Decimal, ZERO } from '../../core/units/decimal.js';
import type { Mass } from '../../core/units/mass.js';
import { type Currency, Money, PricePerMass } from '../../core/units/money.js';
import type { InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { unitFor, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import type * as api from './closeout.schema.js';

export type Asked = InputOf<typeof api.getHerdCloseout>['query'];

/** The interest that a request states; null where it states no rate. */
export function interestTerms(query: Asked): InterestTerms | null {
  return query.interestRatePercent === undefined
    ? null
    : {
        yearlyRate: decimal(query.interestRatePercent).div(100),
        dayBasis: query.interestDayBasis === '360' ? 360 : 365,
        onCattle: query.interestOnCattle === 'yes',
        onCosts: query.interestOnCosts,
      };
}

/** The shrink that a request states; null where weights that were paid for are compared. */
export function statedShrink(query: Asked): { in: Decimal; out: Decimal } | null {
  const { shrinkInPercent, shrinkOutPercent } = query;
  if (shrinkInPercent === undefined && shrinkOutPercent === undefined) return null;
  const share = (percent: string | undefined): Decimal => (percent === undefined ? ZERO : decimal(percent).div(100));
  return { in: share(shrinkInPercent), out: share(shrinkOutPercent) };
}

export function sameFillWords(shrink: { in: Decimal; out: Decimal } | null): string {
  if (shrink === null)
    return 'The weights that were paid for are compared, each less the pencil shrink of its own price.';
  const shown = (share: Decimal): string => share.times(100).toFixed();
  return `A pencil shrink of ${shown(shrink.in)} % is taken off every weight in, and of ${shown(shrink.out)} % out.`;
}

/**
 * Cattle that stand at the beginning or the end, at the value that a request states.
 * @throws Problem where it is a price by weight and they were not weighed.
 */
export function standingAt(
  query: Asked,
  side: 'opening' | 'closing',
  { head, totalWeight, currency }: { head: number; totalWeight: Mass | null; currency: Currency },
): CattleStanding {
  const [amount, per] = [query[`${side}Value`], query[`${side}ValuePer`]];
  if (amount === undefined || head === 0) return { totalWeight, value: null };
  const price =
    per === 'head' || per === 'lot'
      ? ({ basis: per === 'head' ? 'per-head' : 'lump-sum', price: Money.of(amount, currency) } as const)
      : ({ basis: 'per-mass', price: pricePerCattleMass(amount, currency, per satisfies CattleMassUnit) } as const);
  const worth = cattleWorth({ price, head, totalWeight });
  if (!worth.ok)
    throw new Problem('invalid-input', undefined, [
      {
        parameter: `${side}ValuePer`,
        code: 'weight-missing',
        given: per,
        allowed: 'head or lot, or a weighing within the window',
        message: 'The cattle were not weighed near that day, so a value by weight cannot be applied.',
      },
    ]);
  return { totalWeight, value: worth.worth };
}

/** What hay that was fed is worth at the stated farm prices, by kind; `unpriced` names kinds without one. */
export function hayAtMarket(
  query: Asked,
  fed: ReadonlyMap<string, Mass>,
  { units, currency }: { units: UnitSystem; currency: Currency },
): { value: Money | null; unpriced: string[] } {
  const { hayMarketPrices: stated, hayDispositionCost = '0' } = query;
  if (stated === undefined) return { value: null, unpriced: [] };
  const unit = unitFor(units, 'large');
  const byKind = new Map(
    stated.split(',').map((one): [string, string] => {
      const [kind = '', price] = one.split(':');
      return price === undefined ? ['', kind] : [kind, price];
    }),
  );
  const priceOf = (kind: string): string | undefined => byKind.get(kind) ?? byKind.get('');
  const found = farmPriceOfKinds(
    [...fed].map(([hayKind, onHand]) => {
      const price = priceOf(hayKind);
      return {
        hayKind,
        onHand,
        marketPrice: price === undefined ? undefined : PricePerMass.of(price, currency, unit),
        costOfDisposition: PricePerMass.of(hayDispositionCost, currency, unit),
      };
    }),
    currency,
  );
  return { value: found.total?.value ?? null, unpriced: [...found.unpriced] };
}
