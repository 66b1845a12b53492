import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './ranch.schema.js';
import { RanchService } from './ranch.service.js';

@Controller()
export class RanchController {
  constructor(private readonly service: RanchService) {}

  @Endpoint(api.createRanch)
  create(@Received() call: CallOf<typeof api.createRanch>): Promise<AnswerOf<typeof api.createRanch>> {
    return this.service.create(call);
  }

  @Endpoint(api.listRanches)
  list(@Received() call: CallOf<typeof api.listRanches>): Promise<AnswerOf<typeof api.listRanches>> {
    return this.service.list(call);
  }

  @Endpoint(api.getRanch)
  get(@Received() call: CallOf<typeof api.getRanch>): Promise<AnswerOf<typeof api.getRanch>> {
    return this.service.get(call);
  }

  @Endpoint(api.changeRanch)
  change(@Received() call: CallOf<typeof api.changeRanch>): Promise<AnswerOf<typeof api.changeRanch>> {
    return this.service.change(call);
  }

  @Endpoint(api.createPlace)
  createPlace(@Received() call: CallOf<typeof api.createPlace>): Promise<AnswerOf<typeof api.createPlace>> {
    return this.service.createPlace(call);
  }

  @Endpoint(api.listPlaces)
  listPlaces(@Received() call: CallOf<typeof api.listPlaces>): Promise<AnswerOf<typeof api.listPlaces>> {
    return this.service.listPlaces(call);
  }

  @Endpoint(api.getPlace)
  getPlace(@Received() call: CallOf<typeof api.getPlace>): Promise<AnswerOf<typeof api.getPlace>> {
    return this.service.getPlace(call);
  }

  @Endpoint(api.changePlace)
  changePlace(@Received() call: CallOf<typeof api.changePlace>): Promise<AnswerOf<typeof api.changePlace>> {
    return this.service.changePlace(call);
  }
}
