import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './water-check.schema.js';
import { WaterCheckService } from './water-check.service.js';

@Controller()
export class WaterCheckController {
  constructor(private readonly service: WaterCheckService) {}

  @Endpoint(api.createWaterCheck)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createWaterCheck>,
  ): Promise<AnswerOf<typeof api.createWaterCheck>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listWaterChecks)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listWaterChecks>,
  ): Promise<AnswerOf<typeof api.listWaterChecks>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getWaterCheck)
  get(@Received() { tenant, input }: CallOf<typeof api.getWaterCheck>): Promise<AnswerOf<typeof api.getWaterCheck>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.reverseWaterCheck)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseWaterCheck>,
  ): Promise<AnswerOf<typeof api.reverseWaterCheck>> {
    return this.service.reverse(tenant, input);
  }
}
