import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { stackingMoistureCautions } from '../../core/cautions/hay-in-store.js';
import { STACKED_BALE_FORMS, type StackedBaleForm } from '../../core/cautions/guides.data.js';
import { loadWeight } from '../../core/stock/bale-weighing.js';
import { type HayPrice, landedCost } from '../../core/stock/landed-cost.js';
import { KILOGRAM_PLACES, Mass } from '../../core/units/mass.js';
import { type Currency, Money, PricePerMass } from '../../core/units/money.js';
import { Database } from '../../platform/database/database.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { problemOfCore } from '../../platform/http/core-problems.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { notFound, ruleBroken } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { asCurrency, toMass, type UnitSystem, writeDecimal, writeMoney, writePrice, writeTypedMass } from '../../platform/wire/quantity.schema.js';
import { writeCaution } from '../caution.schema.js';
import { eventCursor } from '../day-range.js';
import { HayLotRead, type HayLotRow } from '../hay-lots/hay-lot.read.js';
import { Reversals, writeReversal } from '../reversals.js';
import { StockStore } from '../stock/stock.store.js';
import type * as api from './hay-purchase.schema.js';

type Body = CallOf<typeof api.createHayPurchase>['body'];
type Answer = AnswerOf<typeof api.getHayPurchase>;
type Row = Selectable<DB['hay_purchase']>;
type PriceRow = Selectable<DB['hay_purchase_price']>;

const WANTED_RELATIVE_HALF_WIDTH = 0.05;

/** A ticket brings hay into a lot, at a landed cost; both go into the books in one transaction. */
@Injectable()
export class HayPurchaseService {
  constructor(
    private readonly database: Database,
    private readonly lots: HayLotRead,
    private readonly stock: StockStore,
    private readonly reversals: Reversals,
  ) {}

  async create({ asker, params, query, body }: CallOf<typeof api.createHayPurchase>): Promise<Answer> {
    return this.database.writeIn(asker, params.operationId, (tenant) => this.record(tenant, body, query.units));
  }

  /** Writes one ticket inside an open transaction: the same road for one entry and for an import. */
  async record(tenant: OperationTenant, body: Body, units: UnitSystem | undefined): Promise<Answer> {
    const currency = asCurrency(tenant.operation.currency);
    const received = weightReceived(body);
    const cost = landedCost({
      price: priceOf(body, currency), weightReceived: received.mass, currency,
      ...(body.baleCount === undefined ? {} : { bales: body.baleCount }),
      ...(body.freight === undefined ? {} : { freight: Money.of(body.freight, currency) }),
      ...(body.charges === undefined ? {} : { charges: Money.of(body.charges, currency) }),
    });
    if (!cost.ok) throw problemOfCore(cost.problems, (field) => POINTERS[field] ?? `#/${field}`);
    const lot = 'id' in body.lot ? await this.lots.one(tenant, body.lot.id) : await this.#newLot(tenant, body.lot);
    const ranch = await tenant.db.selectFrom('ranch').select('time_zone').where('operation_id', '=', tenant.operationId).where('id', '=', lot.ranch_id).executeTakeFirstOrThrow();
    const id = newId();
    const weighed = body.weight.basis === 'weighed-bales' ? body.weight : undefined;
    const row = await tenant.db.insertInto('hay_purchase').values({
      operation_id: tenant.operationId, id, hay_lot_id: lot.id, vendor: body.vendor, happened_on: body.purchasedOn, bale_count: body.baleCount ?? null,
      weight_basis: body.weight.basis, weight_kg: received.mass.kilograms.toFixed(), weight_value: received.value, weight_unit: received.unit,
      bale_weight_value: weighed?.meanBaleWeight.value ?? null, bale_weight_unit: weighed?.meanBaleWeight.unit ?? null, bales_weighed: weighed?.balesWeighed ?? null,
      bale_weight_sd: weighed?.standardDeviation === undefined ? null : writeDecimal(toMass(weighed.standardDeviation).in(weighed.meanBaleWeight.unit), KILOGRAM_PLACES),
      moisture_pct: body.moisturePercent ?? null, note: body.note ?? null, recorded_at: tenant.moment.toISOString(), recorded_by: tenant.personId,
    }).returningAll().executeTakeFirstOrThrow();
    const price = { operation_id: tenant.operationId, hay_purchase_id: id, basis: body.price.basis, price_value: body.price.amount, price_unit: body.price.basis === 'per-mass' ? body.price.per : body.price.basis === 'per-bale' ? 'bale' : 'lot', hay_amount: cost.hay.amount.toFixed(), freight_amount: cost.freight.amount.toFixed(), charges_amount: cost.charges.amount.toFixed(), currency };
    await tenant.db.insertInto('hay_purchase_price').values(price).execute();
    const [movementId] = await this.stock.add(tenant, [{
      lotId: lot.id, kind: 'purchase', change: received.mass, typedValue: received.value, typedUnit: received.unit, on: body.purchasedOn,
      timeZone: ranch.time_zone, ranchId: lot.ranch_id, placeId: lot.place_id, source: { kind: 'hay-purchase', id },
    }]);
    const costs = [['price', cost.hay], ['freight', cost.freight], ['charges', cost.charges]] as const;
    const owed = costs.filter(([, amount]) => !amount.isZero());
    if (owed.length > 0) {
      await tenant.db.insertInto('stock_cost').values(owed.map(([kind, amount]) => ({
        operation_id: tenant.operationId, id: newId(), hay_lot_id: lot.id, stock_movement_id: movementId ?? null, kind, amount: amount.amount.toFixed(), currency,
        effective_on: body.purchasedOn, source_kind: 'hay-purchase', source_id: id, recorded_at: tenant.moment.toISOString(), recorded_by: tenant.personId,
      }))).execute();
    }
    await tenant.audit({ action: 'hay-purchase.create', subjectKind: 'hay-purchase', subjectId: id, after: row });
    return written(row, price, lot, undefined, units ?? tenant.operation.unitPreference);
  }

  async list({ asker, params, query }: CallOf<typeof api.listHayPurchases>): Promise<AnswerOf<typeof api.listHayPurchases>> {
    return this.database.readIn(asker, params.operationId, async (tenant) => {
      const before = eventCursor(query.cursor);
      let select = tenant.db.selectFrom('hay_purchase').selectAll().where('operation_id', '=', tenant.operationId).orderBy('happened_on', 'desc').orderBy('id', 'desc').limit(query.limit + 1);
      if (query.hayLotId !== undefined) select = select.where('hay_lot_id', '=', query.hayLotId);
      if (query.from !== undefined) select = select.where('happened_on', '>=', query.from);
      if (query.until !== undefined) select = select.where('happened_on', '<=', query.until);
      if (before !== undefined) select = select.where((e) => e.or([e('happened_on', '<', before.day), e.and([e('happened_on', '=', before.day), e('id', '<', before.id)])]));
      const rows = await select.execute();
      const write = await this.#writer(tenant, rows, query.units);
      return pageOf(rows, query.limit, write, (row) => [row.happened_on, row.id]);
    });
  }

  async get({ asker, params, query }: CallOf<typeof api.getHayPurchase>): Promise<Answer> {
    return this.database.readIn(asker, params.operationId, async (tenant) => {
      const row = await this.#row(tenant, params.hayPurchaseId);
      return (await this.#writer(tenant, [row], query.units))(row);
    });
  }

  async reverse({ asker, params, body }: CallOf<typeof api.reverseHayPurchase>): Promise<AnswerOf<typeof api.reverseHayPurchase>> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      const row = await this.#row(tenant, params.hayPurchaseId);
      const reversal = await this.reversals.write(tenant, { kind: 'hay-purchase', id: row.id, happenedOn: row.happened_on }, body, (written) =>
        this.stock.reverse(tenant, { kind: 'hay-purchase', id: row.id }, { id: written.id, on: written.effective_on, reason: body.reason }));
      return { id: reversal.id, reason: reversal.reason, effectiveOn: reversal.effective_on, recordedAt: reversal.recorded_at, recordedBy: reversal.recorded_by };
    });
  }

  async #newLot(tenant: OperationTenant, lot: Exclude<Body['lot'], { id: string }>): Promise<HayLotRow> {
    return tenant.db.insertInto('hay_lot').values({
      operation_id: tenant.operationId, id: newId(), ranch_id: lot.ranchId, place_id: lot.placeId ?? null, name: lot.name, category: 'hay', hay_kind: lot.hayKind, cutting: lot.cutting ?? null,
      harvested_on: lot.harvestedOn ?? null, origin: 'purchased', bale_form: lot.baleForm, storage_method: lot.storageMethod, stored_since: lot.storedSince ?? null, created_at: tenant.moment.toISOString(),
    }).returningAll().executeTakeFirstOrThrow();
  }

  async #row({ db, operationId }: OperationTenant, id: string): Promise<Row> {
    const row = await db.selectFrom('hay_purchase').selectAll().where('operation_id', '=', operationId).where('id', '=', id).executeTakeFirst();
    if (row === undefined) throw notFound('hay purchase');
    return row;
  }

  async #writer(tenant: OperationTenant, rows: readonly Row[], asked: UnitSystem | undefined): Promise<(row: Row) => Answer> {
    const ids = rows.map((row) => row.id);
    const prices = ids.length === 0 ? [] : await tenant.db.selectFrom('hay_purchase_price').selectAll().where('operation_id', '=', tenant.operationId).where('hay_purchase_id', 'in', ids).execute();
    const lots = await this.lots.named(tenant, rows.map((row) => ({ id: row.hay_lot_id, pointer: '#' })));
    const reversals = await this.reversals.of(tenant, ids);
    const byId = new Map(prices.map((price) => [price.hay_purchase_id, price]));
    return (row) => written(row, byId.get(row.id), lots.get(row.hay_lot_id), reversals.get(row.id), asked ?? tenant.operation.unitPreference);
  }
}

const POINTERS: Readonly<Record<string, string>> = { bales: '#/baleCount', weightReceived: '#/weight', price: '#/price/amount' };

/** What came over the scale, as a mass and as it was typed. */
function weightReceived(body: Body): { mass: Mass; value: string; unit: string } {
  const { weight } = body;
  switch (weight.basis) {
    case 'net':
      return { mass: toMass(weight.net), value: weight.net.value, unit: weight.net.unit };
    case 'scale-ticket': {
      const mass = toMass(weight.gross).minus(toMass(weight.tare));
      if (!mass.isPositive()) throw ruleBroken('#/weight/tare', 'tare-not-below-gross', weight.tare.value, `less than ${weight.gross.value} ${weight.gross.unit}`, 'The empty truck cannot weigh as much as the full one.');
      return { mass, value: writeDecimal(mass.in(weight.gross.unit), KILOGRAM_PLACES), unit: weight.gross.unit };
    }
    case 'weighed-bales': {
      if (body.baleCount === undefined) throw ruleBroken('#/baleCount', 'bales-missing', null, 'the number of bales', 'A weight from weighed bales needs the number of bales.');
      if (weight.balesWeighed > body.baleCount) throw ruleBroken('#/weight/balesWeighed', 'more-weighed-than-bought', weight.balesWeighed, `at most ${body.baleCount}`, 'More bales were weighed than bought.');
      const mass = toMass(weight.meanBaleWeight).times(body.baleCount);
      return { mass, value: writeDecimal(mass.in(weight.meanBaleWeight.unit), KILOGRAM_PLACES), unit: weight.meanBaleWeight.unit };
    }
  }
}

function priceOf(body: Body, currency: Currency): HayPrice {
  const { price } = body;
  if (price.basis === 'per-mass') return { basis: 'per-mass', price: PricePerMass.of(price.amount, currency, price.per) };
  return { basis: price.basis, price: Money.of(price.amount, currency) };
}

/** Loose hay has no published moisture limit here. */
function stackedForm(baleForm: string | undefined): StackedBaleForm | undefined {
  return STACKED_BALE_FORMS.find((form) => form === baleForm);
}

function written(row: Row, price: PriceRow | undefined, lot: HayLotRow | undefined, reversal: Selectable<DB['reversal']> | undefined, units: UnitSystem): Answer {
  const currency = price === undefined ? undefined : asCurrency(price.currency);
  const money = (amount: string | undefined): ReturnType<typeof writeMoney> | null => (currency === undefined || amount === undefined ? null : writeMoney(Money.of(amount, currency)));
  const landed = price === undefined || currency === undefined ? undefined : Money.of(price.hay_amount, currency).plus(Money.of(price.freight_amount, currency)).plus(Money.of(price.charges_amount, currency));
  const baleForm = stackedForm(lot?.bale_form);
  const cautions = row.moisture_pct === null || baleForm === undefined ? [] : stackingMoistureCautions({ lotName: lot?.name ?? '', baleForm, moisturePercent: Number(row.moisture_pct) });
  return {
    id: row.id, hayLotId: row.hay_lot_id, vendor: row.vendor, purchasedOn: row.happened_on, baleCount: row.bale_count,
    weight: writeTypedMass(row.weight_kg, row.weight_value, row.weight_unit, units, 'large'), weightBasis: row.weight_basis as 'net', weighing: weighingOf(row),
    moisturePercent: row.moisture_pct,
    price: price === undefined ? null : { basis: price.basis as 'per-bale', amount: price.price_value, per: price.price_unit },
    hayCost: money(price?.hay_amount), freight: money(price?.freight_amount), charges: money(price?.charges_amount),
    landedCost: landed === undefined ? null : writeMoney(landed), landedPrice: landed === undefined ? null : writePrice(landed.per(Mass.kilograms(row.weight_kg)), units),
    cautions: cautions.map(writeCaution), note: row.note, reversal: writeReversal(reversal), recordedAt: row.recorded_at, recordedBy: row.recorded_by,
  };
}

function weighingOf(row: Row): Answer['weighing'] {
  if (row.bale_weight_value === null || row.bale_weight_unit === null || row.bales_weighed === null || row.bale_count === null) return null;
  const unit = row.bale_weight_unit as 'lb';
  const known = row.bale_weight_sd === null || row.bales_weighed < 2 ? undefined : loadWeight({
    bales: row.bale_count, weighed: row.bales_weighed, mean: Mass.of(row.bale_weight_value, unit), standardDeviation: Mass.of(row.bale_weight_sd, unit), wantedRelativeHalfWidth: WANTED_RELATIVE_HALF_WIDTH,
  });
  return { meanBaleWeight: { value: row.bale_weight_value, unit }, balesWeighed: row.bales_weighed, standardDeviation: row.bale_weight_sd, balesWanted: known?.ok === true ? known.balesToWeigh : null };
}
