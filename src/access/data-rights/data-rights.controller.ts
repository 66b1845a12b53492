import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './data-rights.schema.js';
import { DataRightsService } from './data-rights.service.js';

@Controller()
export class DataRightsController {
  constructor(private readonly service: DataRightsService) {}

  @Endpoint(api.exportOperation)
  archive(@Received() call: CallOf<typeof api.exportOperation>): Promise<AnswerOf<typeof api.exportOperation>> {
    return this.service.archive(call);
  }

  @Endpoint(api.requestDeletion)
  requestDeletion(@Received() call: CallOf<typeof api.requestDeletion>): Promise<AnswerOf<typeof api.requestDeletion>> {
    return this.service.requestDeletion(call);
  }

  @Endpoint(api.getDeletion)
  getDeletion(@Received() call: CallOf<typeof api.getDeletion>): Promise<AnswerOf<typeof api.getDeletion>> {
    return this.service.getDeletion(call);
  }

  @Endpoint(api.cancelDeletion)
  cancelDeletion(@Received() call: CallOf<typeof api.cancelDeletion>): Promise<void> {
    return this.service.cancelDeletion(call);
  }

  @Endpoint(api.confirmDeletion)
  confirmDeletion(@Received() call: CallOf<typeof api.confirmDeletion>): Promise<AnswerOf<typeof api.confirmDeletion>> {
    return this.service.confirmDeletion(call);
  }

  @Endpoint(api.listErasedOperations)
  listErased(
    @Received() call: CallOf<typeof api.listErasedOperations>,
  ): Promise<AnswerOf<typeof api.listErasedOperations>> {
    return this.service.listErased(call);
  }
}
