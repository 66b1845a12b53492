import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './hay-quote.schema.js';
import { HayQuoteService } from './hay-quote.service.js';

@Controller()
export class HayQuoteController {
  constructor(private readonly service: HayQuoteService) {}

  @Endpoint(api.createHayQuote)
  create(@Received() call: CallOf<typeof api.createHayQuote>): Promise<AnswerOf<typeof api.createHayQuote>> {
    return this.service.create(call);
  }

  @Endpoint(api.listHayQuotes)
  list(@Received() call: CallOf<typeof api.listHayQuotes>): Promise<AnswerOf<typeof api.listHayQuotes>> {
    return this.service.list(call);
  }

  @Endpoint(api.getHayQuote)
  get(@Received() call: CallOf<typeof api.getHayQuote>): Promise<AnswerOf<typeof api.getHayQuote>> {
    return this.service.get(call);
  }

  @Endpoint(api.reverseHayQuote)
  reverse(@Received() call: CallOf<typeof api.reverseHayQuote>): Promise<AnswerOf<typeof api.reverseHayQuote>> {
    return this.service.reverse(call);
  }

  @Endpoint(api.purchaseFromHayQuote)
  purchase(
    @Received() call: CallOf<typeof api.purchaseFromHayQuote>,
  ): Promise<AnswerOf<typeof api.purchaseFromHayQuote>> {
    return this.service.purchase(call);
  }
}
