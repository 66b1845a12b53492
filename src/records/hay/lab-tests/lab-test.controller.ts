import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './lab-test.schema.js';
import { LabTestService } from './lab-test.service.js';

@Controller()
export class LabTestController {
  constructor(private readonly service: LabTestService) {}

  @Endpoint(api.createLabTest)
  create(@Received() { tenant, input }: CallOf<typeof api.createLabTest>): Promise<AnswerOf<typeof api.createLabTest>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listLabTests)
  list(@Received() { tenant, input }: CallOf<typeof api.listLabTests>): Promise<AnswerOf<typeof api.listLabTests>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getLabTest)
  get(@Received() { tenant, input }: CallOf<typeof api.getLabTest>): Promise<AnswerOf<typeof api.getLabTest>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.withdrawLabTest)
  withdraw(
    @Received() { tenant, input }: CallOf<typeof api.withdrawLabTest>,
  ): Promise<AnswerOf<typeof api.withdrawLabTest>> {
    return this.service.withdraw(tenant, input);
  }
}
