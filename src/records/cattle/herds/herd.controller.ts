import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import { HeadChangeService } from './head-change.service.js';
import { HeadDaysService } from './head-days.service.js';
import * as api from './herd.schema.js';
import { HerdService } from './herd.service.js';

@Controller()
export class HerdController {
  constructor(
    private readonly herds: HerdService,
    private readonly headChanges: HeadChangeService,
    private readonly headDaysOf: HeadDaysService,
  ) {}

  @Endpoint(api.createHerd)
  createHerd(@Received() call: CallOf<typeof api.createHerd>): Promise<AnswerOf<typeof api.createHerd>> {
    return this.herds.create(call);
  }

  @Endpoint(api.listHerds)
  listHerds(@Received() call: CallOf<typeof api.listHerds>): Promise<AnswerOf<typeof api.listHerds>> {
    return this.herds.list(call);
  }

  @Endpoint(api.getHerd)
  getHerd(@Received() call: CallOf<typeof api.getHerd>): Promise<AnswerOf<typeof api.getHerd>> {
    return this.herds.get(call);
  }

  @Endpoint(api.changeHerd)
  changeHerd(@Received() call: CallOf<typeof api.changeHerd>): Promise<AnswerOf<typeof api.changeHerd>> {
    return this.herds.change(call);
  }

  @Endpoint(api.createHeadChange)
  createHeadChange(
    @Received() call: CallOf<typeof api.createHeadChange>,
  ): Promise<AnswerOf<typeof api.createHeadChange>> {
    return this.headChanges.create(call);
  }

  @Endpoint(api.listHeadChanges)
  listHeadChanges(@Received() call: CallOf<typeof api.listHeadChanges>): Promise<AnswerOf<typeof api.listHeadChanges>> {
    return this.headChanges.list(call);
  }

  @Endpoint(api.getHeadChange)
  getHeadChange(@Received() call: CallOf<typeof api.getHeadChange>): Promise<AnswerOf<typeof api.getHeadChange>> {
    return this.headChanges.get(call);
  }

  @Endpoint(api.reverseHeadChange)
  reverseHeadChange(
    @Received() call: CallOf<typeof api.reverseHeadChange>,
  ): Promise<AnswerOf<typeof api.reverseHeadChange>> {
    return this.headChanges.reverse(call);
  }

  @Endpoint(api.getHeadDays)
  headDays(@Received() call: CallOf<typeof api.getHeadDays>): Promise<AnswerOf<typeof api.getHeadDays>> {
    return this.headDaysOf.get(call);
  }
}
