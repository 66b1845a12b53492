import { Injectable } from '@nestjs/common';
import type { YardageRate } from '../core/season/yardage.js';
import { Money } from '../core/units/money.js';
import type { OperationTenant } from '../platform/database/types.js';
import { asCurrency } from '../platform/wire/quantity.schema.js';

@Injectable()
export class YardageRead {
  /** Every rate, in the order of entry, so that the later of two from one day counts. */
  async all({ db, operationId }: OperationTenant): Promise<YardageRate[]> {
    const rows = await db.selectFrom('yardage_rate').selectAll().where('operation_id', '=', operationId).orderBy('recorded_at').orderBy('id').execute();
    return rows.map((row) => ({ herdId: row.herd_id, from: row.from_on, perHeadDay: Money.of(row.amount, asCurrency(row.currency)) }));
  }
}
