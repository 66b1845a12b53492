import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './api-key.schema.js';
import { ApiKeyService } from './api-key.service.js';

@Controller()
export class ApiKeyController {
  constructor(private readonly service: ApiKeyService) {}

  @Endpoint(api.createApiKey)
  create(@Received() call: CallOf<typeof api.createApiKey>): Promise<AnswerOf<typeof api.createApiKey>> {
    return this.service.create(call);
  }

  @Endpoint(api.listApiKeys)
  list(@Received() call: CallOf<typeof api.listApiKeys>): Promise<AnswerOf<typeof api.listApiKeys>> {
    return this.service.list(call);
  }

  @Endpoint(api.getApiKey)
  get(@Received() call: CallOf<typeof api.getApiKey>): Promise<AnswerOf<typeof api.getApiKey>> {
    return this.service.get(call);
  }

  @Endpoint(api.rotateApiKey)
  rotate(@Received() call: CallOf<typeof api.rotateApiKey>): Promise<AnswerOf<typeof api.rotateApiKey>> {
    return this.service.rotate(call);
  }

  @Endpoint(api.revokeApiKey)
  revoke(@Received() call: CallOf<typeof api.revokeApiKey>): Promise<void> {
    return this.service.revoke(call);
  }
}
