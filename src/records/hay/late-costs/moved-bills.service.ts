import { Injectable } from '@nestjs/common';
import type { z } from 'zod';
import { Money } from '../../../core/units/money.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { asCurrency } from '../../../platform/wire/quantity.schema.js';
import type { ReceiptKind } from '../../../platform/wire/record-kinds.data.js';
import { lastClosing, type LatePostingRow, latePostings, postedUnder, type Posting } from '../../kit/posting.read.js';
import type { reversalIn } from '../../kit/reversal.schema.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import { notePosting } from '../../kit/posting.store.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { Reversals } from '../../kit/reversal.store.js';
import { MovementRead } from '../stock/movement.read.js';
import { StockStore } from '../stock/stock.store.js';
import { confirmedNow, confirmedOf } from '../../kit/confirmed.read.js';
import { refuseCreditUnseen } from '../../kit/credit.js';
import { firstDayFor, receiptDay, refuseCreditAbove } from './bill-fit.js';
import { LateCostRead, type LateCostRow } from './late-cost.read.js';
import type { receiptCorrectionOut } from './late-cost.schema.js';
import { LateCostService } from './late-cost.service.js';
import { LateCostStore } from './late-cost.store.js';

type Moved = z.output<ReturnType<typeof receiptCorrectionOut<z.ZodNull>>>['billsMoved'];

/** Which receipt was wrong and which is right, and the fields of the correction that say when and for how much. */
interface Move {
  readonly kind: ReceiptKind;
  readonly wrongId: string;
  readonly rightId: string;
  readonly body: Pick<z.output<typeof reversalIn>, 'reason' | 'postTo'>;
  readonly pointers: { readonly day: string; readonly money: string };
}

/** A bill to be moved, its money and its day in the books. */
interface Moving {
  readonly bill: LateCostRow;
  readonly amount: Money;
  readonly typed: string | undefined;
  readonly posting: Posting;
}

/**
 * Bills are of a load of hay, not of the ticket that somebody typed: where the ticket is corrected, those that stand on
 * it go to the right one in the same transaction, each reversed and entered again with its day and its money as typed.
 */
@Injectable()
export class MovedBillsService {
  constructor(
    private readonly bills: LateCostRead,
    private readonly lateCosts: LateCostService,
    private readonly store: LateCostStore,
    private readonly ledger: MovementRead,
    private readonly stock: StockStore,
    private readonly reversals: Reversals,
  ) {}

  /** The wrong receipt's lot is to be held before, so that nobody enters a bill meanwhile. */
  async move(tenant: OperationTenant, move: Move): Promise<Moved> {
    const standing = (await this.bills.of(tenant, [move.wrongId])).filter((bill) => bill.reversed_on === null);
    if (standing.length === 0) return [];
    const moving = await this.#fitting(tenant, standing, move);
    const reversals = await this.reversals.writeAll(
      tenant,
      standing.map((bill) => ({ kind: 'late-cost' as const, id: bill.id, happenedOn: bill.happened_on })),
      move.body,
      (rows) => this.stock.reverseAll(tenant, rows.map(ofBill)),
    );
    const receipt = await this.ledger.broughtBy(tenant, { kind: move.kind, id: move.rightId });
    const confirmed = await confirmedOf(
      tenant,
      standing.map(({ id }) => id),
    );
    const moved: Moved = [];
    for (const [at, reversal] of reversals.entries()) {
      const one = moving[at];
      if (one === undefined) throw new RangeError('A bill was reversed that is not moved');
      const id = await this.#enterAgain(tenant, one, { ...receipt, ...move });
      const entry = await this.lateCosts.get(tenant, {
        params: { operationId: tenant.operationId, lateCostId: id },
      });
      // What was said yes to when it was entered is not asked again.
      const reasons = confirmed(one.bill.id).map((reason) => ({ ...reason, aboutMoney: true }));
      tenant.doubts.confirm(reasons.map(({ code }) => code));
      tenant.doubts.of({ kind: 'late-cost', id }, one.posting.on, reasons);
      moved.push({
        correctedId: one.bill.id,
        reversal: reversalAnswer(reversal),
        entry: { ...entry, confirmed: confirmedNow(tenant, id) },
      });
    }
    return moved;
  }

  /** @throws Problem where a bill cannot be of the right receipt, naming the bill and what to do */
  async #fitting(tenant: OperationTenant, bills: readonly LateCostRow[], move: Move): Promise<Moving[]> {
    const ids = bills.map(({ id }) => id);
    const currency = asCurrency(tenant.operation.currency);
    const receipt = await this.ledger.broughtBy(tenant, { kind: move.kind, id: move.rightId });
    const late = await latePostings(tenant, [...ids, move.rightId]);
    const day = receiptDay(receipt.effective_on, late.get(move.rightId));
    const costs = await this.stock.costsOf(tenant, 'late-cost', ids);
    const closing = await lastClosing(tenant);
    const moving: Moving[] = [];
    for (const bill of bills) {
      const cost = costs.get(bill.id);
      if (cost === undefined) throw new RangeError(`Bill ${bill.id} has no money`);
      const amount = Money.of(cost.amount, currency);
      refuseCreditUnseen(tenant, amount);
      const posting = postingOf(bill, late.get(bill.id), closing, move.body.postTo);
      if (firstDayFor(posting, day) !== undefined) throw beforeTheHay(bill, posting, day.toldOn, move.pointers.day);
      moving.push({ bill, amount, typed: cost.typed ?? undefined, posting });
    }
    const hay = await this.stock.billedOn(tenant, receipt.id);
    const lines = moving.map(({ amount, posting: { on } }) => ({ on, amount: amount.amount.toFixed() }));
    for (const [at, { amount, posting }] of moving.entries()) {
      const others = { ...hay, bills: [...hay.bills, ...lines.toSpliced(at, 1)] };
      refuseCreditAbove(others, { on: posting.on, amount }, currency, move.pointers.money);
    }
    return moving;
  }

  async #enterAgain(
    tenant: OperationTenant,
    { bill, amount, typed, posting }: Moving,
    receipt: { id: string; hay_lot_id: string; kind: ReceiptKind; rightId: string },
  ): Promise<string> {
    const row = await this.store.insert(tenant, {
      receipt_kind: receipt.kind,
      receipt_id: receipt.rightId,
      stock_movement_id: receipt.id,
      hay_lot_id: receipt.hay_lot_id,
      happened_on: posting.on,
      owed: bill.owed,
      biller: bill.biller,
      note: bill.note,
    });
    const source = { kind: 'late-cost', id: row.id } as const;
    await notePosting(tenant, source, posting, bill.id);
    await this.stock.addCosts(tenant, [
      {
        lotId: receipt.hay_lot_id,
        movementId: receipt.id,
        kind: bill.owed === 'freight' ? 'late-freight' : 'late-charges',
        amount,
        typed,
        on: posting.on,
        source,
      },
    ]);
    await tenant.audit({ action: 'late-cost.create', subjectKind: 'late-cost', subjectId: row.id, after: row });
    return row.id;
  }
}

const ofBill = (row: ReversalRow) => ({
  source: { kind: 'late-cost' as const, id: row.subject_id },
  reversal: { id: row.id, on: row.effective_on, reason: row.reason },
});

/** A bill stays where it is in the books, posted late or not, unless its day there is closed by now. */
function postingOf(
  bill: LateCostRow,
  late: LatePostingRow | undefined,
  closing: Awaited<ReturnType<typeof lastClosing>>,
  postTo: Move['body']['postTo'],
): Posting {
  const known = late === undefined ? {} : { late: { toldOn: late.told_on, closingId: late.book_closing_id } };
  if (closing === undefined || bill.happened_on > closing.until_on) return { on: bill.happened_on, ...known };
  const statedOn = late?.told_on ?? bill.happened_on;
  return postedUnder(closing, { statedOn, postTo, pointer: '#/entry/postTo' });
}

function beforeTheHay(bill: LateCostRow, { on, late }: Posting, receivedOn: string, pointer: string) {
  const billedOn = late?.toldOn ?? on;
  return ruleBroken(
    pointer,
    'after-its-bill',
    receivedOn,
    `${billedOn} or earlier`,
    `The bill of ${bill.biller} of ${billedOn} stands on this entry and cannot be dated before the hay that it ` +
      `is for. If the bill is of a later day too, correct it first: POST /late-costs/${bill.id}/correction; if it is ` +
      `for other hay, correct or reverse it: POST /late-costs/${bill.id}/reversal.`,
  );
}
