import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';

export type LateCostRow = Selectable<DB['late_cost']>;

@Injectable()
export class LateCostRead {
  /** Bills of a receipt with the day on which each was taken back, where it was. */
  async of({ db, operationId }: OperationTenant, receiptId: string): Promise<(LateCostRow & { reversed_on: string | null })[]> {
    return db.selectFrom('late_cost')
      .leftJoin('reversal', (join) => join.onRef('reversal.operation_id', '=', 'late_cost.operation_id').onRef('reversal.subject_id', '=', 'late_cost.id'))
      .selectAll('late_cost').select('reversal.effective_on as reversed_on').where('late_cost.operation_id', '=', operationId).where('late_cost.receipt_id', '=', receiptId).orderBy('late_cost.id').execute();
  }

  /** A receipt is not taken back under its bills: the bills first. */
  async refuseWhileStanding(tenant: OperationTenant, receiptId: string, on: string): Promise<void> {
    const standing = (await this.of(tenant, receiptId)).filter((bill) => bill.reversed_on === null || bill.reversed_on > on);
    if (standing.length > 0) {
      throw new Problem('conflict', `${standing.length} later bill${standing.length === 1 ? '' : 's'} of this receipt still stand${standing.length === 1 ? 's' : ''} on ${on}; take them back first, on that day or before.`,
        standing.map((bill) => ({ code: 'late-costs-stand', given: bill.id, allowed: `taken back on or before ${on}`, message: `The bill of ${bill.biller} of ${bill.happened_on} stands.` })));
    }
  }
}
