import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './hay-budget.schema.js';
import { HayBudgetService } from './hay-budget.service.js';

@Controller()
export class HayBudgetController {
  constructor(private readonly service: HayBudgetService) {}

  @Endpoint(api.getHayBudget)
  report(@Received() { tenant, input }: CallOf<typeof api.getHayBudget>): Promise<AnswerOf<typeof api.getHayBudget>> {
    return this.service.report(tenant, input);
  }

  @Endpoint(api.createHayBudgetPlan)
  createPlan(
    @Received() { tenant, input }: CallOf<typeof api.createHayBudgetPlan>,
  ): Promise<AnswerOf<typeof api.createHayBudgetPlan>> {
    return this.service.createPlan(tenant, input);
  }

  @Endpoint(api.listHayBudgetPlans)
  listPlans(
    @Received() { tenant, input }: CallOf<typeof api.listHayBudgetPlans>,
  ): Promise<AnswerOf<typeof api.listHayBudgetPlans>> {
    return this.service.listPlans(tenant, input);
  }

  @Endpoint(api.getHayBudgetPlan)
  getPlan(
    @Received() { tenant, input }: CallOf<typeof api.getHayBudgetPlan>,
  ): Promise<AnswerOf<typeof api.getHayBudgetPlan>> {
    return this.service.getPlan(tenant, input);
  }

  @Endpoint(api.getHayBudgetOfPlan)
  ofPlan(
    @Received() { tenant, input }: CallOf<typeof api.getHayBudgetOfPlan>,
  ): Promise<AnswerOf<typeof api.getHayBudgetOfPlan>> {
    return this.service.ofPlan(tenant, input);
  }

  @Endpoint(api.getHayForecast)
  forecast(
    @Received() { tenant, input }: CallOf<typeof api.getHayForecast>,
  ): Promise<AnswerOf<typeof api.getHayForecast>> {
    return this.service.forecast(tenant, input);
  }

  @Endpoint(api.tryHayBudget)
  try(@Received() { tenant, input }: CallOf<typeof api.tryHayBudget>): Promise<AnswerOf<typeof api.tryHayBudget>> {
    return this.service.try(tenant, input);
  }
}
