import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './season-plan.schema.js';
import { SeasonPlanService } from './season-plan.service.js';

@Controller()
export class SeasonPlanController {
  constructor(private readonly service: SeasonPlanService) {}

  @Endpoint(api.seasonRationPlan)
  get(
    @Received() { tenant, input }: CallOf<typeof api.seasonRationPlan>,
  ): Promise<AnswerOf<typeof api.seasonRationPlan>> {
    return this.service.get(tenant, input);
  }
}
