import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './tie-out.schema.js';
import { TieOutService } from './tie-out.service.js';

@Controller()
export class TieOutController {
  constructor(private readonly service: TieOutService) {}

  @Endpoint(api.getTieOut)
  report(@Received() { tenant, input }: CallOf<typeof api.getTieOut>): Promise<AnswerOf<typeof api.getTieOut>> {
    return this.service.report(tenant, input);
  }
}
