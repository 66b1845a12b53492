import { counted } from '../../../core/units/counted.js';
import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { Money } from '../../../core/units/money.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { type FieldProblem, notFound, Problem } from '../../../platform/http/problem.js';
import type { ReceiptKind } from '../../../platform/wire/record-kinds.data.js';
import { CORRECTED_AT } from '../../kit/corrected-at.data.js';
import { asCurrency } from '../../../platform/wire/quantity.schema.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';

export type LateCostRow = Selectable<DB['late_cost']>;

/** What a bill came to, and as it was typed; null in bills entered before that was kept. */
export interface BillAmount {
  amount: Money;
  typed: string | null;
}

@Injectable()
export class LateCostRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<LateCostRow> {
    const row = await db
      .selectFrom('late_cost')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('later bill', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { receiptId?: string | undefined },
  ): Promise<LateCostRow[]> {
    let select = db.selectFrom('late_cost').selectAll().where('operation_id', '=', operationId);
    if (query.receiptId !== undefined) select = select.where('receipt_id', '=', query.receiptId);
    return newestFirst(select, query).execute();
  }

  /** The amount of each bill, where the person asking may see it. */
  async amounts(
    { db, operationId }: OperationTenant,
    ids: readonly string[],
  ): Promise<ReadonlyMap<string, BillAmount>> {
    if (ids.length === 0) return new Map();
    const costs = await db
      .selectFrom('stock_cost')
      .select(['source_id', 'amount', 'amount_value', 'currency'])
      .where('operation_id', '=', operationId)
      .where('source_kind', '=', 'late-cost')
      .where('source_id', 'in', [...ids])
      .execute();
    return new Map(
      costs.map((cost) => [
        cost.source_id,
        { amount: Money.of(cost.amount, asCurrency(cost.currency)), typed: cost.amount_value },
      ]),
    );
  }

  /** Bills of these receipts with the day on which each was reversed, where it was. */
  async of(
    { db, operationId }: OperationTenant,
    receiptIds: readonly string[],
  ): Promise<(LateCostRow & { reversed_on: string | null })[]> {
    return db
      .selectFrom('late_cost')
      .leftJoin('reversal', (join) =>
        join
          .onRef('reversal.operation_id', '=', 'late_cost.operation_id')
          .onRef('reversal.subject_id', '=', 'late_cost.id'),
      )
      .selectAll('late_cost')
      .select('reversal.effective_on as reversed_on')
      .where('late_cost.operation_id', '=', operationId)
      .where('late_cost.receipt_id', '=', sql<string>`ANY (${[...receiptIds]}::uuid[])`)
      .orderBy('late_cost.id')
      .execute();
  }

  /** A receipt cannot be reversed while it has bills: they go first, or along with its correction. */
  async refuseWhileStanding(
    tenant: OperationTenant,
    receipt: { kind: ReceiptKind; id: string },
    on: string,
  ): Promise<void> {
    await this.refuseWhileAnyStands(tenant, [{ ...receipt, on }]);
  }

  /**
   * The same of several receipts, each with the day of its reversal. A bill stands from its day to that of its
   * reversal, so one that was reversed on its own day stands on none.
   */
  async refuseWhileAnyStands(
    tenant: OperationTenant,
    receipts: readonly { kind: ReceiptKind; id: string; on: string }[],
  ): Promise<void> {
    const reversalOf = new Map(receipts.map((receipt) => [receipt.id, receipt]));
    const bills = await this.of(tenant, [...reversalOf.keys()]);
    const standing = bills.flatMap((bill) => {
      const receipt = reversalOf.get(bill.receipt_id);
      return receipt !== undefined && standsAfter(bill, receipt.on) ? [{ bill, receipt }] : [];
    });
    const [first] = standing;
    if (first === undefined) return;
    throw new Problem(
      'conflict',
      `${counted(standing.length, 'later bill of this receipt is', 'later bills of this receipt are')} in force ` +
        `after ${first.receipt.on}. ${nextSteps(first.receipt, standing)}`,
      standing.map(({ bill, receipt }) => stillInForce(bill, receipt.on)),
    );
  }
}

type Bill = LateCostRow & { reversed_on: string | null };

function standsAfter({ happened_on: from, reversed_on: until }: Bill, on: string): boolean {
  return until === null || (until > on && until > from);
}

function nextSteps({ kind, id }: { kind: ReceiptKind; id: string }, standing: readonly { bill: Bill }[]): string {
  const ends = standing.map(({ bill }) => bill.reversed_on ?? '').toSorted();
  // Where none is left to be moved or reversed, all that remains are days on which they stood.
  if (!ends.includes(''))
    return (
      `Reverse it as of ${ends.at(-1)}, when none stands any more: POST ${CORRECTED_AT[kind]}/${id}/reversal with ` +
      'that effectiveOn; and if other hay came, enter that by itself.'
    );
  return (
    `If something about it was typed wrong, correct it in one call: POST ${CORRECTED_AT[kind]}/${id}/correction with ` +
    'the reason and the right entry; its bills go along. If the hay never came, reverse each bill first: POST ' +
    '/late-costs/{lateCostId}/reversal.'
  );
}

function stillInForce({ id, biller, happened_on: from, reversed_on: until }: Bill, on: string): FieldProblem {
  const bill = `The bill of ${biller} of ${from}`;
  return until === null
    ? { code: 'late-costs-stand', given: id, allowed: 'reversed on its own day', message: `${bill} was not reversed.` }
    : {
        code: 'late-costs-stand',
        given: id,
        allowed: `effectiveOn ${until} or later, when that bill no longer stands`,
        message: `${bill} stood until ${until}, so its hay cannot be taken back as of ${on}.`,
      };
}
