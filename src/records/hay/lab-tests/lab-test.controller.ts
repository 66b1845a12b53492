import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './lab-test.schema.js';
import { LabTestService } from './lab-test.service.js';

@Controller()
export class LabTestController {
  constructor(private readonly service: LabTestService) {}

  @Endpoint(api.createLabTest)
  create(@Received() call: CallOf<typeof api.createLabTest>): Promise<AnswerOf<typeof api.createLabTest>> {
    return this.service.create(call);
  }

  @Endpoint(api.listLabTests)
  list(@Received() call: CallOf<typeof api.listLabTests>): Promise<AnswerOf<typeof api.listLabTests>> {
    return this.service.list(call);
  }

  @Endpoint(api.getLabTest)
  get(@Received() call: CallOf<typeof api.getLabTest>): Promise<AnswerOf<typeof api.getLabTest>> {
    return this.service.get(call);
  }

  @Endpoint(api.withdrawLabTest)
  withdraw(@Received() call: CallOf<typeof api.withdrawLabTest>): Promise<AnswerOf<typeof api.withdrawLabTest>> {
    return this.service.withdraw(call);
  }
}
