import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './data-rights.schema.js';
import { DataRightsService } from './data-rights.service.js';

@Controller()
export class DataRightsController {
  constructor(private readonly service: DataRightsService) {}

  @Endpoint(api.exportOperation)
  archive(
    @Received() { asker, input }: CallOf<typeof api.exportOperation>,
  ): Promise<AnswerOf<typeof api.exportOperation>> {
    return this.service.archive(asker, input);
  }

  @Endpoint(api.requestDeletion)
  requestDeletion(
    @Received() { tenant, input }: CallOf<typeof api.requestDeletion>,
  ): Promise<AnswerOf<typeof api.requestDeletion>> {
    return this.service.requestDeletion(tenant, input);
  }

  @Endpoint(api.getDeletion)
  getDeletion(@Received() { tenant }: CallOf<typeof api.getDeletion>): Promise<AnswerOf<typeof api.getDeletion>> {
    return this.service.getDeletion(tenant);
  }

  @Endpoint(api.cancelDeletion)
  cancelDeletion(@Received() { tenant, input }: CallOf<typeof api.cancelDeletion>): Promise<void> {
    return this.service.cancelDeletion(tenant, input);
  }

  @Endpoint(api.confirmDeletion)
  confirmDeletion(
    @Received() { tenant, input }: CallOf<typeof api.confirmDeletion>,
  ): Promise<AnswerOf<typeof api.confirmDeletion>> {
    return this.service.confirmDeletion(tenant, input);
  }

  @Endpoint(api.listErasedOperations)
  listErased(
    @Received() { tenant, input }: CallOf<typeof api.listErasedOperations>,
  ): Promise<AnswerOf<typeof api.listErasedOperations>> {
    return this.service.listErased(tenant, input);
  }
}
