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
  createHerd(@Received() { tenant, input }: CallOf<typeof api.createHerd>): Promise<AnswerOf<typeof api.createHerd>> {
    return this.herds.create(tenant, input);
  }

  @Endpoint(api.listHerds)
  listHerds(@Received() { tenant, input }: CallOf<typeof api.listHerds>): Promise<AnswerOf<typeof api.listHerds>> {
    return this.herds.list(tenant, input);
  }

  @Endpoint(api.getHerd)
  getHerd(@Received() { tenant, input }: CallOf<typeof api.getHerd>): Promise<AnswerOf<typeof api.getHerd>> {
    return this.herds.get(tenant, input);
  }

  @Endpoint(api.changeHerd)
  changeHerd(@Received() { tenant, input }: CallOf<typeof api.changeHerd>): Promise<AnswerOf<typeof api.changeHerd>> {
    return this.herds.change(tenant, input);
  }

  @Endpoint(api.createHeadChange)
  createHeadChange(
    @Received() { tenant, input }: CallOf<typeof api.createHeadChange>,
  ): Promise<AnswerOf<typeof api.createHeadChange>> {
    return this.headChanges.create(tenant, input);
  }

  @Endpoint(api.listHeadChanges)
  listHeadChanges(
    @Received() { tenant, input }: CallOf<typeof api.listHeadChanges>,
  ): Promise<AnswerOf<typeof api.listHeadChanges>> {
    return this.headChanges.list(tenant, input);
  }

  @Endpoint(api.listAllHeadChanges)
  listAllHeadChanges(
    @Received() { tenant, input }: CallOf<typeof api.listAllHeadChanges>,
  ): Promise<AnswerOf<typeof api.listAllHeadChanges>> {
    return this.headChanges.listAll(tenant, input);
  }

  @Endpoint(api.getHeadChange)
  getHeadChange(
    @Received() { tenant, input }: CallOf<typeof api.getHeadChange>,
  ): Promise<AnswerOf<typeof api.getHeadChange>> {
    return this.headChanges.get(tenant, input);
  }

  @Endpoint(api.correctHeadChange)
  correctHeadChange(
    @Received() { tenant, input }: CallOf<typeof api.correctHeadChange>,
  ): Promise<AnswerOf<typeof api.correctHeadChange>> {
    return this.headChanges.correct(tenant, input);
  }

  @Endpoint(api.reverseHeadChange)
  reverseHeadChange(
    @Received() { tenant, input }: CallOf<typeof api.reverseHeadChange>,
  ): Promise<AnswerOf<typeof api.reverseHeadChange>> {
    return this.headChanges.reverse(tenant, input);
  }

  @Endpoint(api.priceHeadChange)
  priceHeadChange(
    @Received() { tenant, input }: CallOf<typeof api.priceHeadChange>,
  ): Promise<AnswerOf<typeof api.priceHeadChange>> {
    return this.headChanges.price(tenant, input);
  }

  @Endpoint(api.getHeadDays)
  headDays(@Received() { tenant, input }: CallOf<typeof api.getHeadDays>): Promise<AnswerOf<typeof api.getHeadDays>> {
    return this.headDaysOf.get(tenant, input);
  }
}
