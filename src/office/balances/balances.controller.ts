import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './balances.schema.js';
import { BalancesService } from './balances.service.js';

@Controller()
export class BalancesController {
  constructor(private readonly service: BalancesService) {}

  @Endpoint(api.getHayBalances)
  balances(
    @Received() { tenant, input }: CallOf<typeof api.getHayBalances>,
  ): Promise<AnswerOf<typeof api.getHayBalances>> {
    return this.service.balances(tenant, input);
  }

  @Endpoint(api.getLotCard)
  card(@Received() { tenant, input }: CallOf<typeof api.getLotCard>): Promise<AnswerOf<typeof api.getLotCard>> {
    return this.service.card(tenant, input);
  }

  @Endpoint(api.listHayMovements)
  movements(
    @Received() { tenant, input }: CallOf<typeof api.listHayMovements>,
  ): Promise<AnswerOf<typeof api.listHayMovements>> {
    return this.service.movements(tenant, input);
  }
}
