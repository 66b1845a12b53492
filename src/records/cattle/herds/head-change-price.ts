import type { z } from 'zod';
import { type CattlePrice, cattleWorth, pricePerCattleMass } from '../../../core/gain/cattle-price.js';
import { decimal } from '../../../core/units/decimal.js';
import { Mass } from '../../../core/units/mass.js';
import { type Currency, Money } from '../../../core/units/money.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { problemOfCore } from '../../../platform/http/core-problems.js';
import type { InputOf } from '../../../platform/http/endpoint.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import {
  asCurrency,
  formatMass,
  formatMoney,
  toMass,
  type UnitSystem,
} from '../../../platform/wire/quantity.schema.js';
import { checkHeadPrice } from './head-price-fit.js';
import type { HeadChangePriceRow } from './head-change.read.js';
import type { headChangePriceIn, headChangePriceOut } from './head-change-price.schema.js';
import type * as api from './herd.schema.js';

type Price = z.output<typeof headChangePriceIn>;
export type NewPrice = Omit<
  HeadChangePriceRow,
  'operation_id' | 'head_change_id' | 'happened_on' | 'recorded_at' | 'recorded_by'
>;
type Change = Pick<InputOf<typeof api.createHeadChange>['body'], 'kind' | 'head' | 'meanWeight'>;

/**
 * A price as it is kept beside a head change.
 * @throws Problem where it cannot be applied to these cattle, or nobody pays it.
 */
export function priceRow(tenant: OperationTenant, change: Change, price: Price): NewPrice {
  if (change.kind === 'move' && price.how === 'paid')
    throw ruleBroken(
      '#/price/how',
      'move-is-valued',
      'paid',
      'valued, or left out',
      'Cattle that move between herds of these books are valued; nobody pays for them.',
    );
  const currency = asCurrency(tenant.operation.currency);
  const totalWeight = change.meanWeight === undefined ? null : toMass(change.meanWeight).times(change.head);
  const worth = cattleWorth({ price: priceOf(price, currency), head: change.head, totalWeight });
  if (!worth.ok) throw problemOfCore(worth.problems, (field) => (field === 'meanWeight' ? '#/meanWeight' : '#/price'));
  const per = price.basis === 'per-mass' ? price.per : undefined;
  checkHeadPrice(tenant, { amount: price.amount, per, worth: worth.worth, head: change.head, currency });
  return {
    how: change.kind === 'move' ? 'valued' : (price.how ?? 'paid'),
    basis: price.basis,
    price_value: price.amount,
    price_unit: price.basis === 'per-mass' ? price.per : price.basis === 'per-head' ? 'head' : 'lot',
    pencil_shrink_pct: price.basis === 'per-mass' ? (price.pencilShrinkPercent ?? null) : null,
    pay_weight_kg: worth.payWeight === null ? null : worth.payWeight.kilograms.toDecimalPlaces(12).toFixed(),
    amount: worth.worth.amount.toFixed(),
    currency,
    party: price.party ?? null,
  };
}

function priceOf(price: Price, currency: Currency): CattlePrice {
  if (price.basis !== 'per-mass') return { basis: price.basis, price: Money.of(price.amount, currency) };
  const shrink = price.pencilShrinkPercent;
  return {
    basis: 'per-mass',
    price: pricePerCattleMass(price.amount, currency, price.per),
    ...(shrink === undefined ? {} : { pencilShrink: decimal(shrink).div(100) }),
  };
}

export function priceAnswer(row: HeadChangePriceRow, units: UnitSystem): z.input<typeof headChangePriceOut>;
export function priceAnswer(
  row: HeadChangePriceRow | undefined,
  units: UnitSystem,
): z.input<typeof headChangePriceOut> | null;
export function priceAnswer(
  row: HeadChangePriceRow | undefined,
  units: UnitSystem,
): z.input<typeof headChangePriceOut> | null {
  return row === undefined
    ? null
    : {
        how: row.how,
        basis: row.basis,
        amount: row.price_value,
        per: row.price_unit,
        pencilShrinkPercent: row.pencil_shrink_pct,
        payWeight: row.pay_weight_kg === null ? null : formatMass(Mass.kilograms(row.pay_weight_kg), units, 'small'),
        worth: formatMoney(Money.of(row.amount, asCurrency(row.currency))),
        party: row.party,
      };
}
