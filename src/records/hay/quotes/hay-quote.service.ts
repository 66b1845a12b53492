import { Injectable } from '@nestjs/common';
import { isOtherFeed } from '../../../core/feeds/other-feeds.data.js';
import { type LandedCost, landedCost } from '../../../core/stock/landed-cost.js';
import { Mass } from '../../../core/units/mass.js';
import { Money } from '../../../core/units/money.js';
import { dayIn } from '../../../platform/clock.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { problemOfCore } from '../../../platform/http/core-problems.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../../platform/http/problem.js';
import {
  asCurrency,
  type UnitSystem,
  formatMoney,
  formatPrice,
  formatTypedMass,
} from '../../../platform/wire/quantity.schema.js';
import { HayPurchaseService } from '../purchases/hay-purchase.service.js';
import { checkMass } from '../stock/hay-mass.js';
import { checkPrices } from '../stock/price-fit.js';
import { massOf, priceAsStated, priceOf, TICKET_POINTERS, typedPrice, weightReceived } from '../purchases/ticket.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { checkDay } from '../../kit/happened.read.js';
import { confirmedOf, doubtsConfirmed } from '../../kit/confirmed.read.js';
import { Reversals } from '../../kit/reversal.store.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import { deliveredCostOf, HayQuoteRead, type HayQuotePriceRow, type HayQuoteRow } from './hay-quote.read.js';
import type * as api from './hay-quote.schema.js';
import { HayQuoteStore } from './hay-quote.store.js';

type Answer = AnswerOf<typeof api.getHayQuote>;

/** Offers are recorded for comparison; one of them may become a ticket. */
@Injectable()
export class HayQuoteService {
  constructor(
    private readonly quotes: HayQuoteRead,
    private readonly store: HayQuoteStore,
    private readonly tickets: HayPurchaseService,
    private readonly reversals: Reversals,
  ) {}

  async create(tenant: OperationTenant, { query, body }: InputOf<typeof api.createHayQuote>): Promise<Answer> {
    const currency = asCurrency(tenant.operation.currency);
    if (body.validUntil !== undefined && body.validUntil < body.offeredOn)
      throw ruleBroken(
        '#/validUntil',
        'span-reversed',
        body.validUntil,
        `${body.offeredOn} or later`,
        'An offer cannot lapse before it is made.',
      );
    const offered = weightReceived(body);
    const cost = landedCost({
      price: priceOf(body.price, currency),
      weightReceived: offered.mass,
      currency,
      ...(body.baleCount === undefined ? {} : { bales: body.baleCount }),
      ...(body.freight === undefined ? {} : { freight: Money.of(body.freight, currency) }),
      ...(body.charges === undefined ? {} : { charges: Money.of(body.charges, currency) }),
    });
    if (!cost.ok) throw problemOfCore(cost.problems, (field) => TICKET_POINTERS[field] ?? `#/${field}`);
    await checkDay(tenant, { day: body.offeredOn, pointer: '#/offeredOn' });
    checkOffered(tenant, body, offered.mass, cost);
    const { row, price } = await this.store.insert(
      tenant,
      {
        vendor: body.vendor,
        happened_on: body.offeredOn,
        valid_until: body.validUntil ?? null,
        name: body.name,
        category: isOtherFeed(body.hayKind) ? 'other' : 'hay',
        hay_kind: body.hayKind,
        cutting: body.cutting ?? null,
        harvested_on: body.harvestedOn ?? null,
        bale_form: body.baleForm,
        bale_count: body.baleCount ?? null,
        weight_kg: offered.mass.kilograms.toFixed(),
        weight_value: offered.value,
        weight_unit: offered.unit,
        weight_typed: JSON.stringify(body.weight),
        note: body.note ?? null,
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
    );
    await tenant.audit({ action: 'hay-quote.create', subjectKind: 'hay-quote', subjectId: row.id, after: row });
    return {
      ...answerFrom(
        row,
        tenant.may('prices', tenant.operationId) ? price : undefined,
        [],
        undefined,
        today(tenant),
        query.units ?? tenant.operation.unitPreference,
      ),
      confirmed: doubtsConfirmed(tenant, { kind: 'hay-quote', id: row.id }, row.happened_on),
    };
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listHayQuotes>,
  ): Promise<AnswerOf<typeof api.listHayQuotes>> {
    const rows = await this.quotes.page(tenant, query);
    return pageOf(rows, query.limit, await this.#writer(tenant, rows, query.units), (row) => [row.happened_on, row.id]);
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getHayQuote>): Promise<Answer> {
    const row = await this.quotes.one(tenant, params.hayQuoteId);
    return (await this.#writer(tenant, [row], query.units))(row);
  }

  async reverse(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.reverseHayQuote>,
  ): Promise<AnswerOf<typeof api.reverseHayQuote>> {
    const row = await this.quotes.one(tenant, params.hayQuoteId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'hay-quote', id: row.id, happenedOn: row.happened_on },
      body,
    );
    return reversalAnswer(reversal);
  }

  async purchase(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.purchaseFromHayQuote>,
  ): Promise<AnswerOf<typeof api.purchaseFromHayQuote>> {
    await this.store.hold(tenant, params.hayQuoteId);
    const quote = await this.quotes.one(tenant, params.hayQuoteId);
    if (!tenant.may('prices', tenant.operationId))
      throw new Problem('not-permitted', 'The price comes from the offer; that needs the permission "prices".');
    const price = (await this.quotes.prices(tenant, [quote.id])).get(quote.id);
    if (price === undefined) throw new RangeError(`Offer ${quote.id} has no price`);
    if ((await this.reversals.of(tenant, [quote.id])).has(quote.id))
      throw new Problem('conflict', 'This offer was withdrawn.');
    if ((await this.quotes.purchases(tenant, [quote.id])).has(quote.id))
      throw new Problem('conflict', 'This offer was already taken.');
    const count = body.baleCount ?? quote.bale_count ?? undefined;
    return this.tickets.record(
      tenant,
      {
        vendor: quote.vendor,
        purchasedOn: body.purchasedOn,
        lot:
          'id' in body.lot
            ? body.lot
            : {
                name: body.lot.name ?? quote.name,
                ranchId: body.lot.ranchId,
                placeId: body.lot.placeId,
                hayKind: quote.hay_kind,
                cutting: quote.cutting,
                harvestedOn: quote.harvested_on,
                baleForm: quote.bale_form,
                storageMethod: body.lot.storageMethod,
                storedSince: body.lot.storedSince ?? body.purchasedOn,
              },
        ...(count === undefined ? {} : { baleCount: count }),
        weight: body.weight ?? {
          basis: 'net',
          net:
            quote.weight_unit === 'bale'
              ? { value: quote.weight_kg, unit: 'kg' }
              : { value: quote.weight_value, unit: quote.weight_unit },
        },
        price: priceAsStated(price),
        ...amountsOf(body, price),
        ...(body.moisturePercent === undefined ? {} : { moisturePercent: body.moisturePercent }),
        ...(body.ticketNumber === undefined ? {} : { ticketNumber: body.ticketNumber }),
        ...(body.note === undefined ? {} : { note: body.note }),
        ...(body.postTo === undefined ? {} : { postTo: body.postTo }),
        ...(body.correctsId === undefined ? {} : { correctsId: body.correctsId }),
      },
      query.units,
      quote.id,
    );
  }

  async #writer(
    tenant: OperationTenant,
    rows: readonly HayQuoteRow[],
    units: UnitSystem | undefined,
  ): Promise<(row: HayQuoteRow) => Answer> {
    const ids = rows.map((row) => row.id);
    const prices = await this.quotes.prices(tenant, ids);
    const taken = await this.quotes.purchases(tenant, ids);
    const confirmed = await confirmedOf(tenant, ids);
    const reversals = await this.reversals.of(tenant, ids);
    return (row) => ({
      ...answerFrom(
        row,
        prices.get(row.id),
        taken.get(row.id) ?? [],
        reversals.get(row.id),
        today(tenant),
        units ?? tenant.operation.unitPreference,
      ),
      confirmed: confirmed(row.id),
    });
  }
}

/** Freight and charges as they are given, else as they were typed in the offer; nothing where it has none. */
function amountsOf(
  given: { freight?: string | undefined; charges?: string | undefined },
  price: HayQuotePriceRow,
): { freight?: string; charges?: string } {
  const amount = (typed: string | undefined, offered: string | null, kept: string): string | undefined =>
    typed ?? offered ?? (Number(kept) === 0 ? undefined : kept);
  const freight = amount(given.freight, price.freight_value, price.freight_amount);
  const charges = amount(given.charges, price.charges_value, price.charges_amount);
  return { ...(freight === undefined ? {} : { freight }), ...(charges === undefined ? {} : { charges }) };
}

/** @throws Problem where nobody offers so much, or for so much; doubts the unlikely */
function checkOffered(
  tenant: OperationTenant,
  body: InputOf<typeof api.createHayQuote>['body'],
  mass: Mass,
  cost: LandedCost,
): void {
  const { hayKind } = body;
  checkMass(tenant, { ...massOf(body, mass), lot: { hay_kind: hayKind, bale_form: body.baleForm } });
  checkPrices(tenant, {
    mass,
    hayKind,
    price: { money: cost.hay, pointer: '#/price/amount' },
    charges: [
      { money: cost.freight, pointer: '#/freight' },
      { money: cost.charges, pointer: '#/charges' },
    ],
  });
}

function today(tenant: OperationTenant): string {
  return dayIn(tenant.operation.timeZone, tenant.moment);
}

function stateOf(row: HayQuoteRow, taken: readonly string[], withdrawn: boolean, on: string): Answer['state'] {
  if (taken.length > 0) return 'bought';
  if (withdrawn) return 'withdrawn';
  return row.valid_until !== null && row.valid_until < on ? 'lapsed' : 'open';
}

function answerFrom(
  row: HayQuoteRow,
  price: HayQuotePriceRow | undefined,
  taken: readonly string[],
  reversal: ReversalRow | undefined,
  on: string,
  units: UnitSystem,
): Omit<Answer, 'confirmed'> {
  const money = (amount: string): Money => Money.of(amount, asCurrency(price?.currency ?? 'USD'));
  const delivered = price === undefined ? undefined : deliveredCostOf(price);
  return {
    id: row.id,
    vendor: row.vendor,
    offeredOn: row.happened_on,
    validUntil: row.valid_until,
    state: stateOf(row, taken, reversal !== undefined, on),
    name: row.name,
    hayKind: row.hay_kind,
    category: row.category,
    cutting: row.cutting,
    harvestedOn: row.harvested_on,
    baleForm: row.bale_form,
    baleCount: row.bale_count,
    weight: formatTypedMass(row.weight_kg, row.weight_value, row.weight_unit, units, 'large'),
    weightTyped: row.weight_typed as Answer['weightTyped'],
    price: price === undefined ? null : { basis: price.basis, amount: price.price_value, per: price.price_unit },
    hayCost: price === undefined ? null : formatMoney(money(price.hay_amount)),
    freight: price === undefined ? null : formatMoney(money(price.freight_amount)),
    freightTyped: price?.freight_value ?? null,
    charges: price === undefined ? null : formatMoney(money(price.charges_amount)),
    chargesTyped: price?.charges_value ?? null,
    deliveredCost: delivered === undefined ? null : formatMoney(delivered),
    deliveredPrice: delivered === undefined ? null : formatPrice(delivered.per(Mass.kilograms(row.weight_kg)), units),
    purchaseIds: [...taken],
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
