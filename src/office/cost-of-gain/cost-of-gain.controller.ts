import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './cost-of-gain.schema.js';
import { CostOfGainService } from './cost-of-gain.service.js';

@Controller()
export class CostOfGainController {
  constructor(private readonly service: CostOfGainService) {}

  @Endpoint(api.getCostOfGain)
  report(@Received() { tenant, input }: CallOf<typeof api.getCostOfGain>): Promise<AnswerOf<typeof api.getCostOfGain>> {
    return this.service.report(tenant, input);
  }
}
