import { type CattleMassUnit, inCattleUnit, pricePerCattleMass } from '../../../core/gain/cattle-price.js';
import { PRICE_OF_CATTLE_CWT, PRICE_OF_HEAD } from '../../../core/plausibility/entry-bounds.data.js';
import { type MoneyMisfit, moneyMisfit } from '../../../core/plausibility/money-fit.js';
import type { Currency, Money } from '../../../core/units/money.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { ruleBroken } from '../../../platform/http/problem.js';

/** A price of cattle as it was given, and what it comes to. */
interface GivenPrice {
  readonly amount: string;
  /** Of a price by weight: for how much. */
  readonly per: CattleMassUnit | undefined;
  readonly worth: Money;
  readonly head: number;
  readonly currency: Currency;
}

/**
 * Refuses a price that nobody pays for cattle, and doubts an unlikely one: by weight where it is one, else by head.
 * Nothing at all is a gift, or a loss, and not unlikely.
 * @throws Problem at the amount
 */
export function checkHeadPrice(tenant: OperationTenant, { amount, per, worth, head, currency }: GivenPrice): void {
  const byWeight =
    per === undefined
      ? undefined
      : moneyMisfit(inCattleUnit(pricePerCattleMass(amount, currency, per), 'cwt'), PRICE_OF_CATTLE_CWT, currency);
  const byHead = moneyMisfit(worth.amount.div(head), PRICE_OF_HEAD, currency);
  const found = [
    { misfit: byWeight, of: 'cwt' },
    { misfit: byHead, of: 'head' },
  ].flatMap(({ misfit, of }) => (misfit === undefined ? [] : [{ misfit, of }]));
  const [first] = found.sort((one, other) => Number(other.misfit.impossible) - Number(one.misfit.impossible));
  if (first !== undefined) tell(tenant, first.misfit, `${currency} a ${first.of}`);
}

function tell(tenant: OperationTenant, { impossible, given, allowed, source }: MoneyMisfit, unit: string): void {
  const figure = (value: MoneyMisfit['given']): string => value.toDecimalPlaces(2).toNumber().toLocaleString('en-US');
  const [least, most] = allowed.map(figure);
  const told = `${figure(given)} ${unit}`;
  const range = `${least} to ${most} ${unit}`;
  const check = 'Check the point, and whether it is for a head, a pound or a hundredweight.';
  if (impossible)
    throw ruleBroken('#/price/amount', 'no-such-price', told, range, `Cattle at ${told} cannot be meant. ${check}`);
  tenant.doubts.raise({
    code: 'cattle-price-unusual',
    pointer: '#/price/amount',
    given: told,
    usual: range,
    source,
    message: `Cattle at ${told} are unlikely. ${check}`,
    aboutMoney: true,
  });
}
