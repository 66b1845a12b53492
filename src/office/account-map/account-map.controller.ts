import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './account-map.schema.js';
import { AccountMapService } from './account-map.service.js';

@Controller()
export class AccountMapController {
  constructor(private readonly service: AccountMapService) {}

  @Endpoint(api.getAccountMap)
  get(@Received() { tenant }: CallOf<typeof api.getAccountMap>): Promise<AnswerOf<typeof api.getAccountMap>> {
    return this.service.get(tenant);
  }

  @Endpoint(api.changeAccountMap)
  change(
    @Received() { tenant, input }: CallOf<typeof api.changeAccountMap>,
  ): Promise<AnswerOf<typeof api.changeAccountMap>> {
    return this.service.change(tenant, input);
  }
}
