import { Injectable } from '@nestjs/common';
import { isOtherFeed } from '../../core/feeds/other-feeds.data.js';
import { addDays } from '../../core/time/calendar-day.js';
import { Mass } from '../../core/units/mass.js';
import { Money } from '../../core/units/money.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import {
  asCurrency,
  type UnitSystem,
  formatMass,
  formatMoney,
  formatPrice,
} from '../../platform/wire/quantity.schema.js';
import { HayLotRead } from '../../records/hay/lots/hay-lot.read.js';
import { CostingService } from '../../records/hay/costing/costing.service.js';
import { RanchRead } from '../../records/yard/ranches/ranch.read.js';
import { ClosedReportRead } from '../closings/closed-report.read.js';
import { methodChangeFlags } from '../method-change.js';
import type * as api from './hay-position.schema.js';

type Answer = AnswerOf<typeof api.getHayPosition>;

@Injectable()
export class HayPositionService {
  constructor(
    private readonly lots: HayLotRead,
    private readonly ranches: RanchRead,
    private readonly costing: CostingService,
    private readonly closed: ClosedReportRead,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getHayPosition>): Promise<Answer> {
    const units = query.units ?? tenant.operation.unitPreference;
    const compute = (): ReturnType<typeof this.compute> => this.compute(tenant, { ...query, units });
    if (query.knownAt !== undefined) return { ...(await compute()), closed: null };
    return this.closed.orWorkedOut<Answer>(tenant, { name: 'hay-position', units, span: { until: query.on } }, compute);
  }

  /** The report from the books as they are now, or were at an instant. */
  async compute(
    tenant: OperationTenant,
    query: { on: string; knownAt?: string | undefined; units: UnitSystem },
  ): Promise<Omit<Answer, 'closed'>> {
    const currency = asCurrency(tenant.operation.currency);
    const { units } = query;
    const [{ replay, method, changes }, rows, ranches] = await together(
      this.costing.upTo(tenant, query.on, { entriesFrom: addDays(query.on, 1), knownAt: query.knownAt }),
      this.lots.all(tenant),
      this.ranches.names(tenant),
    );
    const lots = new Map(rows.map((lot) => [lot.id, lot]));
    const present = replay.lots.filter((lot) => !lot.mass.isZero() || !lot.value.isZero()).sort(byKind);
    const kinds = replay.kinds.filter((kind) => !kind.mass.isZero() || !kind.value.isZero()).sort(byKind);
    const { totals } = replay;
    const sumOf = (kinds: typeof replay.kinds): ReturnType<typeof line> =>
      line(
        Mass.sum(kinds.map(({ mass }) => mass)),
        Money.sum(
          kinds.map(({ value }) => value),
          currency,
        ),
        units,
      );
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      currency,
      units,
      method: `Balances are the sums of the ledger up to the end of the day; values by ${method}.`,
      inputs: { lots: present.length, ledgerMovements: totals.movements },
      flags: methodChangeFlags(changes, { from: query.on, until: query.on }),
      onDay: query.on,
      knownAt: query.knownAt === undefined ? null : new Date(query.knownAt).toISOString(),
      costingMethod: method,
      lots: present.map((lot) => {
        const row = lots.get(lot.lotId);
        return {
          hayLotId: lot.lotId,
          hayLot: row?.name ?? '',
          ranch: ranches.get(row?.ranch_id ?? '') ?? '',
          hayKind: lot.hayKind,
          ...line(lot.mass, lot.value, units),
        };
      }),
      kinds: kinds.map((kind) => ({ hayKind: kind.hayKind, ...line(kind.mass, kind.value, units) })),
      hay: sumOf(replay.kinds.filter(({ hayKind }) => !isOtherFeed(hayKind))),
      otherFeed: sumOf(replay.kinds.filter(({ hayKind }) => isOtherFeed(hayKind))),
      total: line(replay.closingMass, replay.closingValue, units),
      reconciliation: {
        received: formatMass(Mass.kilograms(totals.received), units, 'large'),
        drawn: formatMass(Mass.kilograms(totals.drawn), units, 'large'),
        onHand: formatMass(replay.closingMass, units, 'large'),
        valueReceived: formatMoney(Money.of(totals.valueReceived, currency)),
        valueDrawn: formatMoney(Money.of(totals.valueDrawn, currency)),
        valueOfMethodChanges: formatMoney(
          Money.sum(
            changes.map(({ amount }) => amount),
            currency,
          ),
        ),
        valueOnHand: formatMoney(replay.closingValue),
      },
    };
  }
}

function line(
  mass: Mass,
  value: Money,
  units: UnitSystem,
): {
  quantity: ReturnType<typeof formatMass>;
  value: ReturnType<typeof formatMoney>;
  unitCost: ReturnType<typeof formatPrice> | null;
} {
  return {
    quantity: formatMass(mass, units, 'large'),
    value: formatMoney(value),
    unitCost: mass.isPositive() ? formatPrice(value.per(mass), units) : null,
  };
}

/** Lots of a kind stay in the order in which they came into the books. */
function byKind(one: { hayKind: string }, other: { hayKind: string }): number {
  return one.hayKind < other.hayKind ? -1 : one.hayKind > other.hayKind ? 1 : 0;
}
