import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './hay-transfer.schema.js';
import { HayTransferService } from './hay-transfer.service.js';

@Controller()
export class HayTransferController {
  constructor(private readonly service: HayTransferService) {}

  @Endpoint(api.listHayTransfers)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listHayTransfers>,
  ): Promise<AnswerOf<typeof api.listHayTransfers>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.reverseHayTransfer)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseHayTransfer>,
  ): Promise<AnswerOf<typeof api.reverseHayTransfer>> {
    return this.service.reverse(tenant, input);
  }

  @Endpoint(api.correctHayTransfer)
  correct(
    @Received() { tenant, input }: CallOf<typeof api.correctHayTransfer>,
  ): Promise<AnswerOf<typeof api.correctHayTransfer>> {
    return this.service.correct(tenant, input);
  }
}
