import { Injectable } from '@nestjs/common';
import { landedCost } from '../../../core/stock/landed-cost.js';
import type { Mass } from '../../../core/units/mass.js';
import { type Currency, Money } from '../../../core/units/money.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { problemOfCore } from '../../../platform/http/core-problems.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { newId } from '../../../platform/identifiers.js';
import { asCurrency, type UnitSystem, formatMoney, formatTypedMass } from '../../../platform/wire/quantity.schema.js';
import { HayLotRead, type HayLotRow } from '../lots/hay-lot.read.js';
import { priceOf, typedPrice } from '../purchases/ticket.js';
import { RanchRead } from '../../yard/ranches/ranch.read.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { confirmedOf, doubtsConfirmed } from '../../kit/confirmed.read.js';
import { corrected } from '../../kit/correction.store.js';
import { Reversals } from '../../kit/reversal.store.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import { StockCountRead } from '../stock-counts/stock-count.read.js';
import { StockCountStore } from '../stock-counts/stock-count.store.js';
import { type Quantity, quantityOf } from '../stock/drawn-quantity.js';
import { latePostings, postingDay } from '../../kit/posting.read.js';
import { notePosting } from '../../kit/posting.store.js';
import { postedLate, postedLateAnswer } from '../../kit/posting.schema.js';
import { StockRead } from '../stock/stock.read.js';
import { checkMass } from '../stock/hay-mass.js';
import { checkPrices } from '../stock/price-fit.js';
import { HeldCountsRead } from '../stock/held-counts.read.js';
import type { HeldCount } from '../stock/held-counts.schema.js';
import { StockStore } from '../stock/stock.store.js';
import { doubtTicketNumber } from '../stock/ticket-number.read.js';
import { type HaySalePriceRow, HaySaleRead, type HaySaleRow } from './hay-sale.read.js';
import type * as api from './hay-sale.schema.js';
import { HaySaleStore } from './hay-sale.store.js';

type Body = InputOf<typeof api.createHaySale>['body'];
type Answer = AnswerOf<typeof api.getHaySale>;

/** Hay that leaves the ranch for money. */
@Injectable()
export class HaySaleService {
  constructor(
    private readonly sales: HaySaleRead,
    private readonly store: HaySaleStore,
    private readonly lots: HayLotRead,
    private readonly ranches: RanchRead,
    private readonly stock: StockStore,
    private readonly stockRead: StockRead,
    private readonly counts: StockCountRead,
    private readonly countStore: StockCountStore,
    private readonly reversals: Reversals,
    private readonly heldCounts: HeldCountsRead,
  ) {}

  async create(tenant: OperationTenant, { query, body }: InputOf<typeof api.createHaySale>): Promise<Answer> {
    return this.record(tenant, body, query.units);
  }

  /** Writes one sale inside an open transaction. */
  async record(tenant: OperationTenant, body: Body, units: UnitSystem | undefined): Promise<Answer> {
    const currency = asCurrency(tenant.operation.currency);
    const lot = await this.lots.one(tenant, body.hayLotId);
    const timeZone = await this.ranches.timeZone(tenant, lot.ranch_id);
    const posting = await postingDay(tenant, { statedOn: body.soldOn, postTo: body.postTo, pointer: '#/soldOn' });
    const quantity = await quantityOf(tenant, this.stockRead, lot.id, body.quantity, '#/quantity');
    const proceeds = proceedsOf(body.price, quantity, currency);
    checkSold(tenant, { mass: quantity.mass, lot, proceeds });
    await doubtTicketNumber(tenant, 'hay_sale', { ...body, party: body.buyer });
    const id = newId();
    const source = { kind: 'hay-sale', id } as const;
    await this.stock.hold(tenant, [lot.id]);
    const count = await this.countStore.confirm(tenant, body.confirmedCount, {
      lot,
      timeZone,
      on: posting.on,
      ...source,
      pointer: '#/confirmedCount',
    });
    const { row, price } = await this.store.insert(
      tenant,
      id,
      {
        hay_lot_id: lot.id,
        buyer: body.buyer,
        ticket_number: body.ticketNumber ?? null,
        happened_on: posting.on,
        bale_count: quantity.bales,
        weight_kg: quantity.mass.kilograms.toFixed(),
        weight_value: quantity.value,
        weight_unit: quantity.unit,
        weight_typed: JSON.stringify(body.quantity),
        note: body.note ?? null,
      },
      { ...typedPrice(body.price), proceeds_amount: proceeds.amount.toFixed(), currency },
    );
    await notePosting(tenant, source, posting, body.correctsId);
    await this.stock.add(tenant, [
      {
        lotId: lot.id,
        kind: 'sale',
        change: quantity.mass.negated(),
        typedValue: `-${quantity.value}`,
        typedUnit: quantity.unit,
        on: posting.on,
        timeZone,
        ranchId: lot.ranch_id,
        placeId: lot.place_id,
        source,
      },
    ]);
    await tenant.audit({
      action: 'hay-sale.create',
      subjectKind: 'hay-sale',
      subjectId: id,
      after: { ...row, confirmedCount: count?.id ?? null },
    });
    return {
      ...answerFrom(
        row,
        tenant.may('prices', tenant.operationId) ? price : undefined,
        count?.id ?? null,
        { late: postedLate(posting, body.correctsId), held: (await this.heldCounts.by(tenant, [id], units))(id) },
        undefined,
        units ?? tenant.operation.unitPreference,
      ),
      confirmed: doubtsConfirmed(tenant, source, posting.on),
    };
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listHaySales>,
  ): Promise<AnswerOf<typeof api.listHaySales>> {
    const rows = await this.sales.page(tenant, query);
    return pageOf(rows, query.limit, await this.#writer(tenant, rows, query.units), (row) => [row.happened_on, row.id]);
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getHaySale>): Promise<Answer> {
    const row = await this.sales.one(tenant, params.haySaleId);
    return (await this.#writer(tenant, [row], query.units))(row);
  }

  /** The hay comes back before it is drawn again: there may be no more of it. */
  correct(
    tenant: OperationTenant,
    { params, query, body: { reason, entry } }: InputOf<typeof api.correctHaySale>,
  ): Promise<AnswerOf<typeof api.correctHaySale>> {
    return corrected(
      tenant,
      { kind: 'hay-sale', id: params.haySaleId },
      {
        reverse: () => this.reverse(tenant, { params, query, body: { reason, postTo: entry.postTo } }),
        enter: (correctsId) => this.record(tenant, { ...entry, correctsId }, query.units),
      },
    );
  }

  async reverse(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.reverseHaySale>,
  ): Promise<AnswerOf<typeof api.reverseHaySale>> {
    const row = await this.sales.one(tenant, params.haySaleId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'hay-sale', id: row.id, happenedOn: row.happened_on },
      body,
      (answerFrom) =>
        this.stock.reverse(
          tenant,
          { kind: 'hay-sale', id: row.id },
          { id: answerFrom.id, on: answerFrom.effective_on, reason: body.reason },
        ),
    );
    return {
      ...reversalAnswer(reversal),
      heldCounts: await this.heldCounts.byReversal(tenant, reversal.id, query.units),
    };
  }

  async #writer(
    tenant: OperationTenant,
    rows: readonly HaySaleRow[],
    units: UnitSystem | undefined,
  ): Promise<(row: HaySaleRow) => Answer> {
    const ids = rows.map((row) => row.id);
    const prices = await this.sales.prices(tenant, ids);
    const counts = await this.counts.ofDraws(tenant, ids);
    const reversals = await this.reversals.of(tenant, ids);
    const late = await latePostings(tenant, ids);
    const confirmed = await confirmedOf(tenant, ids);
    const held = await this.heldCounts.by(tenant, ids, units);
    return (row) => ({
      ...answerFrom(
        row,
        prices.get(row.id),
        counts.get(row.id)?.[0] ?? null,
        { late: postedLateAnswer(late.get(row.id)), held: held(row.id) },
        reversals.get(row.id),
        units ?? tenant.operation.unitPreference,
      ),
      confirmed: confirmed(row.id),
    });
  }
}

/** @throws Problem where nobody sells so much, or for so much; doubts the unlikely */
function checkSold(
  tenant: OperationTenant,
  { mass, lot, proceeds }: { mass: Mass; lot: HayLotRow; proceeds: Money },
): void {
  checkMass(tenant, { mass, lot, pointer: '#/quantity' });
  checkPrices(tenant, { mass, hayKind: lot.hay_kind, price: { money: proceeds, pointer: '#/price/amount' } });
}

/**
 * Money for hay is price times weight or bales, in either direction: the same arithmetic as on a ticket for hay bought.
 * @throws Problem where the price cannot be applied to this quantity.
 */
function proceedsOf(price: Body['price'], quantity: Quantity, currency: Currency): Money {
  if (price.basis === 'per-bale') refuseUnlessWholeBales(quantity);
  const bales = quantity.bales === null ? undefined : Number(quantity.bales);
  const worth = landedCost({
    price: priceOf(price, currency),
    weightReceived: quantity.mass,
    currency,
    ...(bales === undefined || !Number.isInteger(bales) ? {} : { bales }),
  });
  if (!worth.ok)
    throw problemOfCore(worth.problems, (field) => (field === 'bales' ? '#/quantity/bales' : '#/price/amount'));
  return worth.hay;
}

function refuseUnlessWholeBales({ bales }: Quantity): void {
  if (bales === null)
    throw ruleBroken(
      '#/price/basis',
      'bales-missing',
      'per-bale',
      'a quantity in bales',
      'A price per bale needs the number of bales sold.',
    );
  if (!Number.isInteger(Number(bales)))
    throw ruleBroken(
      '#/quantity/bales',
      'bales-not-whole',
      bales,
      'whole bales',
      'A price per bale needs whole bales.',
    );
}

function answerFrom(
  row: HaySaleRow,
  price: HaySalePriceRow | undefined,
  countId: string | null,
  { late, held }: { late: Answer['postedLate']; held: HeldCount[] },
  reversal: ReversalRow | undefined,
  units: UnitSystem,
): Omit<Answer, 'confirmed'> {
  return {
    id: row.id,
    hayLotId: row.hay_lot_id,
    buyer: row.buyer,
    ticketNumber: row.ticket_number,
    soldOn: row.happened_on,
    baleCount: row.bale_count,
    weight: formatTypedMass(row.weight_kg, row.weight_value, row.weight_unit, units, 'large'),
    quantityTyped: row.weight_typed as Answer['quantityTyped'],
    price: price === undefined ? null : { basis: price.basis, amount: price.price_value, per: price.price_unit },
    proceeds: price === undefined ? null : formatMoney(Money.of(price.proceeds_amount, asCurrency(price.currency))),
    countId,
    postedLate: late,
    heldCounts: held,
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
