import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './yardage-rate.schema.js';
import { YardageRateService } from './yardage-rate.service.js';

@Controller()
export class YardageRateController {
  constructor(private readonly service: YardageRateService) {}

  @Endpoint(api.createYardageRate)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createYardageRate>,
  ): Promise<AnswerOf<typeof api.createYardageRate>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listYardageRates)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listYardageRates>,
  ): Promise<AnswerOf<typeof api.listYardageRates>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getYardageRate)
  get(@Received() { tenant, input }: CallOf<typeof api.getYardageRate>): Promise<AnswerOf<typeof api.getYardageRate>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.reverseYardageRate)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseYardageRate>,
  ): Promise<AnswerOf<typeof api.reverseYardageRate>> {
    return this.service.reverse(tenant, input);
  }
}
