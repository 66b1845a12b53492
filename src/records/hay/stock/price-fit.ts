import { feedGroupOf } from '../../../core/feeds/other-feeds.data.js';
import { CHARGES_OF_TON } from '../../../core/plausibility/entry-bounds.data.js';
import { type MoneyMisfit, moneyMisfit, priceMisfit } from '../../../core/plausibility/money-fit.js';
import { FEED_GROUPS } from '../../../core/nutrients/feed-groups.data.js';
import type { Decimal } from '../../../core/units/decimal.js';
import { Mass } from '../../../core/units/mass.js';
import type { Money } from '../../../core/units/money.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { unitFor } from '../../../platform/wire/quantity.schema.js';
import type { HayLotRow } from '../lots/hay-lot.read.js';

/** What an entry says of the money for its feed, and the fields that say it. */
interface Priced {
  readonly mass: Mass;
  readonly hayKind: HayLotRow['hay_kind'];
  readonly price: { readonly money: Money; readonly pointer: string };
  /** Freight and other charges, each for all of it. */
  readonly charges?: readonly { readonly money: Money; readonly pointer: string }[];
}

/**
 * Refuses money that nobody pays for so much feed of its kind, and raises a doubt where it is unlikely; whatever the
 * price was given by, it is judged by the ton.
 * @throws Problem at the field
 */
export function checkPrices(tenant: OperationTenant, { mass, hayKind, price, charges = [] }: Priced): void {
  if (!mass.isPositive()) return;
  const group = feedGroupOf(hayKind);
  const feed = FEED_GROUPS[group].name;
  tell(tenant, priceMisfit(price.money.per(mass), group), {
    pointer: price.pointer,
    codes: ['no-price-of-this-feed', 'price-unusual'],
    what: `A price of %s for ${feed}`,
  });
  for (const charge of charges) checkCharges(tenant, mass, charge);
}

/** The same of freight or another charge for so much hay. */
export function checkCharges(
  tenant: OperationTenant,
  mass: Mass,
  { money, pointer }: { readonly money: Money; readonly pointer: string },
  codes: Told['codes'] = ['no-such-charges', 'charges-unusual'],
): void {
  if (mass.isPositive())
    tell(tenant, moneyMisfit(money.per(mass).in('ton'), CHARGES_OF_TON, money.currency), {
      pointer,
      codes,
      what: 'Charges of %s',
    });
}

interface Told {
  readonly pointer: string;
  readonly codes: readonly [impossible: string, unlikely: string];
  readonly what: string;
}

function tell(tenant: OperationTenant, misfit: MoneyMisfit | undefined, { pointer, codes, what }: Told): void {
  if (misfit === undefined) return;
  const { currency, unitPreference } = tenant.operation;
  const unit = unitFor(unitPreference, 'large');
  const shown = (perTon: Decimal, round: (price: Decimal) => Decimal): string =>
    round(perTon.times(Mass.of(1, unit).kilograms.div(Mass.of(1, 'ton').kilograms)))
      .toNumber()
      .toLocaleString('en-US');
  const given = `${shown(misfit.given, (price) => price.toDecimalPlaces(2))} ${currency} a ${unit}`;
  const [least, most] = misfit.allowed;
  // Rounded inward: whatever is said to be allowed is taken.
  const span = `${shown(least, (price) => price.ceil())} to ${shown(most, (price) => price.floor())}`;
  const allowed = `${span} ${currency} a ${unit}`;
  const said = what.replace('%s', given);
  const check = 'Check the point, the unit of the price, and the weight that it is for.';
  if (misfit.impossible) throw ruleBroken(pointer, codes[0], given, allowed, `${said} cannot be meant. ${check}`);
  tenant.doubts.raise({
    code: codes[1],
    pointer,
    given,
    usual: allowed,
    source: misfit.source,
    message: `${said} is unlikely. ${check}`,
    aboutMoney: true,
  });
}
