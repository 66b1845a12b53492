import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './harvest.schema.js';
import { HarvestService } from './harvest.service.js';

@Controller()
export class HarvestController {
  constructor(private readonly service: HarvestService) {}

  @Endpoint(api.createHarvest)
  create(@Received() { tenant, input }: CallOf<typeof api.createHarvest>): Promise<AnswerOf<typeof api.createHarvest>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listHarvests)
  list(@Received() { tenant, input }: CallOf<typeof api.listHarvests>): Promise<AnswerOf<typeof api.listHarvests>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getHarvest)
  get(@Received() { tenant, input }: CallOf<typeof api.getHarvest>): Promise<AnswerOf<typeof api.getHarvest>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.reverseHarvest)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseHarvest>,
  ): Promise<AnswerOf<typeof api.reverseHarvest>> {
    return this.service.reverse(tenant, input);
  }

  @Endpoint(api.correctHarvest)
  correct(
    @Received() { tenant, input }: CallOf<typeof api.correctHarvest>,
  ): Promise<AnswerOf<typeof api.correctHarvest>> {
    return this.service.correct(tenant, input);
  }
}
