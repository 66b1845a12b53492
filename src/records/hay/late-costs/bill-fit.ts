import { type Currency, Money } from '../../../core/units/money.js';
import { Problem, ruleBroken } from '../../../platform/http/problem.js';
import type { LatePostingRow, Posting } from '../../kit/posting.read.js';

/** The day of hay in the books, and the day that it was told for where that is another, of a closed period. */
export interface ReceiptDay {
  readonly on: string;
  readonly toldOn: string;
}

export function receiptDay(on: string, late: LatePostingRow | undefined): ReceiptDay {
  return { on, toldOn: late?.told_on ?? on };
}

/** If a bill is dated before its hay, in the books or as it was told: the first day on which it can be. */
export function firstDayFor({ on, late }: Posting, receipt: ReceiptDay): string | undefined {
  const toldOn = late?.toldOn ?? on;
  if (on < receipt.on) return receipt.on;
  return toldOn < receipt.toldOn ? receipt.toldOn : undefined;
}

/** Money of a bill on its day in the books; below zero for a credit. What takes one back is a line of its own. */
export interface BilledOn {
  readonly on: string;
  readonly amount: string;
}

/** What hay cost when it came, and the bills and credits on it. */
export interface BilledHay {
  readonly landed: string;
  readonly bills: readonly BilledOn[];
}

/** The least that hay has cost on any day from this one on, with all that was billed and credited until then. */
function leastCost({ landed, bills }: BilledHay, currency: Currency, from = ''): Money {
  const until = (day: string) =>
    Money.sum(
      bills.filter(({ on }) => on <= day).map(({ amount }) => Money.of(amount, currency)),
      currency,
    ).plus(Money.of(landed, currency));
  const days = [from, ...bills.map(({ on }) => on).filter((on) => on > from)];
  return days.map(until).reduce((least, cost) => (cost.minus(least).isNegative() ? cost : least));
}

/**
 * A credit takes back no more than the hay cost, nor do all credits together more than it cost with its bills.
 * @throws Problem that says how much can be credited
 */
export function refuseCreditAbove(
  hay: BilledHay,
  { on, amount }: { on: string; amount: Money },
  currency: Currency,
  pointer: string,
): void {
  if (!amount.isNegative()) return;
  if (Money.of(hay.landed, currency).plus(amount).isNegative())
    throw ruleBroken(
      pointer,
      'credit-above-cost',
      amount.amount.toFixed(),
      'a credit of at most what the hay cost',
      'The credit is larger than what the hay cost.',
    );
  const left = leastCost(hay, currency, on);
  if (!left.plus(amount).isNegative()) return;
  const most = left.isNegative() ? Money.zero(currency) : left;
  throw ruleBroken(
    pointer,
    'credit-above-cost',
    amount.amount.toFixed(),
    `a credit of at most ${most.amount.toFixed()} ${currency}`,
    `The credits on this hay would together be larger than what it cost with its bills, of which ` +
      `${most.amount.toFixed()} ${currency} is left.`,
  );
}

/**
 * @param pointer of the amount that takes the place of what a bill came to; none where the bill is reversed
 * @throws Problem where credits are left that the bill had room for
 */
export function refuseOvercredited(hay: BilledHay, currency: Currency, pointer?: string): void {
  if (!leastCost(hay, currency).isNegative()) return;
  const message =
    'The credits on this hay would together be larger than what it cost with its bills. Reverse or correct a credit ' +
    'first: POST /late-costs/{lateCostId}/reversal.';
  const code = 'credit-above-cost';
  const allowed = 'credits of at most what the hay cost with its bills';
  if (pointer !== undefined) throw ruleBroken(pointer, code, 'less than was credited', allowed, message);
  throw new Problem('conflict', message, [{ code, given: 'less than was credited', allowed, message }]);
}
