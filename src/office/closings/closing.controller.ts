import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './closing.schema.js';
import { ClosingService } from './closing.service.js';

@Controller()
export class ClosingController {
  constructor(private readonly service: ClosingService) {}

  @Endpoint(api.closeBooks)
  close(@Received() { tenant, input }: CallOf<typeof api.closeBooks>): Promise<AnswerOf<typeof api.closeBooks>> {
    return this.service.close(tenant, input);
  }

  @Endpoint(api.listClosings)
  list(@Received() { tenant, input }: CallOf<typeof api.listClosings>): Promise<AnswerOf<typeof api.listClosings>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getClosing)
  get(@Received() { tenant, input }: CallOf<typeof api.getClosing>): Promise<AnswerOf<typeof api.getClosing>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.reopenBooks)
  reopen(@Received() { tenant, input }: CallOf<typeof api.reopenBooks>): Promise<AnswerOf<typeof api.reopenBooks>> {
    return this.service.reopen(tenant, input);
  }

  @Endpoint(api.getClosedReport)
  report(
    @Received() { tenant, input }: CallOf<typeof api.getClosedReport>,
  ): Promise<AnswerOf<typeof api.getClosedReport>> {
    return this.service.report(tenant, input);
  }
}
