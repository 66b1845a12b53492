import { type Currency, Money } from '../../../core/units/money.js';
import { ruleBroken } from '../../../platform/http/problem.js';
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

/** @throws Problem where a credit is larger than what the hay cost without later bills */
export function refuseCreditAbove(landed: string, amount: Money, currency: Currency, pointer: string): void {
  if (!amount.isNegative() || !Money.of(landed, currency).plus(amount).isNegative()) return;
  throw ruleBroken(
    pointer,
    'credit-above-cost',
    amount.amount.toFixed(),
    'a credit of at most what the hay cost',
    'The credit is larger than what the hay cost.',
  );
}
