import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './api-key.schema.js';
import { ApiKeyService } from './api-key.service.js';

@Controller()
export class ApiKeyController {
  constructor(private readonly service: ApiKeyService) {}

  @Endpoint(api.createApiKey)
  create(@Received() { tenant, input }: CallOf<typeof api.createApiKey>): Promise<AnswerOf<typeof api.createApiKey>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listApiKeys)
  list(@Received() { tenant, input }: CallOf<typeof api.listApiKeys>): Promise<AnswerOf<typeof api.listApiKeys>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getApiKey)
  get(@Received() { tenant, input }: CallOf<typeof api.getApiKey>): Promise<AnswerOf<typeof api.getApiKey>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.rotateApiKey)
  rotate(@Received() { tenant, input }: CallOf<typeof api.rotateApiKey>): Promise<AnswerOf<typeof api.rotateApiKey>> {
    return this.service.rotate(tenant, input);
  }

  @Endpoint(api.revokeApiKey)
  revoke(@Received() { tenant, input }: CallOf<typeof api.revokeApiKey>): Promise<void> {
    return this.service.revoke(tenant, input);
  }
}
