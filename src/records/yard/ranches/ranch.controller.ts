import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './ranch.schema.js';
import { RanchService } from './ranch.service.js';

@Controller()
export class RanchController {
  constructor(private readonly service: RanchService) {}

  @Endpoint(api.createRanch)
  create(@Received() { tenant, input }: CallOf<typeof api.createRanch>): Promise<AnswerOf<typeof api.createRanch>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listRanches)
  list(@Received() { tenant, input }: CallOf<typeof api.listRanches>): Promise<AnswerOf<typeof api.listRanches>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getRanch)
  get(@Received() { tenant, input }: CallOf<typeof api.getRanch>): Promise<AnswerOf<typeof api.getRanch>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.changeRanch)
  change(@Received() { tenant, input }: CallOf<typeof api.changeRanch>): Promise<AnswerOf<typeof api.changeRanch>> {
    return this.service.change(tenant, input);
  }

  @Endpoint(api.createPlace)
  createPlace(
    @Received() { tenant, input }: CallOf<typeof api.createPlace>,
  ): Promise<AnswerOf<typeof api.createPlace>> {
    return this.service.createPlace(tenant, input);
  }

  @Endpoint(api.listPlaces)
  listPlaces(@Received() { tenant, input }: CallOf<typeof api.listPlaces>): Promise<AnswerOf<typeof api.listPlaces>> {
    return this.service.listPlaces(tenant, input);
  }

  @Endpoint(api.getPlace)
  getPlace(@Received() { tenant, input }: CallOf<typeof api.getPlace>): Promise<AnswerOf<typeof api.getPlace>> {
    return this.service.getPlace(tenant, input);
  }

  @Endpoint(api.changePlace)
  changePlace(
    @Received() { tenant, input }: CallOf<typeof api.changePlace>,
  ): Promise<AnswerOf<typeof api.changePlace>> {
    return this.service.changePlace(tenant, input);
  }
}
