import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './stock-count.schema.js';
import { StockCountService } from './stock-count.service.js';

@Controller()
export class StockCountController {
  constructor(private readonly service: StockCountService) {}

  @Endpoint(api.createStockCount)
  create(@Received() call: CallOf<typeof api.createStockCount>): Promise<AnswerOf<typeof api.createStockCount>> {
    return this.service.create(call);
  }

  @Endpoint(api.listStockCounts)
  list(@Received() call: CallOf<typeof api.listStockCounts>): Promise<AnswerOf<typeof api.listStockCounts>> {
    return this.service.list(call);
  }

  @Endpoint(api.getStockCount)
  get(@Received() call: CallOf<typeof api.getStockCount>): Promise<AnswerOf<typeof api.getStockCount>> {
    return this.service.get(call);
  }

  @Endpoint(api.reverseStockCount)
  reverse(@Received() call: CallOf<typeof api.reverseStockCount>): Promise<AnswerOf<typeof api.reverseStockCount>> {
    return this.service.reverse(call);
  }
}
