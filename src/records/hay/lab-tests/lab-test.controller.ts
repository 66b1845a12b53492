import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './lab-test.schema.js';
import { LabTestService } from './lab-test.service.js';

@Controller()
export class LabTestController {
  constructor(private readonly service: LabTestService) {}

  @Endpoint(api.listLabTests)
  list(@Received() { tenant, input }: CallOf<typeof api.listLabTests>): Promise<AnswerOf<typeof api.listLabTests>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.withdrawLabTest)
  withdraw(
    @Received() { tenant, input }: CallOf<typeof api.withdrawLabTest>,
  ): Promise<AnswerOf<typeof api.withdrawLabTest>> {
    return this.service.withdraw(tenant, input);
  }
}
