import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './hay-quote.schema.js';
import { HayQuoteService } from './hay-quote.service.js';

@Controller()
export class HayQuoteController {
  constructor(private readonly service: HayQuoteService) {}

  @Endpoint(api.createHayQuote)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createHayQuote>,
  ): Promise<AnswerOf<typeof api.createHayQuote>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listHayQuotes)
  list(@Received() { tenant, input }: CallOf<typeof api.listHayQuotes>): Promise<AnswerOf<typeof api.listHayQuotes>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getHayQuote)
  get(@Received() { tenant, input }: CallOf<typeof api.getHayQuote>): Promise<AnswerOf<typeof api.getHayQuote>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.reverseHayQuote)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseHayQuote>,
  ): Promise<AnswerOf<typeof api.reverseHayQuote>> {
    return this.service.reverse(tenant, input);
  }

  @Endpoint(api.purchaseFromHayQuote)
  purchase(
    @Received() { tenant, input }: CallOf<typeof api.purchaseFromHayQuote>,
  ): Promise<AnswerOf<typeof api.purchaseFromHayQuote>> {
    return this.service.purchase(tenant, input);
  }
}
