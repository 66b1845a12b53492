import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './weather-day.schema.js';
import { WeatherDayService } from './weather-day.service.js';

@Controller()
export class WeatherDayController {
  constructor(private readonly service: WeatherDayService) {}

  @Endpoint(api.createWeatherDay)
  create(@Received() call: CallOf<typeof api.createWeatherDay>): Promise<AnswerOf<typeof api.createWeatherDay>> {
    return this.service.create(call);
  }

  @Endpoint(api.listWeatherDays)
  list(@Received() call: CallOf<typeof api.listWeatherDays>): Promise<AnswerOf<typeof api.listWeatherDays>> {
    return this.service.list(call);
  }

  @Endpoint(api.getWeatherDay)
  get(@Received() call: CallOf<typeof api.getWeatherDay>): Promise<AnswerOf<typeof api.getWeatherDay>> {
    return this.service.get(call);
  }

  @Endpoint(api.reverseWeatherDay)
  reverse(@Received() call: CallOf<typeof api.reverseWeatherDay>): Promise<AnswerOf<typeof api.reverseWeatherDay>> {
    return this.service.reverse(call);
  }
}
