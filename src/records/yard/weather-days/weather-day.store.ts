import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { WeatherDayRow } from './weather-day.read.js';

@Injectable()
export class WeatherDayStore {
  async insert(tenant: OperationTenant, weather: NewRow<'weather_day'>): Promise<WeatherDayRow> {
    return tenant.db
      .insertInto('weather_day')
      .values({ ...weather, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }
}
