import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './herd-requirement.schema.js';
import { HerdRequirementService } from './herd-requirement.service.js';

@Controller()
export class HerdRequirementController {
  constructor(private readonly service: HerdRequirementService) {}

  @Endpoint(api.herdRequirements)
  get(
    @Received() { tenant, input }: CallOf<typeof api.herdRequirements>,
  ): Promise<AnswerOf<typeof api.herdRequirements>> {
    return this.service.get(tenant, input);
  }
}
