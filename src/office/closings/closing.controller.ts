import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './closing.schema.js';
import { ClosingService } from './closing.service.js';

@Controller()
export class ClosingController {
  constructor(private readonly service: ClosingService) {}

  @Endpoint(api.closeBooks)
  close(@Received() call: CallOf<typeof api.closeBooks>): Promise<AnswerOf<typeof api.closeBooks>> {
    return this.service.close(call);
  }

  @Endpoint(api.listClosings)
  list(@Received() call: CallOf<typeof api.listClosings>): Promise<AnswerOf<typeof api.listClosings>> {
    return this.service.list(call);
  }

  @Endpoint(api.getClosing)
  get(@Received() call: CallOf<typeof api.getClosing>): Promise<AnswerOf<typeof api.getClosing>> {
    return this.service.get(call);
  }

  @Endpoint(api.reopenBooks)
  reopen(@Received() call: CallOf<typeof api.reopenBooks>): Promise<AnswerOf<typeof api.reopenBooks>> {
    return this.service.reopen(call);
  }

  @Endpoint(api.getClosedReport)
  report(@Received() call: CallOf<typeof api.getClosedReport>): Promise<AnswerOf<typeof api.getClosedReport>> {
    return this.service.report(call);
  }
}
