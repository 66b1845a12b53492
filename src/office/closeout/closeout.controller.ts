import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './closeout.schema.js';
import { CloseoutService } from './closeout.service.js';
import * as period from './period-closeouts.schema.js';
import { PeriodCloseoutsService } from './period-closeouts.service.js';

@Controller()
export class CloseoutController {
  constructor(
    private readonly service: CloseoutService,
    private readonly ofPeriod: PeriodCloseoutsService,
  ) {}

  @Endpoint(period.getHerdCloseouts)
  all(
    @Received() { tenant, input }: CallOf<typeof period.getHerdCloseouts>,
  ): Promise<AnswerOf<typeof period.getHerdCloseouts>> {
    return this.ofPeriod.report(tenant, input);
  }

  @Endpoint(api.getHerdCloseout)
  report(
    @Received() { tenant, input }: CallOf<typeof api.getHerdCloseout>,
  ): Promise<AnswerOf<typeof api.getHerdCloseout>> {
    return this.service.report(tenant, input);
  }
}
