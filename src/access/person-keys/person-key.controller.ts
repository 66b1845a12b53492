import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './person-key.schema.js';
import { PersonKeyService } from './person-key.service.js';

@Controller()
export class PersonKeyController {
  constructor(private readonly service: PersonKeyService) {}

  @Endpoint(api.createPersonKey)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createPersonKey>,
  ): Promise<AnswerOf<typeof api.createPersonKey>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listPersonKeys)
  list(@Received() { tenant, input }: CallOf<typeof api.listPersonKeys>): Promise<AnswerOf<typeof api.listPersonKeys>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getPersonKey)
  get(@Received() { tenant, input }: CallOf<typeof api.getPersonKey>): Promise<AnswerOf<typeof api.getPersonKey>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.rotatePersonKey)
  rotate(
    @Received() { tenant, input }: CallOf<typeof api.rotatePersonKey>,
  ): Promise<AnswerOf<typeof api.rotatePersonKey>> {
    return this.service.rotate(tenant, input);
  }

  @Endpoint(api.revokePersonKey)
  revoke(@Received() { tenant, input }: CallOf<typeof api.revokePersonKey>): Promise<void> {
    return this.service.revoke(tenant, input);
  }
}
