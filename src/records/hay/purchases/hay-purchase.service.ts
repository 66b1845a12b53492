import { Injectable } from '@nestjs/common';
import { type LandedCost, landedCost } from '../../../core/stock/landed-cost.js';
import { Mass } from '../../../core/units/mass.js';
import { type Currency, Money } from '../../../core/units/money.js';
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
import type { RecordReference } from '../../../platform/wire/record-kinds.data.js';
import { cautionAnswer } from '../../kit/caution.schema.js';
import { HayLotRead, type HayLotRow } from '../lots/hay-lot.read.js';
import { HayLotStore } from '../lots/hay-lot.store.js';
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
import { doubtTicketNumber } from '../stock/ticket-number.read.js';
import { type HayPurchasePriceRow, HayPurchaseRead, type HayPurchaseRow } from './hay-purchase.read.js';
import type * as api from './hay-purchase.schema.js';
import { HayPurchaseStore } from './hay-purchase.store.js';
import { ticketCautions } from '../observations/ticket-cautions.js';
import { massOf, priceOf, ticketColumns, TICKET_POINTERS, typedPrice, weighingOf, weightReceived } from './ticket.js';

type Body = InputOf<typeof api.createHayPurchase>['body'];
type Answer = AnswerOf<typeof api.getHayPurchase>;

/** A ticket brings hay into a lot at a landed cost; both are booked in one transaction. */
@Injectable()
export class HayPurchaseService {
  constructor(
    private readonly purchases: HayPurchaseRead,
    private readonly store: HayPurchaseStore,
    private readonly lots: HayLotRead,
    private readonly lotStore: HayLotStore,
    private readonly ranches: RanchRead,
    private readonly stock: StockStore,
    private readonly lateCosts: LateCostRead,
    private readonly movedBills: MovedBillsService,
    private readonly reversals: Reversals,
    private readonly heldCounts: HeldCountsRead,
  ) {}

  async create(tenant: OperationTenant, { query, body }: InputOf<typeof api.createHayPurchase>): Promise<Answer> {
    return this.record(tenant, body, query.units);
  }

  /** Writes one ticket inside an open transaction; used for single entries, accepted offers and imports alike. */
  async record(tenant: OperationTenant, body: Body, units: UnitSystem | undefined, quoteId?: string): Promise<Answer> {
    const currency = asCurrency(tenant.operation.currency);
    const posting = await postingDay(tenant, {
      statedOn: body.purchasedOn,
      postTo: body.postTo,
      pointer: '#/purchasedOn',
    });
    const received = weightReceived(body);
    const cost = costOf(body, received.mass, currency);
    const lot = await this.lotStore.oneOr(tenant, body.lot, 'purchased');
    checkMass(tenant, { ...massOf(body, received.mass), lot });
    checkPrices(tenant, {
      mass: received.mass,
      hayKind: lot.hay_kind,
      price: { money: cost.hay, pointer: '#/price/amount' },
      charges: [
        { money: cost.freight, pointer: '#/freight' },
        { money: cost.charges, pointer: '#/charges' },
      ],
    });
    await doubtTicketNumber(tenant, 'hay_purchase', { ...body, party: body.vendor });
    const { row, price } = await this.store.insert(
      tenant,
      {
        hay_lot_id: lot.id,
        vendor: body.vendor,
        ticket_number: body.ticketNumber ?? null,
        happened_on: posting.on,
        ...ticketColumns(body, received),
      },
      {
        ...typedPrice(body.price),
        hay_amount: cost.hay.amount.toFixed(),
        freight_amount: cost.freight.amount.toFixed(),
        charges_amount: cost.charges.amount.toFixed(),
        freight_value: body.freight ?? null,
        charges_value: body.charges ?? null,
        currency,
      },
      quoteId,
    );
    const source = { kind: 'hay-purchase', id: row.id } as const;
    await notePosting(tenant, source, posting, body.correctsId);
    await this.#intoLot(tenant, { lot, received, cost, on: posting.on, source });
    await tenant.audit({ action: 'hay-purchase.create', subjectKind: 'hay-purchase', subjectId: row.id, after: row });
    const shown = tenant.may('prices', tenant.operationId) ? price : undefined;
    return {
      ...answerFrom(
        row,
        shown,
        {
          lot,
          quoteId: quoteId ?? null,
          postedLate: postedLate(posting, body.correctsId),
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
    { query }: InputOf<typeof api.listHayPurchases>,
  ): Promise<AnswerOf<typeof api.listHayPurchases>> {
    const rows = await this.purchases.page(tenant, query);
    const write = await this.#writer(tenant, rows, query.units);
    return pageOf(rows, query.limit, write, (row) => [row.happened_on, row.id]);
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getHayPurchase>): Promise<Answer> {
    const row = await this.purchases.one(tenant, params.hayPurchaseId);
    return (await this.#writer(tenant, [row], query.units))(row);
  }

  /** What was drawn since leans on the hay, so what is right comes in before the mistake goes out. */
  async correct(
    tenant: OperationTenant,
    { params, query, body: { reason, entry } }: InputOf<typeof api.correctHayPurchase>,
  ): Promise<AnswerOf<typeof api.correctHayPurchase>> {
    const { operationId, hayPurchaseId } = params;
    const wrong = await this.purchases.one(tenant, hayPurchaseId);
    await this.stock.hold(tenant, [wrong.hay_lot_id, ...('id' in entry.lot ? [entry.lot.id] : [])]);
    const mistake = { kind: 'hay-purchase', id: hayPurchaseId } as const;
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
          pointers: { day: '#/entry/purchasedOn', money: '#/entry/price/amount' },
        });
        return this.reverse(tenant, { params, query, body });
      },
    });
    const answer = await this.get(tenant, { params: { operationId, hayPurchaseId: made.entry.id }, query });
    return { ...made, entry: { ...answer, confirmed: made.entry.confirmed }, billsMoved };
  }

  async reverse(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.reverseHayPurchase>,
  ): Promise<AnswerOf<typeof api.reverseHayPurchase>> {
    const row = await this.purchases.one(tenant, params.hayPurchaseId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'hay-purchase', id: row.id, happenedOn: row.happened_on },
      body,
      async (answerFrom) => {
        await this.stock.reverse(
          tenant,
          { kind: 'hay-purchase', id: row.id },
          { id: answerFrom.id, on: answerFrom.effective_on, reason: body.reason },
        );
        await this.lateCosts.refuseWhileStanding(tenant, { kind: 'hay-purchase', id: row.id }, answerFrom.effective_on);
      },
    );
    const heldCounts = await this.heldCounts.byReversal(tenant, reversal.id, query.units);
    return { ...receiptReversalAnswer(reversal, row.happened_on), heldCounts };
  }

  /** Enters the hay in its lot's ledger, with its cost on that movement. */
  async #intoLot(tenant: OperationTenant, { lot, received, cost, on, source }: Receipt): Promise<void> {
    const [movementId] = await this.stock.add(tenant, [
      {
        lotId: lot.id,
        kind: 'purchase',
        change: received.mass,
        typedValue: received.value,
        typedUnit: received.unit,
        on,
        timeZone: await this.ranches.timeZone(tenant, lot.ranch_id),
        ranchId: lot.ranch_id,
        placeId: lot.place_id,
        source,
      },
    ]);
    if (movementId === undefined) throw new RangeError('The movement that was just written did not come back');
    const costs = [
      ['price', cost.hay],
      ['freight', cost.freight],
      ['charges', cost.charges],
    ] as const;
    await this.stock.addCosts(
      tenant,
      costs.map(([kind, amount]) => ({ lotId: lot.id, movementId, kind, amount, on, source })),
    );
  }

  async #writer(
    tenant: OperationTenant,
    rows: readonly HayPurchaseRow[],
    asked: UnitSystem | undefined,
  ): Promise<(row: HayPurchaseRow) => Answer> {
    const ids = rows.map((row) => row.id);
    const prices = await this.purchases.prices(tenant, ids);
    const lots = await this.lots.named(
      tenant,
      rows.map((row) => ({ id: row.hay_lot_id, pointer: '#' })),
    );
    const reversals = await this.reversals.of(tenant, ids);
    const quoteOf = await this.purchases.offersTaken(tenant, ids);
    const late = await latePostings(tenant, ids);
    const confirmed = await confirmedOf(tenant, ids);
    const held = await this.heldCounts.by(tenant, ids, asked);
    return (row) => ({
      ...answerFrom(
        row,
        prices.get(row.id),
        {
          lot: lots.get(row.hay_lot_id),
          quoteId: quoteOf.get(row.id) ?? null,
          postedLate: postedLateAnswer(late.get(row.id)),
          held: held(row.id),
        },
        reversals.get(row.id),
        asked ?? tenant.operation.unitPreference,
      ),
      confirmed: confirmed(row.id),
    });
  }
}

interface Receipt {
  lot: HayLotRow;
  received: ReturnType<typeof weightReceived>;
  cost: LandedCost;
  on: string;
  source: RecordReference;
}

/** Landed cost of the load. @throws Problem where it cannot be computed, pointing at the ticket's own fields. */
function costOf(body: Body, received: Mass, currency: Currency): LandedCost {
  const cost = landedCost({
    price: priceOf(body.price, currency),
    weightReceived: received,
    currency,
    ...(body.baleCount === undefined ? {} : { bales: body.baleCount }),
    ...(body.freight === undefined ? {} : { freight: Money.of(body.freight, currency) }),
    ...(body.charges === undefined ? {} : { charges: Money.of(body.charges, currency) }),
  });
  if (!cost.ok) throw problemOfCore(cost.problems, (field) => TICKET_POINTERS[field] ?? `#/${field}`);
  return cost;
}

interface Around {
  held: HeldCount[];
  lot: HayLotRow | undefined;
  quoteId: string | null;
  postedLate: Answer['postedLate'];
}

function answerFrom(
  row: HayPurchaseRow,
  price: HayPurchasePriceRow | undefined,
  { lot, quoteId, postedLate: late, held }: Around,
  reversal: ReversalRow | undefined,
  units: UnitSystem,
): Omit<Answer, 'confirmed'> {
  const currency = price === undefined ? undefined : asCurrency(price.currency);
  const money = (amount: string | undefined): ReturnType<typeof formatMoney> | null =>
    currency === undefined || amount === undefined ? null : formatMoney(Money.of(amount, currency));
  const landed =
    price === undefined || currency === undefined
      ? undefined
      : Money.of(price.hay_amount, currency)
          .plus(Money.of(price.freight_amount, currency))
          .plus(Money.of(price.charges_amount, currency));
  return {
    id: row.id,
    hayLotId: row.hay_lot_id,
    vendor: row.vendor,
    ticketNumber: row.ticket_number,
    purchasedOn: row.happened_on,
    baleCount: row.bale_count,
    weight: formatTypedMass(row.weight_kg, row.weight_value, row.weight_unit, units, 'large'),
    weightTyped: row.weight_typed as Answer['weightTyped'],
    weightBasis: row.weight_basis,
    weighing: weighingOf(row, units),
    moisturePercent: row.moisture_pct,
    price: price === undefined ? null : { basis: price.basis, amount: price.price_value, per: price.price_unit },
    hayCost: money(price?.hay_amount),
    freight: money(price?.freight_amount),
    freightTyped: price?.freight_value ?? null,
    charges: money(price?.charges_amount),
    chargesTyped: price?.charges_value ?? null,
    landedCost: landed === undefined ? null : formatMoney(landed),
    landedPrice: landed === undefined ? null : formatPrice(landed.per(Mass.kilograms(row.weight_kg)), units),
    quoteId,
    postedLate: late,
    heldCounts: held,
    cautions: ticketCautions('bought', row, late, lot).map((one) => cautionAnswer(one, units)),
    lotCautions: null,
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
