import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './roll-up.schema.js';
import { RollUpService } from './roll-up.service.js';

@Controller()
export class RollUpController {
  constructor(private readonly service: RollUpService) {}

  @Endpoint(api.getRollUp)
  report(@Received() { asker, input }: CallOf<typeof api.getRollUp>): Promise<AnswerOf<typeof api.getRollUp>> {
    return this.service.report(asker, input);
  }
}
