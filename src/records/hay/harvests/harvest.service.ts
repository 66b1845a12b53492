import { Injectable } from '@nestjs/common';
import { landedCost } from '../../../core/stock/landed-cost.js';
import { Mass } from '../../../core/units/mass.js';
import { Money } from '../../../core/units/money.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { problemOfCore } from '../../../platform/http/core-problems.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import {
  asCurrency,
  type UnitSystem,
  formatMoney,
  formatPrice,
  formatTypedMass,
} from '../../../platform/wire/quantity.schema.js';
import { cautionAnswer } from '../../kit/caution.schema.js';
import { HayLotRead, type HayLotRow } from '../lots/hay-lot.read.js';
import { HayLotStore } from '../lots/hay-lot.store.js';
import { ticketCautions } from '../observations/ticket-cautions.js';
import {
  priceOf,
  ticketColumns,
  TICKET_POINTERS,
  typedPrice,
  weighingOf,
  massOf,
  weightReceived,
} from '../purchases/ticket.js';
import { LateCostRead } from '../late-costs/late-cost.read.js';
import { MovedBillsService } from '../late-costs/moved-bills.service.js';
import { RanchRead } from '../../yard/ranches/ranch.read.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { confirmedOf, doubtsConfirmed } from '../../kit/confirmed.read.js';
import { corrected } from '../../kit/correction.store.js';
import { Reversals } from '../../kit/reversal.store.js';
import { receiptReversalAnswer, reversalAnswer } from '../../kit/reversal.schema.js';
import { latePostings, postingDay } from '../../kit/posting.read.js';
import { notePosting } from '../../kit/posting.store.js';
import { postedLate, postedLateAnswer } from '../../kit/posting.schema.js';
import { checkMass } from '../stock/hay-mass.js';
import { checkPrices } from '../stock/price-fit.js';
import { HeldCountsRead } from '../stock/held-counts.read.js';
import type { HeldCount } from '../stock/held-counts.schema.js';
import { StockStore } from '../stock/stock.store.js';
import { type HarvestCostRow, HarvestRead, type HarvestRow } from './harvest.read.js';
import type * as api from './harvest.schema.js';
import { HarvestStore } from './harvest.store.js';

type Body = InputOf<typeof api.createHarvest>['body'];
type Answer = AnswerOf<typeof api.getHarvest>;

/** Raised hay is taken into the books at its cost of production. */
@Injectable()
export class HarvestService {
  constructor(
    private readonly harvests: HarvestRead,
    private readonly store: HarvestStore,
    private readonly lots: HayLotRead,
    private readonly lotStore: HayLotStore,
    private readonly ranches: RanchRead,
    private readonly stock: StockStore,
    private readonly lateCosts: LateCostRead,
    private readonly movedBills: MovedBillsService,
    private readonly reversals: Reversals,
    private readonly heldCounts: HeldCountsRead,
  ) {}

  async create(tenant: OperationTenant, { query, body }: InputOf<typeof api.createHarvest>): Promise<Answer> {
    return this.record(tenant, body, query.units);
  }

  /** Writes one harvest inside an open transaction. */
  async record(tenant: OperationTenant, body: Body, units: UnitSystem | undefined): Promise<Answer> {
    const currency = asCurrency(tenant.operation.currency);
    const posting = await postingDay(tenant, {
      statedOn: body.harvestedOn,
      postTo: body.postTo,
      pointer: '#/harvestedOn',
    });
    const received = weightReceived(body);
    const cost = landedCost({
      price: priceOf(body.cost, currency),
      weightReceived: received.mass,
      currency,
      ...(body.baleCount === undefined ? {} : { bales: body.baleCount }),
    });
    if (!cost.ok)
      throw problemOfCore(cost.problems, (field) =>
        field === 'price' ? '#/cost/amount' : (TICKET_POINTERS[field] ?? `#/${field}`),
      );
    const lot = await this.lotStore.oneOr(
      tenant,
      'id' in body.lot ? body.lot : { ...body.lot, harvestedOn: body.lot.harvestedOn ?? body.harvestedOn },
      'raised',
    );
    checkMass(tenant, { ...massOf(body, received.mass), lot });
    checkPrices(tenant, {
      mass: received.mass,
      hayKind: lot.hay_kind,
      price: { money: cost.hay, pointer: '#/cost/amount' },
    });
    const { row, cost: costRow } = await this.store.insert(
      tenant,
      { hay_lot_id: lot.id, field: body.field ?? null, happened_on: posting.on, ...ticketColumns(body, received) },
      { ...typedPrice(body.cost), amount: cost.hay.amount.toFixed(), currency },
    );
    const source = { kind: 'harvest', id: row.id } as const;
    await notePosting(tenant, source, posting, body.correctsId);
    const [movementId] = await this.stock.add(tenant, [
      {
        lotId: lot.id,
        kind: 'harvest',
        change: received.mass,
        typedValue: received.value,
        typedUnit: received.unit,
        on: posting.on,
        timeZone: await this.ranches.timeZone(tenant, lot.ranch_id),
        ranchId: lot.ranch_id,
        placeId: lot.place_id,
        source,
      },
    ]);
    if (movementId === undefined) throw new RangeError('The movement that was just written did not come back');
    await this.stock.addCosts(tenant, [
      { lotId: lot.id, movementId, kind: 'production', amount: cost.hay, on: posting.on, source },
    ]);
    await tenant.audit({ action: 'harvest.create', subjectKind: 'harvest', subjectId: row.id, after: row });
    return {
      ...answerFrom(
        row,
        tenant.may('prices', tenant.operationId) ? costRow : undefined,
        lot,
        {
          late: postedLate(posting, body.correctsId),
          held: (await this.heldCounts.by(tenant, [row.id], units))(row.id),
        },
        undefined,
        units ?? tenant.operation.unitPreference,
      ),
      confirmed: doubtsConfirmed(tenant, source, posting.on),
    };
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listHarvests>,
  ): Promise<AnswerOf<typeof api.listHarvests>> {
    const rows = await this.harvests.page(tenant, query);
    return pageOf(rows, query.limit, await this.#writer(tenant, rows, query.units), (row) => [row.happened_on, row.id]);
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getHarvest>): Promise<Answer> {
    const row = await this.harvests.one(tenant, params.harvestId);
    return (await this.#writer(tenant, [row], query.units))(row);
  }

  /** What was drawn since leans on the hay, so what is right comes in before the mistake goes out. */
  async correct(
    tenant: OperationTenant,
    { params, query, body: { reason, entry } }: InputOf<typeof api.correctHarvest>,
  ): Promise<AnswerOf<typeof api.correctHarvest>> {
    const { operationId, harvestId } = params;
    const wrong = await this.harvests.one(tenant, harvestId);
    await this.stock.hold(tenant, [wrong.hay_lot_id, ...('id' in entry.lot ? [entry.lot.id] : [])]);
    const mistake = { kind: 'harvest', id: harvestId } as const;
    const body = { reason, postTo: entry.postTo };
    let billsMoved: Awaited<ReturnType<MovedBillsService['move']>> = [];
    const made = await corrected(tenant, mistake, {
      first: 'right in',
      enter: (correctsId) => this.record(tenant, { ...entry, correctsId }, query.units),
      reverse: async (right) => {
        billsMoved = await this.movedBills.move(tenant, {
          kind: mistake.kind,
          wrongId: mistake.id,
          rightId: right?.id ?? '',
          body,
          pointers: { day: '#/entry/harvestedOn', money: '#/entry/cost/amount' },
        });
        return this.reverse(tenant, { params, query, body });
      },
    });
    const answer = await this.get(tenant, { params: { operationId, harvestId: made.entry.id }, query });
    return { ...made, entry: { ...answer, confirmed: made.entry.confirmed }, billsMoved };
  }

  async reverse(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.reverseHarvest>,
  ): Promise<AnswerOf<typeof api.reverseHarvest>> {
    const row = await this.harvests.one(tenant, params.harvestId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'harvest', id: row.id, happenedOn: row.happened_on },
      body,
      async (answerFrom) => {
        await this.stock.reverse(
          tenant,
          { kind: 'harvest', id: row.id },
          { id: answerFrom.id, on: answerFrom.effective_on, reason: body.reason },
        );
        await this.lateCosts.refuseWhileStanding(tenant, { kind: 'harvest', id: row.id }, answerFrom.effective_on);
      },
    );
    const heldCounts = await this.heldCounts.byReversal(tenant, reversal.id, query.units);
    return { ...receiptReversalAnswer(reversal, row.happened_on), heldCounts };
  }

  async #writer(
    tenant: OperationTenant,
    rows: readonly HarvestRow[],
    units: UnitSystem | undefined,
  ): Promise<(row: HarvestRow) => Answer> {
    const ids = rows.map((row) => row.id);
    const costs = await this.harvests.costs(tenant, ids);
    const lots = await this.lots.named(
      tenant,
      rows.map((row) => ({ id: row.hay_lot_id, pointer: '#' })),
    );
    const reversals = await this.reversals.of(tenant, ids);
    const late = await latePostings(tenant, ids);
    const confirmed = await confirmedOf(tenant, ids);
    const held = await this.heldCounts.by(tenant, ids, units);
    return (row) => ({
      ...answerFrom(
        row,
        costs.get(row.id),
        lots.get(row.hay_lot_id),
        { late: postedLateAnswer(late.get(row.id)), held: held(row.id) },
        reversals.get(row.id),
        units ?? tenant.operation.unitPreference,
      ),
      confirmed: confirmed(row.id),
    });
  }
}

function answerFrom(
  row: HarvestRow,
  cost: HarvestCostRow | undefined,
  lot: HayLotRow | undefined,
  { late, held }: { late: Answer['postedLate']; held: HeldCount[] },
  reversal: ReversalRow | undefined,
  units: UnitSystem,
): Omit<Answer, 'confirmed'> {
  const money = cost === undefined ? undefined : Money.of(cost.amount, asCurrency(cost.currency));
  return {
    id: row.id,
    hayLotId: row.hay_lot_id,
    field: row.field,
    harvestedOn: row.happened_on,
    baleCount: row.bale_count,
    weight: formatTypedMass(row.weight_kg, row.weight_value, row.weight_unit, units, 'large'),
    weightTyped: row.weight_typed as Answer['weightTyped'],
    weightBasis: row.weight_basis,
    weighing: weighingOf(row, units),
    moisturePercent: row.moisture_pct,
    cost: cost === undefined ? null : { basis: cost.basis, amount: cost.price_value, per: cost.price_unit },
    costOfProduction: money === undefined ? null : formatMoney(money),
    costPerMass: money === undefined ? null : formatPrice(money.per(Mass.kilograms(row.weight_kg)), units),
    postedLate: late,
    heldCounts: held,
    cautions: ticketCautions('raised', row, late, lot).map((one) => cautionAnswer(one, units)),
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
