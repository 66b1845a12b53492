import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { InputOf } from '../../../platform/http/endpoint.js';
import { HeadChangeRead } from '../../cattle/herds/head-change.read.js';
import { HeadChangeService } from '../../cattle/herds/head-change.service.js';
import { HerdEventService } from '../../cattle/herds/herd-event.service.js';
import { LateCostRead } from '../../hay/late-costs/late-cost.read.js';
import { LateCostService } from '../../hay/late-costs/late-cost.service.js';
import { StockStore } from '../../hay/stock/stock.store.js';
import { Reversals } from '../../kit/reversal.store.js';
import { RECEIPT_KINDS, type ReceiptKind, type RecordKind } from '../../../platform/wire/record-kinds.data.js';
import type { StandingRecord } from './import-reversal.read.js';
import type { reverseImport } from './import-reversal.schema.js';

type Body = InputOf<typeof reverseImport>['body'];

/** Reverses records of any kinds as one entry, by the reversing entries that each kind has for itself. */
@Injectable()
export class RecordReversals {
  constructor(
    private readonly reversals: Reversals,
    private readonly stock: StockStore,
    private readonly bills: LateCostRead,
    private readonly lateCosts: LateCostService,
    private readonly heads: HeadChangeRead,
    private readonly headChanges: HeadChangeService,
    private readonly herdEvents: HerdEventService,
  ) {}

  async write(tenant: OperationTenant, records: readonly StandingRecord[], body: Body): Promise<void> {
    const idsOf = (kind: StandingRecord['kind']) => records.filter((one) => one.kind === kind).map(({ id }) => id);
    const moves = idsOf('head-change');
    if (moves.length > 0) await this.headChanges.reverseAll(tenant, await this.heads.byId(tenant, moves), body);
    await this.herdEvents.refuseWithoutClass(tenant, idsOf('herd-event'));
    const others = records.flatMap(({ kind, id, on }) =>
      kind === 'head-change' ? [] : [{ kind, id, happenedOn: on }],
    );
    if (others.length === 0) return;
    await this.reversals.writeAll(tenant, others, body, async (rows) => {
      await this.stock.reverseAll(
        tenant,
        rows.map((row) => ({
          source: { kind: row.subject_kind, id: row.subject_id },
          reversal: { id: row.id, on: row.effective_on, reason: body.reason },
        })),
      );
      await this.lateCosts.refuseOvercredited(tenant, idsOf('late-cost'));
      await this.bills.refuseWhileAnyStands(
        tenant,
        rows.flatMap(({ subject_kind: kind, subject_id: id, effective_on: on }) =>
          isReceipt(kind) ? [{ kind, id, on }] : [],
        ),
      );
    });
  }
}

function isReceipt(kind: RecordKind): kind is ReceiptKind {
  return (RECEIPT_KINDS as readonly RecordKind[]).includes(kind);
}
