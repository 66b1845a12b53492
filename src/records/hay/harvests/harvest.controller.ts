import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './harvest.schema.js';
import { HarvestService } from './harvest.service.js';

@Controller()
export class HarvestController {
  constructor(private readonly service: HarvestService) {}

  @Endpoint(api.createHarvest)
  create(@Received() call: CallOf<typeof api.createHarvest>): Promise<AnswerOf<typeof api.createHarvest>> {
    return this.service.create(call);
  }

  @Endpoint(api.listHarvests)
  list(@Received() call: CallOf<typeof api.listHarvests>): Promise<AnswerOf<typeof api.listHarvests>> {
    return this.service.list(call);
  }

  @Endpoint(api.getHarvest)
  get(@Received() call: CallOf<typeof api.getHarvest>): Promise<AnswerOf<typeof api.getHarvest>> {
    return this.service.get(call);
  }

  @Endpoint(api.reverseHarvest)
  reverse(@Received() call: CallOf<typeof api.reverseHarvest>): Promise<AnswerOf<typeof api.reverseHarvest>> {
    return this.service.reverse(call);
  }
}
