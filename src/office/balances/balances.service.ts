import { Injectable } from '@nestjs/common';
import { z } from 'zod';
import type { CostingMethod } from '../../core/stock/costing-entries.js';
import { addDays, compareDays } from '../../core/time/calendar-day.js';
import { Mass } from '../../core/units/mass.js';
import { Money } from '../../core/units/money.js';
import { endOfDayIn, startOfDayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import {
  asCurrency,
  type UnitSystem,
  formatMass,
  formatMoney,
  formatPrice,
  formatTypedMass,
} from '../../platform/wire/quantity.schema.js';
import type { LedgerRow } from '../../records/hay/costing/costing.read.js';
import { type CostOfEntry, CostingService } from '../../records/hay/costing/costing.service.js';
import type { ToldMethodChange } from '../../records/hay/costing/method-stretches.js';
import { HayLotRead } from '../../records/hay/lots/hay-lot.read.js';
import { MovementRead, type MovementRow } from '../../records/hay/stock/movement.read.js';
import { methodChangeFlags } from '../method-change.js';
import type { Flag } from '../report.schema.js';
import { BalancesRead } from './balances.read.js';
import * as api from './balances.schema.js';

type Card = AnswerOf<typeof api.getLotCard>;
type Balances = AnswerOf<typeof api.getHayBalances>;
type Movements = AnswerOf<typeof api.listHayMovements>;

type EntryCosts = ReadonlyMap<string, CostOfEntry>;
/** A line with its rank within the day, as in costing. */
type RankedLine = Card['lines'][number] & { rank: number };

const BEGIN_OF_DAY_RANK = -1;
const MOVEMENT_RANK = 1;
const END_OF_DAY_RANK = 2;
const SMALLEST_FIRST = '0';
const placeInOrder = z.tuple([z.string().regex(/^\d{1,18}$/)]);

/** What hay is where, and how it got there. */
@Injectable()
export class BalancesService {
  constructor(
    private readonly sums: BalancesRead,
    private readonly lots: HayLotRead,
    private readonly ledger: MovementRead,
    private readonly costing: CostingService,
  ) {}

  async balances(tenant: OperationTenant, { query }: InputOf<typeof api.getHayBalances>): Promise<Balances> {
    const { operationId, operation } = tenant;
    const at =
      query.on !== undefined
        ? endOfDayIn(operation.timeZone, query.on).toISOString()
        : new Date(query.at ?? tenant.moment).toISOString();
    const units = query.units ?? operation.unitPreference;
    const rows = await this.sums.grouped(
      tenant,
      query.by,
      query.on !== undefined ? { untilDay: query.on } : { untilInstant: at },
      query.knownAt,
    );
    const present = rows.filter((row) => !Mass.kilograms(row.kilograms).isZero());
    return {
      operationId,
      operation: operation.name,
      invented: operation.invented,
      units,
      method: 'Sums of the ledger; nothing is stored as a balance.',
      flags: [],
      inputs: { ledgerMovements: rows.reduce((sum, row) => sum + Number(row.movements), 0) },
      at,
      knownAt: query.knownAt === undefined ? null : new Date(query.knownAt).toISOString(),
      by: query.by,
      rows: present.map((row) => ({
        key: row.key,
        label: row.label,
        ranchId: row.ranch_id,
        balance: formatMass(Mass.kilograms(row.kilograms), units, 'large'),
      })),
      total: formatMass(Mass.sum(present.map((row) => Mass.kilograms(row.kilograms))), units, 'large'),
    };
  }

  async card(tenant: OperationTenant, { params, query }: InputOf<typeof api.getLotCard>): Promise<Card> {
    const lot = await this.lots.one(tenant, params.hayLotId);
    const units = query.units ?? tenant.operation.unitPreference;
    const currency = asCurrency(tenant.operation.currency);
    // Without prices there is no money; the movements stay the same.
    const money = tenant.may('prices', tenant.operationId) ? await this.#money(tenant, lot.id, query.until) : undefined;
    const costs: EntryCosts = money?.costs ?? new Map();
    const movements = await this.ledger.ofLot(tenant, lot.id, query.until);
    const lines = linesOfMovements(movements, costs, units);
    const bills = (money?.bills ?? []).map((row) => billLine(row, lines, costs, units));
    const { timeZone } = tenant.operation;
    const changes = (money?.changes ?? []).flatMap((one) => changeLines(one, lot.id, lines, { units, timeZone }));
    const masses = movements.map((row) => Mass.kilograms(row.kilograms));
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      currency,
      units,
      method:
        'Every row of the ledger in the order in which it counts: by day, then by instant, then by entry; ' +
        'later bills at the end of their day.',
      inputs: { ledgerMovements: movements.length, laterBills: bills.length },
      flags: [...cardFlags(money?.method), ...methodChangeFlags(money?.changes ?? [], { until: query.until })],
      hayLotId: lot.id,
      hayLot: lot.name,
      hayKind: lot.hay_kind,
      until: query.until,
      costingMethod: money?.method ?? null,
      lines: [...changes, ...lines, ...bills].sort(inCountingOrder),
      received: formatMass(Mass.sum(masses.filter((mass) => mass.isPositive())), units, 'large'),
      drawn: formatMass(Mass.sum(masses.filter((mass) => mass.isNegative())).negated(), units, 'large'),
      balance: formatMass(Mass.sum(masses), units, 'large'),
      value: money === undefined ? null : formatMoney(money.value),
    };
  }

  /** The whole ledger in the order of entry. */
  async movements(tenant: OperationTenant, { query }: InputOf<typeof api.listHayMovements>): Promise<Movements> {
    const { cursor, limit, units = tenant.operation.unitPreference, ...which } = query;
    const [after] = cursor === undefined ? [SMALLEST_FIRST] : readCursor(cursor, placeInOrder);
    const rows = await this.ledger.bySequence(tenant, { ...which, after, limit: limit + 1 });
    return pageOf(
      rows,
      limit,
      (row) => ({
        sequence: row.sequence,
        id: row.id,
        effectiveOn: row.effective_on,
        effectiveAt: row.effective_at,
        kind: row.kind,
        hayLotId: row.hay_lot_id,
        hayLot: row.lot_name,
        hayKind: row.hay_kind,
        change: formatTypedMass(row.kilograms, row.typed_value, row.typed_unit, units, 'large'),
        ranchId: row.ranch_id,
        placeId: row.place_id,
        herdId: row.herd_id,
        source: { kind: row.source_kind, id: row.source_id },
        reversesId: row.reverses_id,
        reason: row.reason,
        recordedAt: row.recorded_at,
        recordedBy: row.recorded_by,
      }),
      (row) => [row.sequence],
    );
  }

  async #money(
    tenant: OperationTenant,
    lotId: string,
    until: string,
  ): Promise<{
    method: CostingMethod;
    changes: readonly ToldMethodChange[];
    costs: EntryCosts;
    bills: LedgerRow[];
    value: Money;
  }> {
    const costs = await this.costing.costsOf(tenant, until, { lotId });
    const { replay, method, changes } = await this.costing.upTo(tenant, until, { entriesFrom: addDays(until, 1) });
    const value = replay.lots.find((one) => one.lotId === lotId)?.value ?? Money.zero(replay.currency);
    return { method, changes, costs, bills: await this.costing.laterBills(tenant, lotId, until), value };
  }
}

/** The movements of a lot, each with the lot's balance after it. */
function linesOfMovements(movements: readonly MovementRow[], costs: EntryCosts, units: UnitSystem): RankedLine[] {
  let balance = Mass.zero;
  return movements.map((row) => {
    balance = balance.plus(Mass.kilograms(row.kilograms));
    const cost = costs.get(row.id);
    return {
      rank: MOVEMENT_RANK,
      movementId: row.id,
      kind: row.kind,
      effectiveOn: row.effective_on,
      effectiveAt: row.effective_at,
      change: formatTypedMass(row.kilograms, row.typed_value, row.typed_unit, units, 'large'),
      balanceAfter: formatMass(balance, units, 'large'),
      source: { kind: row.source_kind, id: row.source_id },
      herdId: row.herd_id,
      reversesId: row.reverses_id,
      reason: row.reason,
      recordedAt: row.recorded_at,
      recordedBy: row.recorded_by,
      cost: cost === undefined ? null : formatMoney(cost.inventoryChange),
      unitCost: cost?.unitCost === undefined ? null : formatPrice(cost.unitCost, units),
    };
  });
}

/** A later bill, or its reversal: it moves no hay, so the balance is that of the same point in the day. */
function billLine(row: LedgerRow, movements: readonly RankedLine[], costs: EntryCosts, units: UnitSystem): RankedLine {
  const before = movements
    .filter(
      (line) =>
        line.effectiveOn < row.effective_on || (line.effectiveOn === row.effective_on && row.rank === END_OF_DAY_RANK),
    )
    .at(-1);
  const cost = costs.get(row.id);
  return {
    rank: row.rank,
    movementId: row.id,
    kind: row.kind,
    effectiveOn: row.effective_on,
    effectiveAt: row.effective_at,
    change: null,
    balanceAfter: before?.balanceAfter ?? formatMass(Mass.zero, units, 'large'),
    source: { kind: row.source_kind, id: row.source_id },
    herdId: null,
    reversesId: row.reverses_id,
    reason: row.reason,
    recordedAt: row.recorded_at,
    recordedBy: null,
    cost: cost === undefined ? null : formatMoney(cost.inventoryChange),
    unitCost: null,
  };
}

/** What a change of the costing method made of the lot: no hay moved, and no record did it. */
function changeLines(
  { changeId, on, lots, recordedAt }: ToldMethodChange,
  lotId: string,
  movements: readonly RankedLine[],
  { units, timeZone }: { units: UnitSystem; timeZone: string },
): RankedLine[] {
  const before = movements.filter((line) => line.effectiveOn < on).at(-1);
  return lots
    .filter((one) => one.lotId === lotId)
    .map(({ amount }) => ({
      rank: BEGIN_OF_DAY_RANK,
      movementId: changeId,
      kind: 'costing-method-change',
      effectiveOn: on,
      effectiveAt: startOfDayIn(timeZone, on).toISOString(),
      change: null,
      balanceAfter: before?.balanceAfter ?? formatMass(Mass.zero, units, 'large'),
      source: { kind: 'book-closing', id: changeId },
      herdId: null,
      reversesId: null,
      reason: null,
      recordedAt,
      recordedBy: null,
      cost: formatMoney(amount),
      unitCost: null,
    }));
}

/** By day, and within a day by rank. */
function inCountingOrder(one: RankedLine, other: RankedLine): number {
  return compareDays(one.effectiveOn, other.effectiveOn) || one.rank - other.rank;
}

/** @param method undefined where the reader does not see prices. */
function cardFlags(method: CostingMethod | undefined): Flag[] {
  if (method === undefined)
    return [{ code: 'prices-hidden', message: 'This reader does not see prices; costs are left out.' }];
  if (method === 'specific-lot') return [];
  return [
    {
      code: 'value-shared-by-kind',
      message: `Under ${method} the lot's value is its share, by mass, of the value of its kind.`,
    },
  ];
}
