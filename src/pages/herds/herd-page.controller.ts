import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './herd-page.schema.js';
import { HerdPageService } from './herd-page.service.js';

@Controller()
export class HerdPageController {
  constructor(private readonly service: HerdPageService) {}

  @Endpoint(api.herdPage)
  herd(@Received() { tenant, input }: CallOf<typeof api.herdPage>): Promise<AnswerOf<typeof api.herdPage>> {
    return this.service.page(tenant, input);
  }
}
