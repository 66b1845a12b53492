import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './hay-sale.schema.js';
import { HaySaleService } from './hay-sale.service.js';

@Controller()
export class HaySaleController {
  constructor(private readonly service: HaySaleService) {}

  @Endpoint(api.createHaySale)
  create(@Received() call: CallOf<typeof api.createHaySale>): Promise<AnswerOf<typeof api.createHaySale>> {
    return this.service.create(call);
  }

  @Endpoint(api.listHaySales)
  list(@Received() call: CallOf<typeof api.listHaySales>): Promise<AnswerOf<typeof api.listHaySales>> {
    return this.service.list(call);
  }

  @Endpoint(api.getHaySale)
  get(@Received() call: CallOf<typeof api.getHaySale>): Promise<AnswerOf<typeof api.getHaySale>> {
    return this.service.get(call);
  }

  @Endpoint(api.reverseHaySale)
  reverse(@Received() call: CallOf<typeof api.reverseHaySale>): Promise<AnswerOf<typeof api.reverseHaySale>> {
    return this.service.reverse(call);
  }
}
