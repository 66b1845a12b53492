import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './money-budget.schema.js';
import { MoneyBudgetService } from './money-budget.service.js';

@Controller()
export class MoneyBudgetController {
  constructor(private readonly service: MoneyBudgetService) {}

  @Endpoint(api.createBudgetEntry)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createBudgetEntry>,
  ): Promise<AnswerOf<typeof api.createBudgetEntry>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listBudgetEntries)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listBudgetEntries>,
  ): Promise<AnswerOf<typeof api.listBudgetEntries>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getBudgetEntry)
  get(@Received() { tenant, input }: CallOf<typeof api.getBudgetEntry>): Promise<AnswerOf<typeof api.getBudgetEntry>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.getBudgetAgainstActual)
  report(
    @Received() { tenant, input }: CallOf<typeof api.getBudgetAgainstActual>,
  ): Promise<AnswerOf<typeof api.getBudgetAgainstActual>> {
    return this.service.report(tenant, input);
  }
}
