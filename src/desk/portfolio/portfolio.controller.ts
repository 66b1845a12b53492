import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './portfolio.schema.js';
import { PortfolioService } from './portfolio.service.js';

@Controller()
export class PortfolioController {
  constructor(private readonly service: PortfolioService) {}

  @Endpoint(api.portfolioOfHerds)
  list(
    @Received() { tenant, input }: CallOf<typeof api.portfolioOfHerds>,
  ): Promise<AnswerOf<typeof api.portfolioOfHerds>> {
    return this.service.list(tenant, input);
  }
}
