import { Injectable } from '@nestjs/common';
import { convertDecimal } from '../../../core/units/unit.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { RanchRead } from '../ranches/ranch.read.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { Reversals } from '../../kit/reversal.store.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import { coatOf, WeatherDayRead, type WeatherDayRow } from './weather-day.read.js';
import type * as api from './weather-day.schema.js';
import { WeatherDayStore } from './weather-day.store.js';
import {
  formatTypedMeasure,
  formatTypedMeasureOrNull,
  type UnitSystem,
} from '../../../platform/wire/quantity.schema.js';

type Answer = AnswerOf<typeof api.getWeatherDay>;

@Injectable()
export class WeatherDayService {
  constructor(
    private readonly ranches: RanchRead,
    private readonly days: WeatherDayRead,
    private readonly store: WeatherDayStore,
    private readonly reversals: Reversals,
  ) {}

  async create(tenant: OperationTenant, { body, query }: InputOf<typeof api.createWeatherDay>): Promise<Answer> {
    const ranch = await this.ranches.one(tenant, body.ranchId);
    const { meanTemperature: temperature, wind, mudDepth: mud } = body;
    const row = await this.store.insert(tenant, {
      ranch_id: ranch.id,
      happened_on: body.onDay,
      temperature_c: celsius(temperature),
      temperature_value: temperature.value,
      temperature_unit: temperature.unit,
      wind_km_h: wind === undefined ? null : convertDecimal(wind.value, wind.unit, 'km/h').toFixed(3),
      wind_value: wind?.value ?? null,
      wind_unit: wind?.unit ?? null,
      wet: body.wet,
      mud_cm: mud === undefined ? null : convertDecimal(mud.value, mud.unit, 'cm').toFixed(3),
      mud_value: mud?.value ?? null,
      mud_unit: mud?.unit ?? null,
      coat: body.coat ?? null,
      note: body.note ?? null,
    });
    await tenant.audit({ action: 'weather-day.create', subjectKind: 'weather-day', subjectId: row.id, after: row });
    return answerFrom(row, undefined, query.units ?? tenant.operation.unitPreference);
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listWeatherDays>,
  ): Promise<AnswerOf<typeof api.listWeatherDays>> {
    const rows = await this.days.page(tenant, query);
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

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getWeatherDay>): Promise<Answer> {
    const row = await this.days.one(tenant, params.weatherDayId);
    const reversal = (await this.reversals.of(tenant, [row.id])).get(row.id);
    return answerFrom(row, reversal, query.units ?? tenant.operation.unitPreference);
  }

  async reverse(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.reverseWeatherDay>,
  ): Promise<AnswerOf<typeof api.reverseWeatherDay>> {
    const row = await this.days.one(tenant, params.weatherDayId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'weather-day', id: row.id, happenedOn: row.happened_on },
      body,
    );
    return reversalAnswer(reversal);
  }
}

function celsius({ value, unit }: { value: string; unit: 'F' | 'C' }): string {
  return unit === 'C' ? value : convertDecimal(value, unit, 'C').toFixed(3);
}

function answerFrom(row: WeatherDayRow, reversal: ReversalRow | undefined, units: UnitSystem): Answer {
  return {
    id: row.id,
    ranchId: row.ranch_id,
    onDay: row.happened_on,
    meanTemperature: formatTypedMeasure<'temperature'>(
      { value: row.temperature_value, unit: row.temperature_unit },
      units,
    ),
    wind: formatTypedMeasureOrNull<'speed'>(row.wind_value, row.wind_unit, units),
    wet: row.wet,
    mudDepth: formatTypedMeasureOrNull<'length'>(row.mud_value, row.mud_unit, units),
    coat: coatOf(row),
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
