import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './portfolio.schema.js';
import { PortfolioService } from './portfolio.service.js';

@Controller()
export class PortfolioController {
  constructor(private readonly service: PortfolioService) {}

  @Endpoint(api.portfolioOfHerds)
  list(@Received() call: CallOf<typeof api.portfolioOfHerds>): Promise<AnswerOf<typeof api.portfolioOfHerds>> {
    return this.service.list(call);
  }
}
