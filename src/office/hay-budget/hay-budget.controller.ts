import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './hay-budget.schema.js';
import { HayBudgetService } from './hay-budget.service.js';

@Controller()
export class HayBudgetController {
  constructor(private readonly service: HayBudgetService) {}

  @Endpoint(api.getHayBudget)
  report(@Received() call: CallOf<typeof api.getHayBudget>): Promise<AnswerOf<typeof api.getHayBudget>> {
    return this.service.report(call);
  }

  @Endpoint(api.createHayBudgetPlan)
  createPlan(
    @Received() call: CallOf<typeof api.createHayBudgetPlan>,
  ): Promise<AnswerOf<typeof api.createHayBudgetPlan>> {
    return this.service.createPlan(call);
  }

  @Endpoint(api.listHayBudgetPlans)
  listPlans(@Received() call: CallOf<typeof api.listHayBudgetPlans>): Promise<AnswerOf<typeof api.listHayBudgetPlans>> {
    return this.service.listPlans(call);
  }

  @Endpoint(api.getHayBudgetPlan)
  getPlan(@Received() call: CallOf<typeof api.getHayBudgetPlan>): Promise<AnswerOf<typeof api.getHayBudgetPlan>> {
    return this.service.getPlan(call);
  }

  @Endpoint(api.getHayBudgetOfPlan)
  ofPlan(@Received() call: CallOf<typeof api.getHayBudgetOfPlan>): Promise<AnswerOf<typeof api.getHayBudgetOfPlan>> {
    return this.service.ofPlan(call);
  }

  @Endpoint(api.getHayForecast)
  forecast(@Received() call: CallOf<typeof api.getHayForecast>): Promise<AnswerOf<typeof api.getHayForecast>> {
    return this.service.forecast(call);
  }

  @Endpoint(api.tryHayBudget)
  try(@Received() call: CallOf<typeof api.tryHayBudget>): Promise<AnswerOf<typeof api.tryHayBudget>> {
    return this.service.try(call);
  }
}
