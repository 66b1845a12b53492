import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './herd-cost.schema.js';
import { HerdCostService } from './herd-cost.service.js';

@Controller()
export class HerdCostController {
  constructor(private readonly service: HerdCostService) {}

  @Endpoint(api.createHerdCost)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createHerdCost>,
  ): Promise<AnswerOf<typeof api.createHerdCost>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listHerdCosts)
  list(@Received() { tenant, input }: CallOf<typeof api.listHerdCosts>): Promise<AnswerOf<typeof api.listHerdCosts>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getHerdCost)
  get(@Received() { tenant, input }: CallOf<typeof api.getHerdCost>): Promise<AnswerOf<typeof api.getHerdCost>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.reverseHerdCost)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseHerdCost>,
  ): Promise<AnswerOf<typeof api.reverseHerdCost>> {
    return this.service.reverse(tenant, input);
  }

  @Endpoint(api.correctHerdCost)
  correct(
    @Received() { tenant, input }: CallOf<typeof api.correctHerdCost>,
  ): Promise<AnswerOf<typeof api.correctHerdCost>> {
    return this.service.correct(tenant, input);
  }
}
