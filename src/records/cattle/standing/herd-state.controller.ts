import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './herd-state.schema.js';
import { HerdStateService } from './herd-state.service.js';

@Controller()
export class HerdStateController {
  constructor(private readonly service: HerdStateService) {}

  @Endpoint(api.getHerdState)
  get(@Received() { tenant, input }: CallOf<typeof api.getHerdState>): Promise<AnswerOf<typeof api.getHerdState>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.getHerdWeightTrend)
  weightTrend(
    @Received() { tenant, input }: CallOf<typeof api.getHerdWeightTrend>,
  ): Promise<AnswerOf<typeof api.getHerdWeightTrend>> {
    return this.service.weightTrend(tenant, input);
  }
}
