import { COST_OF_HEAD } from '../../../core/plausibility/entry-bounds.data.js';
import { moneyMisfit } from '../../../core/plausibility/money-fit.js';
import { decimal } from '../../../core/units/decimal.js';
import type { Money } from '../../../core/units/money.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { refuseCreditUnseen } from '../../kit/credit.js';

/**
 * Refuses a bill, or a credit, that nobody has for so many cattle, and doubts an unlikely one.
 * @param head of the herd on the day of the bill, or the most that it had before; undefined where it never had any
 * @throws Problem at the amount; not-permitted for a credit by one who sees no prices
 */
export function checkCost(tenant: OperationTenant, amount: Money, head: number | undefined): void {
  refuseCreditUnseen(tenant, amount);
  const of = head ?? 1;
  const { currency } = amount;
  const misfit = moneyMisfit(amount.amount.abs().div(of), COST_OF_HEAD, currency);
  if (misfit === undefined) return;
  const most = decimal(misfit.allowed[1]).times(of).toNumber().toLocaleString('en-US');
  const cattle = head === undefined ? 'a herd without cattle' : `a herd of ${head}`;
  const what = amount.isNegative() ? 'A credit' : 'A bill';
  const said = `${what} of ${amount.amount.abs().toFixed()} ${currency} for ${cattle}`;
  const told = {
    pointer: '#/amount',
    given: `${amount.amount.toFixed()} ${currency}`,
    allowed: `at most ${most} ${currency} for ${cattle}`,
  };
  const check = 'Check the point, and which herd it is for.';
  if (misfit.impossible)
    throw ruleBroken(told.pointer, 'no-such-cost', told.given, told.allowed, `${said} cannot be meant. ${check}`);
  tenant.doubts.raise({
    code: 'cost-unusual',
    pointer: told.pointer,
    given: told.given,
    usual: told.allowed,
    source: misfit.source,
    message: `${said} is unlikely. ${check}`,
    aboutMoney: true,
  });
}
