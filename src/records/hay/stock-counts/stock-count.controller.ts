import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './stock-count.schema.js';
import { StockCountService } from './stock-count.service.js';

@Controller()
export class StockCountController {
  constructor(private readonly service: StockCountService) {}

  @Endpoint(api.createStockCount)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createStockCount>,
  ): Promise<AnswerOf<typeof api.createStockCount>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listStockCounts)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listStockCounts>,
  ): Promise<AnswerOf<typeof api.listStockCounts>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getStockCount)
  get(@Received() { tenant, input }: CallOf<typeof api.getStockCount>): Promise<AnswerOf<typeof api.getStockCount>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.reverseStockCount)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseStockCount>,
  ): Promise<AnswerOf<typeof api.reverseStockCount>> {
    return this.service.reverse(tenant, input);
  }

  @Endpoint(api.correctStockCount)
  correct(
    @Received() { tenant, input }: CallOf<typeof api.correctStockCount>,
  ): Promise<AnswerOf<typeof api.correctStockCount>> {
    return this.service.correct(tenant, input);
  }
}
