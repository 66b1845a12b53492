import { Injectable } from '@nestjs/common';
import { HAY_KINDS } from '../../core/feeds/hay-kinds.data.js';
import { OTHER_FEEDS } from '../../core/feeds/other-feeds.data.js';
import {
  ROLL_FLOWS,
  type RollFlow,
  type RollForward,
  rollForward,
  type RollRow,
  type Worth,
} from '../../core/stock/roll-forward.js';
import { addDays } from '../../core/time/calendar-day.js';
import { Money } from '../../core/units/money.js';
import { together } from '../../platform/database/together.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { asCurrency, formatMass, formatMoney, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import { type CostedBooks, CostingService } from '../../records/hay/costing/costing.service.js';
import { HayLotRead } from '../../records/hay/lots/hay-lot.read.js';
import { RanchRead } from '../../records/yard/ranches/ranch.read.js';
import { methodChangeFlags } from '../method-change.js';
import { spanOf } from '../report-period.js';
import type * as api from './roll-forward.schema.js';

type Answer = AnswerOf<typeof api.getRollForward>;
type Group = Answer['by'];

/** What was rolled, and how rows are called. */
interface Rolled {
  books: CostedBooks;
  rolled: RollForward;
  labels: ReadonlyMap<string, string>;
}

@Injectable()
export class RollForwardService {
  constructor(
    private readonly costing: CostingService,
    private readonly lots: HayLotRead,
    private readonly ranches: RanchRead,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getRollForward>): Promise<Answer> {
    spanOf(query);
    const { from, until, by } = query;
    const units = query.units ?? tenant.operation.unitPreference;
    const currency = asCurrency(tenant.operation.currency);
    const { books, rolled, labels } = await this.rolled(tenant, query);
    const { variances } = books.replay;
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      currency,
      units,
      method:
        `From the ledger and its costs by ${books.method}: opening and all that changed it is closing. What was ` +
        'reversed as of one of these days is not there, nor its reversal; what corrects earlier days stands apart, ' +
        'and so does what was posted late in its place.',
      inputs: { entries: books.replay.entries.filter(({ on }) => on >= from).length },
      flags: methodChangeFlags(books.changes, { from, until }),
      from,
      until,
      by,
      costingMethod: books.method,
      rows: rolled.rows.map((row) => rowAnswer(row, labels.get(row.key) ?? row.key, units)),
      total: rowAnswer(rolled.total, 'Total', units),
      variances: formatMoney(
        Money.sum(
          variances.filter(({ on }) => on >= from).map(({ amount }) => amount),
          currency,
        ),
      ),
    };
  }

  /** The inventory from one day to another: what the report and the tie-out rest on. */
  async rolled(
    tenant: OperationTenant,
    { from, until, by }: { from: string; until: string; by: Group },
  ): Promise<Rolled> {
    const [before, books, postedInPlace, lots, ranches] = await together(
      this.costing.upTo(tenant, addDays(from, -1), { entriesFrom: from }),
      this.costing.upTo(tenant, until, { entriesFrom: from }),
      this.costing.postedInPlace(tenant, { from, until }),
      this.lots.all(tenant),
      this.ranches.names(tenant),
    );
    const lotOf = new Map(lots.map((lot) => [lot.id, lot]));
    const keyOf = (lotId: string): string => {
      const lot = lotOf.get(lotId);
      return { kind: lot?.hay_kind, lot: lotId, ranch: lot?.ranch_id }[by] ?? '';
    };
    const labels = {
      kind: new Map(Object.entries({ ...HAY_KINDS, ...OTHER_FEEDS }).map(([code, { name }]) => [code, name])),
      lot: new Map(lots.map((lot) => [lot.id, lot.name])),
      ranch: ranches,
    }[by];
    const rolled = rollForward({
      opening: before.replay.lots,
      entries: books.replay.entries,
      from,
      postedInPlace,
      closing: books.replay.lots,
      keyOf,
      currency: asCurrency(tenant.operation.currency),
    });
    return { books, rolled, labels };
  }
}

function rowAnswer(row: RollRow, label: string, units: UnitSystem): Answer['total'] {
  const worth = ({ mass, value }: Worth): Answer['total']['opening'] => ({
    quantity: formatMass(mass, units, 'large'),
    value: formatMoney(value),
  });
  return {
    key: row.key,
    label,
    opening: worth(row.opening),
    flows: Object.fromEntries(ROLL_FLOWS.map((flow) => [flow, worth(row.flows[flow])])) as Record<
      RollFlow,
      ReturnType<typeof worth>
    >,
    betweenLots: formatMoney(row.betweenLots),
    closing: worth(row.closing),
  };
}
