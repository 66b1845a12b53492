import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './closeout.schema.js';
import { CloseoutService } from './closeout.service.js';

@Controller()
export class CloseoutController {
  constructor(private readonly service: CloseoutService) {}

  @Endpoint(api.getHerdCloseout)
  report(
    @Received() { tenant, input }: CallOf<typeof api.getHerdCloseout>,
  ): Promise<AnswerOf<typeof api.getHerdCloseout>> {
    return this.service.report(tenant, input);
  }
}
