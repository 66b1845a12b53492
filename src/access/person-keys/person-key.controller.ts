import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './person-key.schema.js';
import { PersonKeyService } from './person-key.service.js';

@Controller()
export class PersonKeyController {
  constructor(private readonly service: PersonKeyService) {}

  @Endpoint(api.createPersonKey)
  create(@Received() call: CallOf<typeof api.createPersonKey>): Promise<AnswerOf<typeof api.createPersonKey>> {
    return this.service.create(call);
  }

  @Endpoint(api.listPersonKeys)
  list(@Received() call: CallOf<typeof api.listPersonKeys>): Promise<AnswerOf<typeof api.listPersonKeys>> {
    return this.service.list(call);
  }

  @Endpoint(api.getPersonKey)
  get(@Received() call: CallOf<typeof api.getPersonKey>): Promise<AnswerOf<typeof api.getPersonKey>> {
    return this.service.get(call);
  }

  @Endpoint(api.rotatePersonKey)
  rotate(@Received() call: CallOf<typeof api.rotatePersonKey>): Promise<AnswerOf<typeof api.rotatePersonKey>> {
    return this.service.rotate(call);
  }

  @Endpoint(api.revokePersonKey)
  revoke(@Received() call: CallOf<typeof api.revokePersonKey>): Promise<void> {
    return this.service.revoke(call);
  }
}
