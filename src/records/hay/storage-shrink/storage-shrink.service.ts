import { Injectable } from '@nestjs/common';
import { decimal, decimalText } from '../../../core/units/decimal.js';
import { STORAGE_SEASON_DAYS } from '../../../core/stock/storage-loss.data.js';
import { daysBetween } from '../../../core/time/calendar-day.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { problemOfCore } from '../../../platform/http/core-problems.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { type UnitSystem, formatMass, formatTypedMass } from '../../../platform/wire/quantity.schema.js';
import { HayLotRead } from '../lots/hay-lot.read.js';
import { RanchRead } from '../../yard/ranches/ranch.read.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { confirmedOf, doubtsConfirmed } from '../../kit/confirmed.read.js';
import { corrected } from '../../kit/correction.store.js';
import { Reversals } from '../../kit/reversal.store.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import { type Quantity, quantityOf } from '../stock/drawn-quantity.js';
import { latePostings, postingDay } from '../../kit/posting.read.js';
import { notePosting } from '../../kit/posting.store.js';
import { postedLate, postedLateAnswer } from '../../kit/posting.schema.js';
import { StockRead } from '../stock/stock.read.js';
import { HeldCountsRead } from '../stock/held-counts.read.js';
import type { HeldCount } from '../stock/held-counts.schema.js';
import { StockStore } from '../stock/stock.store.js';
import { type Estimate, StorageLossRead } from './storage-loss.read.js';
import { type StorageMeasurementRow, StorageShrinkRead, type StorageShrinkRow } from './storage-shrink.read.js';
import type * as api from './storage-shrink.schema.js';
import { StorageShrinkStore } from './storage-shrink.store.js';

type Body = InputOf<typeof api.createStorageShrink>['body'];
type Answer = AnswerOf<typeof api.getStorageShrink>;

/** Hay loses weight in storage. */
@Injectable()
export class StorageShrinkService {
  constructor(
    private readonly lots: HayLotRead,
    private readonly ranches: RanchRead,
    private readonly shrinks: StorageShrinkRead,
    private readonly store: StorageShrinkStore,
    private readonly stock: StockStore,
    private readonly stockRead: StockRead,
    private readonly losses: StorageLossRead,
    private readonly reversals: Reversals,
    private readonly heldCounts: HeldCountsRead,
  ) {}

  async create(tenant: OperationTenant, { query, body }: InputOf<typeof api.createStorageShrink>): Promise<Answer> {
    return this.record(tenant, body, query.units);
  }

  /** Writes one loss inside an open transaction. */
  async record(tenant: OperationTenant, body: Body, units: UnitSystem | undefined): Promise<Answer> {
    if (body.abnormal && body.reason === undefined)
      throw ruleBroken('#/reason', 'reason-missing', null, 'what happened', 'An abnormal loss needs its reason.');
    const lot = await this.lots.one(tenant, body.hayLotId);
    const posting = await postingDay(tenant, { statedOn: body.lostOn, postTo: body.postTo, pointer: '#/lostOn' });
    await this.stock.hold(tenant, [lot.id]);
    const estimate =
      body.how.basis === 'estimated' ? await this.losses.estimate(tenant, lot, posting.on, body.how.figure) : undefined;
    const quantity =
      body.how.basis === 'weighed'
        ? await quantityOf(tenant, this.stockRead, lot.id, body.how.quantity, '#/how/quantity')
        : estimated(estimate);
    const row = await this.store.insert(tenant, {
      hay_lot_id: lot.id,
      happened_on: posting.on,
      basis: body.how.basis,
      weight_kg: quantity.mass.kilograms.toFixed(),
      weight_value: quantity.value,
      weight_unit: quantity.unit,
      weight_typed: body.how.basis === 'weighed' ? JSON.stringify(body.how.quantity) : null,
      treatment: body.abnormal ? 'expense' : 'into-unit-cost',
      from_on: estimate?.from ?? null,
      season_share: estimate === undefined ? null : decimalText(estimate.figure.typical.toDecimalPlaces(6)),
      figure: estimate === undefined ? null : (estimate.code ?? 'own'),
      source: estimate?.figure.source ?? null,
      reason: body.reason ?? null,
      note: body.note ?? null,
    });
    const source = { kind: 'storage-shrink', id: row.id } as const;
    await notePosting(tenant, source, posting, body.correctsId);
    await this.stock.add(tenant, [
      {
        lotId: lot.id,
        kind: 'shrink',
        change: quantity.mass.negated(),
        typedValue: `-${quantity.value}`,
        typedUnit: quantity.unit,
        on: posting.on,
        timeZone: await this.ranches.timeZone(tenant, lot.ranch_id),
        ranchId: lot.ranch_id,
        placeId: lot.place_id,
        source,
        reason: body.reason,
      },
    ]);
    await tenant.audit({
      action: 'storage-shrink.create',
      subjectKind: 'storage-shrink',
      subjectId: row.id,
      after: row,
    });
    const held = (await this.heldCounts.by(tenant, [row.id], units))(row.id);
    const late = postedLate(posting, body.correctsId);
    return {
      ...answerFrom(row, { late, held }, undefined, units ?? tenant.operation.unitPreference),
      confirmed: doubtsConfirmed(tenant, { kind: 'storage-shrink', id: row.id }, posting.on),
    };
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listStorageShrinks>,
  ): Promise<AnswerOf<typeof api.listStorageShrinks>> {
    const rows = await this.shrinks.page(tenant, query);
    return pageOf(rows, query.limit, await this.#writer(tenant, rows, query.units), (row) => [row.happened_on, row.id]);
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getStorageShrink>): Promise<Answer> {
    const row = await this.shrinks.one(tenant, params.storageShrinkId);
    return (await this.#writer(tenant, [row], query.units))(row);
  }

  /** The mistake goes out and what is right comes in, as one entry. */
  correct(
    tenant: OperationTenant,
    { params, query, body: { reason, entry } }: InputOf<typeof api.correctStorageShrink>,
  ): Promise<AnswerOf<typeof api.correctStorageShrink>> {
    return corrected(
      tenant,
      { kind: 'storage-shrink', id: params.storageShrinkId },
      {
        reverse: () => this.reverse(tenant, { params, query, body: { reason, postTo: entry.postTo } }),
        enter: (correctsId) => this.record(tenant, { ...entry, correctsId }, query.units),
      },
    );
  }

  async reverse(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.reverseStorageShrink>,
  ): Promise<AnswerOf<typeof api.reverseStorageShrink>> {
    const row = await this.shrinks.one(tenant, params.storageShrinkId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'storage-shrink', id: row.id, happenedOn: row.happened_on },
      body,
      (answerFrom) =>
        this.stock.reverse(
          tenant,
          { kind: 'storage-shrink', id: row.id },
          { id: answerFrom.id, on: answerFrom.effective_on, reason: body.reason },
        ),
    );
    return {
      ...reversalAnswer(reversal),
      heldCounts: await this.heldCounts.byReversal(tenant, reversal.id, query.units),
    };
  }

  async estimate(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.estimateStorageLoss>,
  ): Promise<AnswerOf<typeof api.estimateStorageLoss>> {
    const lot = await this.lots.one(tenant, params.hayLotId);
    const { figure, code, balance, from, result, storedOn } = await this.losses.estimate(
      tenant,
      lot,
      query.on,
      query.figure,
    );
    const units = query.units ?? tenant.operation.unitPreference;
    return {
      hayLotId: lot.id,
      figure: {
        basis: figure.basis,
        code,
        low: decimalText(figure.low),
        typical: decimalText(figure.typical),
        high: decimalText(figure.high),
        source: figure.source,
      },
      from,
      until: query.on,
      days: Math.max(0, daysBetween(from, query.on)),
      balance: formatMass(balance, units, 'large'),
      loss: result.ok ? formatMass(result.loss, units, 'large') : null,
      notes: [
        `Even growth to the season's loss over ${STORAGE_SEASON_DAYS} days from ${storedOn}; common practice, ` +
          "no source. A ranch's own counts replace it.",
        ...(lot.stored_since === null
          ? ['The lot does not say how long it has been stored; its first day in the books is used.']
          : []),
        ...(result.ok ? [] : result.problems.map((one) => one.message)),
      ],
    };
  }

  async measure(
    tenant: OperationTenant,
    { body }: InputOf<typeof api.createStorageMeasurement>,
  ): Promise<AnswerOf<typeof api.createStorageMeasurement>> {
    const row = await this.store.insertMeasurement(tenant, {
      ranch_id: body.ranchId ?? null,
      storage_method: body.storageMethod,
      happened_on: body.measuredOn,
      season_share: body.seasonShare,
      how: body.how,
    });
    await tenant.audit({
      action: 'storage-measurement.create',
      subjectKind: 'storage-measurement',
      subjectId: row.id,
      after: row,
    });
    return measured(row, undefined);
  }

  async measurements(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listStorageMeasurements>,
  ): Promise<AnswerOf<typeof api.listStorageMeasurements>> {
    const rows = await this.shrinks.measurements(tenant, query);
    const reversals = await this.reversals.of(
      tenant,
      rows.map((row) => row.id),
    );
    return pageOf(
      rows,
      query.limit,
      (row) => measured(row, reversals.get(row.id)),
      (row) => [row.happened_on, row.id],
    );
  }

  async withdraw(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.withdrawStorageMeasurement>,
  ): Promise<AnswerOf<typeof api.withdrawStorageMeasurement>> {
    const row = await this.shrinks.measurement(tenant, params.storageMeasurementId);
    return reversalAnswer(
      await this.reversals.write(
        tenant,
        { kind: 'storage-measurement', id: row.id, happenedOn: row.happened_on },
        body,
      ),
    );
  }

  async #writer(
    tenant: OperationTenant,
    rows: readonly StorageShrinkRow[],
    units: UnitSystem | undefined,
  ): Promise<(row: StorageShrinkRow) => Answer> {
    const ids = rows.map((row) => row.id);
    const reversals = await this.reversals.of(tenant, ids);
    const late = await latePostings(tenant, ids);
    const confirmed = await confirmedOf(tenant, ids);
    const held = await this.heldCounts.by(tenant, ids, units);
    return (row) => ({
      ...answerFrom(
        row,
        { late: postedLateAnswer(late.get(row.id)), held: held(row.id) },
        reversals.get(row.id),
        units ?? tenant.operation.unitPreference,
      ),
      confirmed: confirmed(row.id),
    });
  }
}

function estimated(estimate: Estimate | undefined): Quantity {
  if (estimate === undefined) throw new RangeError('An estimate was asked for and not made');
  if (!estimate.result.ok) throw problemOfCore(estimate.result.problems, () => '#/lostOn');
  return { mass: estimate.result.loss, value: decimalText(estimate.result.loss.kilograms), unit: 'kg', bales: null };
}

function measured(
  row: StorageMeasurementRow,
  reversal: ReversalRow | undefined,
): AnswerOf<typeof api.createStorageMeasurement> {
  return {
    id: row.id,
    ranchId: row.ranch_id,
    storageMethod: row.storage_method,
    measuredOn: row.happened_on,
    seasonShare: row.season_share,
    how: row.how,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}

function answerFrom(
  row: StorageShrinkRow,
  { late, held }: { late: Answer['postedLate']; held: HeldCount[] },
  reversal: ReversalRow | undefined,
  units: UnitSystem,
): Omit<Answer, 'confirmed'> {
  return {
    id: row.id,
    hayLotId: row.hay_lot_id,
    lostOn: row.happened_on,
    basis: row.basis,
    weight: formatTypedMass(row.weight_kg, row.weight_value, row.weight_unit, units, 'large'),
    quantityTyped: row.weight_typed as Answer['quantityTyped'],
    abnormal: row.treatment === 'expense',
    seasonShare: row.season_share === null ? null : decimalText(decimal(row.season_share)),
    figure: row.figure,
    source: row.source,
    from: row.from_on,
    reason: row.reason,
    note: row.note,
    postedLate: late,
    heldCounts: held,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
