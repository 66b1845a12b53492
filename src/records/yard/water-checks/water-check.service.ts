import { Injectable } from '@nestjs/common';
import { moreSulfateThanSolids } from '../../../core/cautions/water.js';
import { convertDecimal } from '../../../core/units/unit.js';
import { dayIn } from '../../../platform/clock.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import { problemOfCore } from '../../../platform/http/core-problems.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { PlaceRead } from '../ranches/place.read.js';
import { RanchRead } from '../ranches/ranch.read.js';
import { refuseNotYet } from '../../kit/happened.read.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { Reversals } from '../../kit/reversal.store.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import { supplyOf, WaterCheckRead, type WaterCheckRow } from './water-check.read.js';
import type * as api from './water-check.schema.js';
import { WaterCheckStore } from './water-check.store.js';
import { formatMeasure, formatTypedMeasureOrNull, type UnitSystem } from '../../../platform/wire/quantity.schema.js';

type Answer = AnswerOf<typeof api.getWaterCheck>;

@Injectable()
export class WaterCheckService {
  constructor(
    private readonly places: PlaceRead,
    private readonly ranches: RanchRead,
    private readonly checks: WaterCheckRead,
    private readonly store: WaterCheckStore,
    private readonly reversals: Reversals,
  ) {}

  async create(tenant: OperationTenant, { body, query }: InputOf<typeof api.createWaterCheck>): Promise<Answer> {
    const place = await this.places.one(tenant, body.placeId);
    await refuseNotYet(tenant, { day: body.checkedOn, pointer: '#/checkedOn' });
    if (body.checkedAt !== undefined) {
      const timeZone = await this.ranches.timeZone(tenant, place.ranch_id);
      if (dayIn(timeZone, new Date(body.checkedAt)) !== body.checkedOn) {
        throw ruleBroken(
          '#/checkedAt',
          'not-on-that-day',
          body.checkedAt,
          `an instant on ${body.checkedOn} at the ranch (${timeZone})`,
          'The time is not on the day of the check.',
        );
      }
    }
    const impossible = moreSulfateThanSolids({
      sulfateMgPerL: Number(body.sulfateMgPerL ?? 0),
      dissolvedSolidsMgPerL: Number(body.dissolvedSolidsMgPerL ?? Infinity),
    });
    if (impossible.length > 0) throw problemOfCore(impossible, (field) => `#/${field}`);
    const { flow, tank } = body;
    const row = await this.store.insert(tenant, {
      place_id: place.id,
      source_name: body.source,
      happened_on: body.checkedOn,
      happened_at: body.checkedAt === undefined ? null : new Date(body.checkedAt).toISOString(),
      state: body.state,
      flow_litres_a_minute:
        flow === undefined ? null : convertDecimal(flow.value, flow.unit, 'L/min').toFixed(LITER_PLACES),
      flow_value: flow?.value ?? null,
      flow_unit: flow?.unit ?? null,
      tank_litres: tank === undefined ? null : convertDecimal(tank.value, tank.unit, 'L').toFixed(LITER_PLACES),
      tank_value: tank?.value ?? null,
      tank_unit: tank?.unit ?? null,
      dissolved_solids: body.dissolvedSolidsMgPerL ?? null,
      sulfate: body.sulfateMgPerL ?? null,
      note: body.note ?? null,
    });
    await tenant.audit({ action: 'water-check.create', subjectKind: 'water-check', subjectId: row.id, after: row });
    return answerFrom(row, undefined, query.units ?? tenant.operation.unitPreference);
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listWaterChecks>,
  ): Promise<AnswerOf<typeof api.listWaterChecks>> {
    const rows = await this.checks.page(tenant, query);
    const reversals = await this.reversals.of(
      tenant,
      rows.map((row) => row.id),
    );
    const units = query.units ?? tenant.operation.unitPreference;
    return pageOf(
      rows,
      query.limit,
      (row) => answerFrom(row, reversals.get(row.id), units),
      (row) => [row.happened_on, row.id],
    );
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getWaterCheck>): Promise<Answer> {
    const row = await this.checks.one(tenant, params.waterCheckId);
    const reversal = (await this.reversals.of(tenant, [row.id])).get(row.id);
    return answerFrom(row, reversal, query.units ?? tenant.operation.unitPreference);
  }

  async reverse(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.reverseWaterCheck>,
  ): Promise<AnswerOf<typeof api.reverseWaterCheck>> {
    const row = await this.checks.one(tenant, params.waterCheckId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'water-check', id: row.id, happenedOn: row.happened_on },
      body,
    );
    return reversalAnswer(reversal);
  }
}

const LITER_PLACES = 6;

function answerFrom(row: WaterCheckRow, reversal: ReversalRow | undefined, units: UnitSystem): Answer {
  const supply = supplyOf(row);
  return {
    id: row.id,
    placeId: row.place_id,
    source: row.source_name,
    checkedOn: row.happened_on,
    checkedAt: row.happened_at,
    state: row.state,
    flow: formatTypedMeasureOrNull<'flow'>(row.flow_value, row.flow_unit, units),
    tank: formatTypedMeasureOrNull<'volume'>(row.tank_value, row.tank_unit, units),
    supplyPerDay: supply === null ? null : formatMeasure(supply, 'volume', units, { size: 'small' }),
    dissolvedSolidsMgPerL: row.dissolved_solids,
    sulfateMgPerL: row.sulfate,
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
