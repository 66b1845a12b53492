import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { LITRES_PER_GALLON } from '../../core/requirements/water-intake.data.js';
import { decimal, decimalFromFloat, decimalText } from '../../core/units/decimal.js';
import { dayIn } from '../../platform/clock.js';
import { Database } from '../../platform/database/database.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { notFound, ruleBroken } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { newestFirst } from '../newest-first.js';
import { Reversals, writeReversal } from '../reversals.js';
import { supplyOf, type WaterCheckRow } from './water-check.read.js';
import type * as api from './water-check.schema.js';

type Answer = AnswerOf<typeof api.getWaterCheck>;

@Injectable()
export class WaterCheckService {
  constructor(private readonly database: Database, private readonly reversals: Reversals) {}

  async create({ asker, params, body }: CallOf<typeof api.createWaterCheck>): Promise<Answer> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      const place = await tenant.db.selectFrom('place').innerJoin('ranch', (join) => join.onRef('ranch.operation_id', '=', 'place.operation_id').onRef('ranch.id', '=', 'place.ranch_id'))
        .select(['place.id', 'ranch.time_zone']).where('place.operation_id', '=', tenant.operationId).where('place.id', '=', body.placeId).executeTakeFirst();
      if (place === undefined) throw notFound('place');
      if (body.checkedAt !== undefined && dayIn(place.time_zone, new Date(body.checkedAt)) !== body.checkedOn) {
        throw ruleBroken('#/checkedAt', 'not-on-that-day', body.checkedAt, `an instant on ${body.checkedOn} at the ranch (${place.time_zone})`, 'The time is not on the day of the check.');
      }
      const { flow, tank } = body;
      const row = await tenant.db.insertInto('water_check').values({
        operation_id: tenant.operationId, id: newId(), place_id: place.id, source_name: body.source, happened_on: body.checkedOn, happened_at: body.checkedAt === undefined ? null : new Date(body.checkedAt).toISOString(), state: body.state,
        flow_litres_a_minute: flow === undefined ? null : litres(flow.value, flow.unit === 'gal/min'), flow_value: flow?.value ?? null, flow_unit: flow?.unit ?? null,
        tank_litres: tank === undefined ? null : litres(tank.value, tank.unit === 'gal'), tank_value: tank?.value ?? null, tank_unit: tank?.unit ?? null,
        dissolved_solids: body.dissolvedSolidsMgPerL ?? null, sulfate: body.sulfateMgPerL ?? null, note: body.note ?? null, recorded_at: tenant.moment.toISOString(), recorded_by: tenant.personId,
      }).returningAll().executeTakeFirstOrThrow();
      await tenant.audit({ action: 'water-check.create', subjectKind: 'water-check', subjectId: row.id, after: row });
      return written(row, undefined);
    });
  }

  async list({ asker, params, query }: CallOf<typeof api.listWaterChecks>): Promise<AnswerOf<typeof api.listWaterChecks>> {
    return this.database.readIn(asker, params.operationId, async (tenant) => {
      let select = tenant.db.selectFrom('water_check').selectAll().where('operation_id', '=', tenant.operationId);
      if (query.placeId !== undefined) select = select.where('place_id', '=', query.placeId);
      const rows = await newestFirst(select, query).execute();
      const reversals = await this.reversals.of(tenant, rows.map((row) => row.id));
      return pageOf(rows, query.limit, (row) => written(row, reversals.get(row.id)), (row) => [row.happened_on, row.id]);
    });
  }

  async get({ asker, params }: CallOf<typeof api.getWaterCheck>): Promise<Answer> {
    return this.database.readIn(asker, params.operationId, async (tenant) => {
      const row = await this.#row(tenant, params.waterCheckId);
      return written(row, (await this.reversals.of(tenant, [row.id])).get(row.id));
    });
  }

  async reverse({ asker, params, body }: CallOf<typeof api.reverseWaterCheck>): Promise<AnswerOf<typeof api.reverseWaterCheck>> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      const row = await this.#row(tenant, params.waterCheckId);
      const reversal = await this.reversals.write(tenant, { kind: 'water-check', id: row.id, happenedOn: row.happened_on }, body);
      return writeReversal(reversal);
    });
  }

  async #row({ db, operationId }: OperationTenant, id: string): Promise<WaterCheckRow> {
    const row = await db.selectFrom('water_check').selectAll().where('operation_id', '=', operationId).where('id', '=', id).executeTakeFirst();
    if (row === undefined) throw notFound('water check');
    return row;
  }
}

function litres(value: string, gallons: boolean): string {
  return decimal(value).times(gallons ? decimalFromFloat(LITRES_PER_GALLON, 9) : '1').toFixed(6);
}

function written(row: WaterCheckRow, reversal: Selectable<DB['reversal']> | undefined): Answer {
  const text = (value: string | null): string | null => (value === null ? null : decimalText(decimal(value)));
  const supply = supplyOf(row);
  return {
    id: row.id, placeId: row.place_id, source: row.source_name, checkedOn: row.happened_on, checkedAt: row.happened_at, state: row.state as 'open',
    flow: row.flow_value === null ? null : { value: row.flow_value, unit: row.flow_unit as 'L/min' }, tank: row.tank_value === null ? null : { value: row.tank_value, unit: row.tank_unit as 'L' },
    supplyLitresPerDay: supply === null ? null : Number(supply.toFixed(1)), dissolvedSolidsMgPerL: text(row.dissolved_solids), sulfateMgPerL: text(row.sulfate), note: row.note,
    reversal: writeReversal(reversal), recordedAt: row.recorded_at, recordedBy: row.recorded_by,
  };
}
