import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './weather-day.schema.js';
import { WeatherDayService } from './weather-day.service.js';

@Controller()
export class WeatherDayController {
  constructor(private readonly service: WeatherDayService) {}

  @Endpoint(api.createWeatherDay)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createWeatherDay>,
  ): Promise<AnswerOf<typeof api.createWeatherDay>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listWeatherDays)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listWeatherDays>,
  ): Promise<AnswerOf<typeof api.listWeatherDays>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getWeatherDay)
  get(@Received() { tenant, input }: CallOf<typeof api.getWeatherDay>): Promise<AnswerOf<typeof api.getWeatherDay>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.reverseWeatherDay)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseWeatherDay>,
  ): Promise<AnswerOf<typeof api.reverseWeatherDay>> {
    return this.service.reverse(tenant, input);
  }
}
