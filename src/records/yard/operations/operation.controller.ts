import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './operation.schema.js';
import { OperationService } from './operation.service.js';

@Controller()
export class OperationController {
  constructor(private readonly service: OperationService) {}

  @Endpoint(api.createOperation)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createOperation>,
  ): Promise<AnswerOf<typeof api.createOperation>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listOperations)
  list(@Received() { tenant, input }: CallOf<typeof api.listOperations>): Promise<AnswerOf<typeof api.listOperations>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getOperation)
  get(@Received() { tenant, input }: CallOf<typeof api.getOperation>): Promise<AnswerOf<typeof api.getOperation>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.changeOperation)
  change(
    @Received() { tenant, input }: CallOf<typeof api.changeOperation>,
  ): Promise<AnswerOf<typeof api.changeOperation>> {
    return this.service.change(tenant, input);
  }
}
