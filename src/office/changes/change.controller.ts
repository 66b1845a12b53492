import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './change.schema.js';
import { ChangeService } from './change.service.js';

@Controller()
export class ChangeController {
  constructor(private readonly service: ChangeService) {}

  @Endpoint(api.getChanges)
  list(@Received() { tenant, input }: CallOf<typeof api.getChanges>): Promise<AnswerOf<typeof api.getChanges>> {
    return this.service.list(tenant, input);
  }
}
