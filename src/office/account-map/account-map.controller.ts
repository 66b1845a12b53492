import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './account-map.schema.js';
import { AccountMapService } from './account-map.service.js';

@Controller()
export class AccountMapController {
  constructor(private readonly service: AccountMapService) {}

  @Endpoint(api.getAccountMap)
  get(@Received() call: CallOf<typeof api.getAccountMap>): Promise<AnswerOf<typeof api.getAccountMap>> {
    return this.service.get(call);
  }

  @Endpoint(api.changeAccountMap)
  change(@Received() call: CallOf<typeof api.changeAccountMap>): Promise<AnswerOf<typeof api.changeAccountMap>> {
    return this.service.change(call);
  }
}
