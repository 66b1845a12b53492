import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './hay-sale.schema.js';
import { HaySaleService } from './hay-sale.service.js';

@Controller()
export class HaySaleController {
  constructor(private readonly service: HaySaleService) {}

  @Endpoint(api.createHaySale)
  create(@Received() { tenant, input }: CallOf<typeof api.createHaySale>): Promise<AnswerOf<typeof api.createHaySale>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listHaySales)
  list(@Received() { tenant, input }: CallOf<typeof api.listHaySales>): Promise<AnswerOf<typeof api.listHaySales>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getHaySale)
  get(@Received() { tenant, input }: CallOf<typeof api.getHaySale>): Promise<AnswerOf<typeof api.getHaySale>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.reverseHaySale)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseHaySale>,
  ): Promise<AnswerOf<typeof api.reverseHaySale>> {
    return this.service.reverse(tenant, input);
  }

  @Endpoint(api.correctHaySale)
  correct(
    @Received() { tenant, input }: CallOf<typeof api.correctHaySale>,
  ): Promise<AnswerOf<typeof api.correctHaySale>> {
    return this.service.correct(tenant, input);
  }
}
