import { Injectable } from '@nestjs/common';
import { Mass } from '../../../core/units/mass.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { together } from '../../../platform/database/together.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { type UnitSystem, formatMass, formatTypedMass } from '../../../platform/wire/quantity.schema.js';
import { changedFields } from '../../kit/changed-fields.js';
import { LabTestRead, testedAs } from '../lab-tests/lab-test.read.js';
import { MovementRead } from '../stock/movement.read.js';
import { StockRead } from '../stock/stock.read.js';
import { HayLotRead, type HayLotRow } from './hay-lot.read.js';
import type * as api from './hay-lot.schema.js';
import { HayLotStore } from './hay-lot.store.js';

@Injectable()
export class HayLotService {
  constructor(
    private readonly lots: HayLotRead,
    private readonly store: HayLotStore,
    private readonly stock: StockRead,
    private readonly ledger: MovementRead,
    private readonly labTests: LabTestRead,
  ) {}

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listHayLots>,
  ): Promise<AnswerOf<typeof api.listHayLots>> {
    const rows = await this.lots.page(tenant, {
      ...query,
      onHand: query.onHand === undefined ? undefined : query.onHand === 'true',
      reversed: query.reversed === 'true',
    });
    const write = await this.#writer(tenant, rows, query.units);
    return pageOf(rows, query.limit, write, (row) => [row.name, row.id]);
  }

  async get(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.getHayLot>,
  ): Promise<AnswerOf<typeof api.getHayLot>> {
    return this.#answer(tenant, await this.lots.one(tenant, params.hayLotId), query.units);
  }

  async change(
    tenant: OperationTenant,
    { params, query, body, expectedVersion }: InputOf<typeof api.changeHayLot>,
  ): Promise<AnswerOf<typeof api.getHayLot>> {
    const before = await this.lots.one(tenant, params.hayLotId);
    const after = await this.store.change(
      tenant,
      { id: before.id, version: expectedVersion },
      changedFields({
        name: body.name,
        cutting: body.cutting,
        harvested_on: body.harvestedOn,
        bale_form: body.baleForm,
        storage_method: body.storageMethod,
        stored_since: body.storedSince,
      }),
    );
    await tenant.audit({ action: 'hay-lot.change', subjectKind: 'hay-lot', subjectId: after.id, before, after });
    return this.#answer(tenant, after, query.units);
  }

  async movements(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.listMovements>,
  ): Promise<AnswerOf<typeof api.listMovements>> {
    await this.lots.one(tenant, params.hayLotId);
    const units = query.units ?? tenant.operation.unitPreference;
    return pageOf(
      await this.ledger.pageOfLot(tenant, params.hayLotId, query),
      query.limit,
      (row) => ({
        id: row.id,
        hayLotId: row.hay_lot_id,
        kind: row.kind,
        change: formatTypedMass(row.kilograms, row.typed_value, row.typed_unit, units, 'small'),
        balanceAfter: formatMass(Mass.kilograms(row.balance_after), units, 'large'),
        effectiveOn: row.effective_on,
        effectiveAt: row.effective_at,
        ranchId: row.ranch_id,
        placeId: row.place_id,
        herdId: row.herd_id,
        source: { kind: row.source_kind, id: row.source_id },
        reversesId: row.reverses_id,
        reason: row.reason,
        recordedAt: row.recorded_at,
        recordedBy: row.recorded_by,
      }),
      (row) => [row.effective_on, row.id],
    );
  }

  async #answer(
    tenant: OperationTenant,
    row: HayLotRow,
    units: UnitSystem | undefined,
  ): Promise<AnswerOf<typeof api.getHayLot>> {
    return (await this.#writer(tenant, [row], units))(row);
  }

  async #writer(
    tenant: OperationTenant,
    rows: readonly HayLotRow[],
    asked: UnitSystem | undefined,
  ): Promise<(row: HayLotRow) => AnswerOf<typeof api.getHayLot>> {
    const lotIds = rows.map((row) => row.id);
    const [balances, bales, tests, vendors] = await together(
      this.stock.balances(tenant, { lotIds }),
      this.stock.baleWeights(tenant, lotIds),
      this.labTests.knownAt(tenant, lotIds, tenant.moment.toISOString()),
      this.lots.vendors(tenant, lotIds),
    );
    const units = asked ?? tenant.operation.unitPreference;
    return (row) => {
      const own = tests.get(row.id) ?? [];
      const test = own[0];
      const bale = bales.get(row.id);
      return {
        id: row.id,
        name: row.name,
        ranchId: row.ranch_id,
        placeId: row.place_id,
        hayKind: row.hay_kind,
        category: row.category,
        cutting: row.cutting,
        harvestedOn: row.harvested_on,
        origin: row.origin,
        vendors: vendors.get(row.id) ?? [],
        baleForm: row.bale_form,
        storageMethod: row.storage_method,
        storedSince: row.stored_since,
        splitFromId: row.split_from_id,
        balance: formatMass(balances.get(row.id) ?? Mass.zero, units, 'large'),
        baleWeight: bale === undefined ? null : formatMass(bale, units, 'small'),
        labTest:
          test === undefined ? null : { id: test.id, sampledOn: test.sampledOn, takenFrom: testedAs(row.id, own) },
        units,
        createdAt: row.created_at,
        version: row.version,
      };
    };
  }
}
