import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './office-page.schema.js';
import { OfficePageService } from './office-page.service.js';

@Controller()
export class OfficePageController {
  constructor(private readonly service: OfficePageService) {}

  @Endpoint(api.seasonCostPage)
  seasonCost(
    @Received() { tenant, input }: CallOf<typeof api.seasonCostPage>,
  ): Promise<AnswerOf<typeof api.seasonCostPage>> {
    return this.service.seasonCost(tenant, input);
  }

  @Endpoint(api.costOfGainPage)
  costOfGain(
    @Received() { tenant, input }: CallOf<typeof api.costOfGainPage>,
  ): Promise<AnswerOf<typeof api.costOfGainPage>> {
    return this.service.costOfGain(tenant, input);
  }

  @Endpoint(api.lotCardPage)
  lotCard(@Received() { tenant, input }: CallOf<typeof api.lotCardPage>): Promise<AnswerOf<typeof api.lotCardPage>> {
    return this.service.lotCard(tenant, input);
  }

  @Endpoint(api.journalPageOf)
  journal(
    @Received() { tenant, input }: CallOf<typeof api.journalPageOf>,
  ): Promise<AnswerOf<typeof api.journalPageOf>> {
    return this.service.journal(tenant, input);
  }

  @Endpoint(api.rollForwardPage)
  rollForward(
    @Received() { tenant, input }: CallOf<typeof api.rollForwardPage>,
  ): Promise<AnswerOf<typeof api.rollForwardPage>> {
    return this.service.rollForward(tenant, input);
  }

  @Endpoint(api.moneyBudgetPage)
  moneyBudget(
    @Received() { tenant, input }: CallOf<typeof api.moneyBudgetPage>,
  ): Promise<AnswerOf<typeof api.moneyBudgetPage>> {
    return this.service.moneyBudget(tenant, input);
  }
}
