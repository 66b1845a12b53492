import { Injectable } from '@nestjs/common';
import { Mass } from '../../../core/units/mass.js';
import { Money } from '../../../core/units/money.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { asCurrency, formatMoney } from '../../../platform/wire/quantity.schema.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { confirmedOf, doubtsConfirmed } from '../../kit/confirmed.read.js';
import { corrected } from '../../kit/correction.store.js';
import { kindInWords } from '../../kit/corrected-at.data.js';
import { replacementOf } from '../../kit/replaced.read.js';
import { Reversals } from '../../kit/reversal.store.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import type { ReceiptKind } from '../../../platform/wire/record-kinds.data.js';
import { latePostings, postingDay } from '../../kit/posting.read.js';
import { notePosting } from '../../kit/posting.store.js';
import { postedLate, postedLateAnswer } from '../../kit/posting.schema.js';
import { checkCharges } from '../stock/price-fit.js';
import { MovementRead, type MovementRow } from '../stock/movement.read.js';
import { StockStore } from '../stock/stock.store.js';
import { type BillAmount, LateCostRead, type LateCostRow } from './late-cost.read.js';
import { refuseCreditUnseen } from '../../kit/credit.js';
import { firstDayFor, receiptDay, refuseCreditAbove, refuseOvercredited } from './bill-fit.js';
import type * as api from './late-cost.schema.js';
import { LateCostStore } from './late-cost.store.js';

/** Codes of their own: a yes to the freight of a ticket is none to a bill. */
const BILL_CODES = ['no-such-bill', 'bill-unusual'] as const;

type Answer = AnswerOf<typeof api.getLateCost>;

/**
 * Freight and other bills that come after the hay: each is charged to the hay it belongs to, or to what became of it.
 */
@Injectable()
export class LateCostService {
  constructor(
    private readonly bills: LateCostRead,
    private readonly store: LateCostStore,
    private readonly ledger: MovementRead,
    private readonly stock: StockStore,
    private readonly reversals: Reversals,
  ) {}

  async create(tenant: OperationTenant, { body }: InputOf<typeof api.createLateCost>): Promise<Answer> {
    return this.record(tenant, body);
  }

  /** Writes one bill inside an open transaction. */
  async record(tenant: OperationTenant, body: InputOf<typeof api.createLateCost>['body']): Promise<Answer> {
    const currency = asCurrency(tenant.operation.currency);
    const amount = Money.of(body.amount, currency);
    if (amount.isZero())
      throw ruleBroken('#/amount', 'amount-zero', body.amount, 'not 0', 'A bill of zero cannot be entered.');
    refuseCreditUnseen(tenant, amount);
    const receipt = await this.#receipt(tenant, body.receipt);
    const posting = await postingDay(tenant, { statedOn: body.billedOn, postTo: body.postTo, pointer: '#/billedOn' });
    const day = receiptDay(receipt.effective_on, (await latePostings(tenant, [body.receipt.id])).get(body.receipt.id));
    const first = firstDayFor(posting, day);
    if (first !== undefined)
      throw ruleBroken(
        '#/billedOn',
        'before-the-hay',
        body.billedOn,
        `${first} or later`,
        'A later bill cannot be dated before the hay it belongs to.',
      );
    if (amount.isNegative()) {
      const hay = await this.stock.billedOn(tenant, receipt.id);
      refuseCreditAbove(hay, { on: posting.on, amount }, currency, '#/amount');
    } else checkCharges(tenant, Mass.kilograms(receipt.kilograms), { money: amount, pointer: '#/amount' }, BILL_CODES);
    const row = await this.store.insert(tenant, {
      receipt_kind: body.receipt.kind,
      receipt_id: body.receipt.id,
      stock_movement_id: receipt.id,
      hay_lot_id: receipt.hay_lot_id,
      happened_on: posting.on,
      owed: body.owed,
      biller: body.biller,
      note: body.note ?? null,
    });
    const source = { kind: 'late-cost', id: row.id } as const;
    await notePosting(tenant, source, posting, body.correctsId);
    await this.stock.addCosts(tenant, [
      {
        lotId: receipt.hay_lot_id,
        movementId: receipt.id,
        kind: body.owed === 'freight' ? 'late-freight' : 'late-charges',
        amount,
        typed: body.amount,
        on: posting.on,
        source,
      },
    ]);
    await tenant.audit({ action: 'late-cost.create', subjectKind: 'late-cost', subjectId: row.id, after: row });
    return {
      ...answerFrom(
        row,
        tenant.may('prices', tenant.operationId) ? { amount, typed: body.amount } : undefined,
        postedLate(posting, body.correctsId),
        undefined,
      ),
      confirmed: doubtsConfirmed(tenant, { kind: 'late-cost', id: row.id }, posting.on),
    };
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listLateCosts>,
  ): Promise<AnswerOf<typeof api.listLateCosts>> {
    const rows = await this.bills.page(tenant, query);
    return pageOf(rows, query.limit, await this.#writer(tenant, rows), (row) => [row.happened_on, row.id]);
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getLateCost>): Promise<Answer> {
    const row = await this.bills.one(tenant, params.lateCostId);
    return (await this.#writer(tenant, [row]))(row);
  }

  /** The mistake goes out and what is right comes in, as one entry. */
  async correct(
    tenant: OperationTenant,
    { params, body: { reason, entry } }: InputOf<typeof api.correctLateCost>,
  ): Promise<AnswerOf<typeof api.correctLateCost>> {
    const wrong = await this.bills.one(tenant, params.lateCostId);
    return corrected(
      tenant,
      { kind: 'late-cost', id: wrong.id },
      {
        reverse: () => this.#takeBack(tenant, wrong, { reason, postTo: entry.postTo }),
        enter: async (correctsId) => {
          const right = await this.record(tenant, { ...entry, correctsId });
          await this.refuseOvercredited(tenant, [wrong.id], '#/amount');
          return right;
        },
      },
    );
  }

  async reverse(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.reverseLateCost>,
  ): Promise<AnswerOf<typeof api.reverseLateCost>> {
    const row = await this.bills.one(tenant, params.lateCostId);
    const answer = await this.#takeBack(tenant, row, body);
    await this.refuseOvercredited(tenant, [row.id]);
    return answer;
  }

  async #takeBack(
    tenant: OperationTenant,
    row: LateCostRow,
    body: InputOf<typeof api.reverseLateCost>['body'],
  ): Promise<AnswerOf<typeof api.reverseLateCost>> {
    await this.stock.hold(tenant, [row.hay_lot_id]);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'late-cost', id: row.id, happenedOn: row.happened_on },
      body,
      (answerFrom) =>
        this.stock.reverse(
          tenant,
          { kind: 'late-cost', id: row.id },
          { id: answerFrom.id, on: answerFrom.effective_on, reason: body.reason },
        ),
    );
    return reversalAnswer(reversal);
  }

  /**
   * Once bills were taken back, by these ids. A credit that is taken back leaves more room, never less.
   * @throws Problem where the credits beside them come to more than their hay cost
   */
  async refuseOvercredited(tenant: OperationTenant, ids: readonly string[], pointer?: string): Promise<void> {
    for (const movementId of ids.length === 0 ? [] : await this.stock.creditedBeside(tenant, ids))
      refuseOvercredited(await this.stock.billedOn(tenant, movementId), asCurrency(tenant.operation.currency), pointer);
  }

  /** The movement that brought the hay, locked so that nobody reverses the receipt meanwhile. */
  async #receipt(
    tenant: OperationTenant,
    receipt: { kind: ReceiptKind; id: string },
  ): Promise<Pick<MovementRow, 'id' | 'hay_lot_id' | 'effective_on' | 'kilograms'>> {
    const found = await this.ledger.broughtBy(tenant, receipt);
    await this.stock.hold(tenant, [found.hay_lot_id]);
    const reversed = (await this.reversals.of(tenant, [receipt.id])).get(receipt.id);
    if (reversed !== undefined) {
      const right = await replacementOf(tenant, receipt.id, 'in turn');
      throw ruleBroken(
        '#/receipt',
        'receipt-reversed',
        receipt.id,
        right === undefined ? 'a receipt that was not reversed' : `${right.kind} ${right.id}`,
        `This receipt was reversed on ${reversed.effective_on}.` +
          (right === undefined ? '' : ` The ${kindInWords(right.kind)} ${right.id} stands in its place.`),
      );
    }
    return found;
  }

  async #writer(tenant: OperationTenant, rows: readonly LateCostRow[]): Promise<(row: LateCostRow) => Answer> {
    const ids = rows.map((row) => row.id);
    const amounts = await this.bills.amounts(tenant, ids);
    const reversals = await this.reversals.of(tenant, ids);
    const late = await latePostings(tenant, ids);
    const confirmed = await confirmedOf(tenant, ids);
    return (row) => ({
      ...answerFrom(row, amounts.get(row.id), postedLateAnswer(late.get(row.id)), reversals.get(row.id)),
      confirmed: confirmed(row.id),
    });
  }
}

function answerFrom(
  row: LateCostRow,
  bill: BillAmount | undefined,
  late: Answer['postedLate'],
  reversal: ReversalRow | undefined,
): Omit<Answer, 'confirmed'> {
  return {
    id: row.id,
    receipt: { kind: row.receipt_kind, id: row.receipt_id },
    hayLotId: row.hay_lot_id,
    billedOn: row.happened_on,
    owed: row.owed,
    biller: row.biller,
    amount: bill === undefined ? null : formatMoney(bill.amount),
    amountTyped: bill?.typed ?? null,
    postedLate: late,
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
