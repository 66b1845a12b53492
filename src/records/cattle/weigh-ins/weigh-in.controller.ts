import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './weigh-in.schema.js';
import { WeighInService } from './weigh-in.service.js';

@Controller()
export class WeighInController {
  constructor(private readonly service: WeighInService) {}

  @Endpoint(api.createWeighIn)
  create(@Received() { tenant, input }: CallOf<typeof api.createWeighIn>): Promise<AnswerOf<typeof api.createWeighIn>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listWeighIns)
  list(@Received() { tenant, input }: CallOf<typeof api.listWeighIns>): Promise<AnswerOf<typeof api.listWeighIns>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getWeighIn)
  get(@Received() { tenant, input }: CallOf<typeof api.getWeighIn>): Promise<AnswerOf<typeof api.getWeighIn>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.reverseWeighIn)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseWeighIn>,
  ): Promise<AnswerOf<typeof api.reverseWeighIn>> {
    return this.service.reverse(tenant, input);
  }

  @Endpoint(api.getDayWeights)
  dayWeights(
    @Received() { tenant, input }: CallOf<typeof api.getDayWeights>,
  ): Promise<AnswerOf<typeof api.getDayWeights>> {
    return this.service.dayWeights(tenant, input);
  }

  @Endpoint(api.correctWeighIn)
  correct(
    @Received() { tenant, input }: CallOf<typeof api.correctWeighIn>,
  ): Promise<AnswerOf<typeof api.correctWeighIn>> {
    return this.service.correct(tenant, input);
  }
}
