import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './icar-weight.schema.js';
import { IcarWeightService } from './icar-weight.service.js';

@Controller()
export class IcarWeightController {
  constructor(private readonly service: IcarWeightService) {}

  @Endpoint(api.importIcarWeights)
  take(
    @Received() { asker, input }: CallOf<typeof api.importIcarWeights>,
  ): Promise<AnswerOf<typeof api.importIcarWeights>> {
    return this.service.take(asker, input);
  }

  @Endpoint(api.exportIcarWeights)
  list(
    @Received() { tenant, input }: CallOf<typeof api.exportIcarWeights>,
  ): Promise<AnswerOf<typeof api.exportIcarWeights>> {
    return this.service.list(tenant, input);
  }
}
