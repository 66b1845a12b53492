import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './late-cost.schema.js';
import { LateCostService } from './late-cost.service.js';

@Controller()
export class LateCostController {
  constructor(private readonly service: LateCostService) {}

  @Endpoint(api.createLateCost)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createLateCost>,
  ): Promise<AnswerOf<typeof api.createLateCost>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listLateCosts)
  list(@Received() { tenant, input }: CallOf<typeof api.listLateCosts>): Promise<AnswerOf<typeof api.listLateCosts>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getLateCost)
  get(@Received() { tenant, input }: CallOf<typeof api.getLateCost>): Promise<AnswerOf<typeof api.getLateCost>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.reverseLateCost)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseLateCost>,
  ): Promise<AnswerOf<typeof api.reverseLateCost>> {
    return this.service.reverse(tenant, input);
  }

  @Endpoint(api.correctLateCost)
  correct(
    @Received() { tenant, input }: CallOf<typeof api.correctLateCost>,
  ): Promise<AnswerOf<typeof api.correctLateCost>> {
    return this.service.correct(tenant, input);
  }
}
