import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './season-cost.schema.js';
import { SeasonCostService } from './season-cost.service.js';

@Controller()
export class SeasonCostController {
  constructor(private readonly service: SeasonCostService) {}

  @Endpoint(api.getSeasonCost)
  report(@Received() { tenant, input }: CallOf<typeof api.getSeasonCost>): Promise<AnswerOf<typeof api.getSeasonCost>> {
    return this.service.report(tenant, input);
  }
}
