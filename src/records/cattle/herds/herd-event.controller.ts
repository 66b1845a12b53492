import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './herd-event.schema.js';
import { HerdEventService } from './herd-event.service.js';

@Controller()
export class HerdEventController {
  constructor(private readonly events: HerdEventService) {}

  @Endpoint(api.createHerdEvent)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createHerdEvent>,
  ): Promise<AnswerOf<typeof api.createHerdEvent>> {
    return this.events.create(tenant, input);
  }

  @Endpoint(api.listHerdEvents)
  list(@Received() { tenant, input }: CallOf<typeof api.listHerdEvents>): Promise<AnswerOf<typeof api.listHerdEvents>> {
    return this.events.list(tenant, input);
  }

  @Endpoint(api.getHerdEvent)
  get(@Received() { tenant, input }: CallOf<typeof api.getHerdEvent>): Promise<AnswerOf<typeof api.getHerdEvent>> {
    return this.events.get(tenant, input);
  }

  @Endpoint(api.correctHerdEvent)
  correct(
    @Received() { tenant, input }: CallOf<typeof api.correctHerdEvent>,
  ): Promise<AnswerOf<typeof api.correctHerdEvent>> {
    return this.events.correct(tenant, input);
  }

  @Endpoint(api.reverseHerdEvent)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseHerdEvent>,
  ): Promise<AnswerOf<typeof api.reverseHerdEvent>> {
    return this.events.reverse(tenant, input);
  }
}
