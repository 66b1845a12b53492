import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './hay-purchase.schema.js';
import { HayPurchaseService } from './hay-purchase.service.js';

@Controller()
export class HayPurchaseController {
  constructor(private readonly service: HayPurchaseService) {}

  @Endpoint(api.listHayPurchases)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listHayPurchases>,
  ): Promise<AnswerOf<typeof api.listHayPurchases>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.reverseHayPurchase)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseHayPurchase>,
  ): Promise<AnswerOf<typeof api.reverseHayPurchase>> {
    return this.service.reverse(tenant, input);
  }

  @Endpoint(api.correctHayPurchase)
  correct(
    @Received() { tenant, input }: CallOf<typeof api.correctHayPurchase>,
  ): Promise<AnswerOf<typeof api.correctHayPurchase>> {
    return this.service.correct(tenant, input);
  }
}
