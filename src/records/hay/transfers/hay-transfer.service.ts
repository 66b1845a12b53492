import { Injectable } from '@nestjs/common';
import { dayIn, startOfDayIn } from '../../../platform/clock.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { newId } from '../../../platform/identifiers.js';
import { type UnitSystem, formatTypedMass } from '../../../platform/wire/quantity.schema.js';
import type { RecordReference } from '../../../platform/wire/record-kinds.data.js';
import { HayLotRead, type HayLotRow } from '../lots/hay-lot.read.js';
import { HayLotStore } from '../lots/hay-lot.store.js';
import { RanchRead } from '../../yard/ranches/ranch.read.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { confirmedOf, doubtsConfirmed } from '../../kit/confirmed.read.js';
import { corrected } from '../../kit/correction.store.js';
import { Reversals } from '../../kit/reversal.store.js';
import { receiptReversalAnswer, reversalAnswer } from '../../kit/reversal.schema.js';
import { StockCountRead } from '../stock-counts/stock-count.read.js';
import { StockCountStore } from '../stock-counts/stock-count.store.js';
import { type Quantity, quantityOf } from '../stock/drawn-quantity.js';
import { latePostings, type Posting, postingDay } from '../../kit/posting.read.js';
import { notePosting } from '../../kit/posting.store.js';
import { postedLate, postedLateAnswer } from '../../kit/posting.schema.js';
import { StockRead } from '../stock/stock.read.js';
import { HeldCountsRead } from '../stock/held-counts.read.js';
import type { HeldCount } from '../stock/held-counts.schema.js';
import { type NewMovement, StockStore } from '../stock/stock.store.js';
import { HayTransferRead, type HayTransferRow } from './hay-transfer.read.js';
import type * as api from './hay-transfer.schema.js';
import { HayTransferStore } from './hay-transfer.store.js';

type Body = InputOf<typeof api.createHayTransfer>['body'];
type Answer = AnswerOf<typeof api.getHayTransfer>;

const HALF_A_DAY_MS = 12 * 3_600_000;

/** Hauled hay: out of one lot and into another at one instant, or not at all. */
@Injectable()
export class HayTransferService {
  constructor(
    private readonly transfers: HayTransferRead,
    private readonly store: HayTransferStore,
    private readonly lots: HayLotRead,
    private readonly lotStore: HayLotStore,
    private readonly ranches: RanchRead,
    private readonly stock: StockStore,
    private readonly stockRead: StockRead,
    private readonly counts: StockCountRead,
    private readonly countStore: StockCountStore,
    private readonly reversals: Reversals,
    private readonly heldCounts: HeldCountsRead,
  ) {}

  async create(tenant: OperationTenant, { query, body }: InputOf<typeof api.createHayTransfer>): Promise<Answer> {
    return this.record(tenant, body, query.units);
  }

  /** Writes one transfer inside an open transaction. */
  async record(tenant: OperationTenant, body: Body, units: UnitSystem | undefined): Promise<Answer> {
    const from = await this.lots.one(tenant, body.fromLotId);
    const posting = await postingDay(tenant, { statedOn: body.movedOn, postTo: body.postTo, pointer: '#/movedOn' });
    await this.stock.hold(tenant, [from.id, ...('id' in body.to ? [body.to.id] : [])]);
    const to = await this.#destination(tenant, from, body, posting.on);
    const zones = {
      from: await this.ranches.timeZone(tenant, from.ranch_id),
      to: await this.ranches.timeZone(tenant, to.ranch_id),
    };
    const { at, timeStated: timeStated } = instantOf(body, posting, zones);
    const quantity = await quantityOf(tenant, this.stockRead, from.id, body.quantity, '#/quantity');
    const id = newId();
    const source = { kind: 'hay-transfer', id } as const;
    const count = await this.countStore.confirm(tenant, body.confirmedCount, {
      lot: from,
      timeZone: zones.from,
      on: posting.on,
      at,
      ...source,
      pointer: '#/confirmedCount',
    });
    const row = await this.store.insert(tenant, id, {
      from_lot_id: from.id,
      to_lot_id: to.id,
      happened_on: posting.on,
      happened_at: timeStated ? at : null,
      bale_count: quantity.bales,
      weight_kg: quantity.mass.kilograms.toFixed(),
      weight_value: quantity.value,
      weight_unit: quantity.unit,
      weight_typed: JSON.stringify(body.quantity),
      note: body.note ?? null,
    });
    await notePosting(tenant, source, posting, body.correctsId);
    await this.stock.add(tenant, movementsOf({ from, to, zones, quantity, on: posting.on, at, source }));
    // Asked only now, since hay that was hauled as a whole may keep its name.
    if (!('id' in body.to)) await this.lotStore.refuseNameInUse(tenant, to, '#/to/name');
    await tenant.audit({
      action: 'hay-transfer.create',
      subjectKind: 'hay-transfer',
      subjectId: id,
      after: { ...row, confirmedCount: count?.id ?? null },
    });
    return {
      ...answerFrom(
        row,
        count?.id ?? null,
        { late: postedLate(posting, body.correctsId), held: (await this.heldCounts.by(tenant, [id], units))(id) },
        undefined,
        units ?? tenant.operation.unitPreference,
      ),
      confirmed: doubtsConfirmed(tenant, { kind: 'hay-transfer', id }, posting.on),
    };
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listHayTransfers>,
  ): Promise<AnswerOf<typeof api.listHayTransfers>> {
    const rows = await this.transfers.page(tenant, query);
    return pageOf(rows, query.limit, await this.#writer(tenant, rows, query.units), (row) => [row.happened_on, row.id]);
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getHayTransfer>): Promise<Answer> {
    const row = await this.transfers.one(tenant, params.hayTransferId);
    return (await this.#writer(tenant, [row], query.units))(row);
  }

  /** The mistake goes out and what is right comes in, as one entry. */
  correct(
    tenant: OperationTenant,
    { params, query, body: { reason, entry } }: InputOf<typeof api.correctHayTransfer>,
  ): Promise<AnswerOf<typeof api.correctHayTransfer>> {
    return corrected(
      tenant,
      { kind: 'hay-transfer', id: params.hayTransferId },
      {
        reverse: () => this.reverse(tenant, { params, query, body: { reason, postTo: entry.postTo } }),
        enter: (correctsId) => this.record(tenant, { ...entry, correctsId }, query.units),
      },
    );
  }

  async reverse(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.reverseHayTransfer>,
  ): Promise<AnswerOf<typeof api.reverseHayTransfer>> {
    const row = await this.transfers.one(tenant, params.hayTransferId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'hay-transfer', id: row.id, happenedOn: row.happened_on },
      body,
      (answerFrom) =>
        this.stock.reverse(
          tenant,
          { kind: 'hay-transfer', id: row.id },
          { id: answerFrom.id, on: answerFrom.effective_on, reason: body.reason },
        ),
    );
    const heldCounts = await this.heldCounts.byReversal(tenant, reversal.id, query.units);
    return { ...receiptReversalAnswer(reversal, row.happened_on), heldCounts };
  }

  async #destination(tenant: OperationTenant, from: HayLotRow, body: Body, on: string): Promise<HayLotRow> {
    if (!('id' in body.to)) {
      return this.lotStore.begin(
        tenant,
        {
          name: body.to.name,
          ranchId: body.to.ranchId,
          placeId: body.to.placeId,
          hayKind: from.hay_kind,
          cutting: from.cutting,
          harvestedOn: from.harvested_on,
          baleForm: from.bale_form,
          storageMethod: body.to.storageMethod ?? from.storage_method,
          storedSince: body.to.storedSince ?? on,
          splitFromId: from.id,
        },
        from.origin,
      );
    }
    if (body.to.id === from.id)
      throw ruleBroken('#/to/id', 'transfer-nowhere', body.to.id, 'another lot', 'The hay would stay where it is.');
    const to = await this.lots.one(tenant, body.to.id);
    if (to.hay_kind !== from.hay_kind)
      throw ruleBroken('#/to/id', 'lot-of-another-kind', to.hay_kind, from.hay_kind, 'One lot holds one kind of hay.');
    return to;
  }

  async #writer(
    tenant: OperationTenant,
    rows: readonly HayTransferRow[],
    units: UnitSystem | undefined,
  ): Promise<(row: HayTransferRow) => Answer> {
    const ids = rows.map((row) => row.id);
    const counts = await this.counts.ofDraws(tenant, ids);
    const reversals = await this.reversals.of(tenant, ids);
    const late = await latePostings(tenant, ids);
    const confirmed = await confirmedOf(tenant, ids);
    const held = await this.heldCounts.by(tenant, ids, units);
    return (row) => ({
      ...answerFrom(
        row,
        counts.get(row.id)?.[0] ?? null,
        { late: postedLateAnswer(late.get(row.id)), held: held(row.id) },
        reversals.get(row.id),
        units ?? tenant.operation.unitPreference,
      ),
      confirmed: confirmed(row.id),
    });
  }
}

interface Zones {
  from: string;
  to: string;
}

/**
 * When the hay moved: the time given, else twelve hours into the day at the ranch it left. A time given for a closed
 * day does not carry over to the day the transfer is posted to.
 * @throws Problem where the instant falls on another day at either ranch.
 */
function instantOf({ movedAt }: Body, { on, late }: Posting, zones: Zones): { at: string; timeStated: boolean } {
  const statedAt = late === undefined ? movedAt : undefined;
  const at = (
    statedAt === undefined ? new Date(startOfDayIn(zones.from, on).getTime() + HALF_A_DAY_MS) : new Date(statedAt)
  ).toISOString();
  if ([zones.from, zones.to].some((zone) => dayIn(zone, new Date(at)) !== on))
    throw ruleBroken(
      '#/movedAt',
      'not-on-that-day',
      movedAt ?? at,
      `an instant on ${on} at both ranches (${zones.from}, ${zones.to})`,
      'The time is not on the day of the transfer at both ranches.',
    );
  return { at, timeStated: statedAt !== undefined };
}

/** Out of one lot and into the other: the same weight at the same instant. */
function movementsOf({
  from,
  to,
  zones,
  quantity,
  ...shared
}: {
  from: HayLotRow;
  to: HayLotRow;
  zones: Zones;
  quantity: Quantity;
  on: string;
  at: string;
  source: RecordReference;
}): NewMovement[] {
  return [
    {
      ...shared,
      lotId: from.id,
      kind: 'transfer-out',
      change: quantity.mass.negated(),
      typedValue: `-${quantity.value}`,
      typedUnit: quantity.unit,
      timeZone: zones.from,
      ranchId: from.ranch_id,
      placeId: from.place_id,
    },
    {
      ...shared,
      lotId: to.id,
      kind: 'transfer-in',
      change: quantity.mass,
      typedValue: quantity.value,
      typedUnit: quantity.unit,
      timeZone: zones.to,
      ranchId: to.ranch_id,
      placeId: to.place_id,
    },
  ];
}

function answerFrom(
  row: HayTransferRow,
  countId: string | null,
  { late, held }: { late: Answer['postedLate']; held: HeldCount[] },
  reversal: ReversalRow | undefined,
  units: UnitSystem,
): Omit<Answer, 'confirmed'> {
  return {
    id: row.id,
    fromLotId: row.from_lot_id,
    toLotId: row.to_lot_id,
    movedOn: row.happened_on,
    movedAt: row.happened_at,
    baleCount: row.bale_count,
    weight: formatTypedMass(row.weight_kg, row.weight_value, row.weight_unit, units, 'large'),
    quantityTyped: row.weight_typed as Answer['quantityTyped'],
    countId,
    postedLate: late,
    heldCounts: held,
    lotCautions: null,
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
