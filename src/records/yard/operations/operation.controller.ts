import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './operation.schema.js';
import { OperationService } from './operation.service.js';

@Controller()
export class OperationController {
  constructor(private readonly service: OperationService) {}

  @Endpoint(api.createOperation)
  create(@Received() call: CallOf<typeof api.createOperation>): Promise<AnswerOf<typeof api.createOperation>> {
    return this.service.create(call);
  }

  @Endpoint(api.listOperations)
  list(@Received() call: CallOf<typeof api.listOperations>): Promise<AnswerOf<typeof api.listOperations>> {
    return this.service.list(call);
  }

  @Endpoint(api.getOperation)
  get(@Received() call: CallOf<typeof api.getOperation>): Promise<AnswerOf<typeof api.getOperation>> {
    return this.service.get(call);
  }

  @Endpoint(api.changeOperation)
  change(@Received() call: CallOf<typeof api.changeOperation>): Promise<AnswerOf<typeof api.changeOperation>> {
    return this.service.change(call);
  }
}
