import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './sampling-plan.schema.js';
import { SamplingPlanService } from './sampling-plan.service.js';

@Controller()
export class SamplingPlanController {
  constructor(private readonly service: SamplingPlanService) {}

  @Endpoint(api.getSamplingPlan)
  get(
    @Received() { tenant, input }: CallOf<typeof api.getSamplingPlan>,
  ): Promise<AnswerOf<typeof api.getSamplingPlan>> {
    return this.service.get(tenant, input);
  }
}
