import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './hay-lot.schema.js';
import { HayLotService } from './hay-lot.service.js';

@Controller()
export class HayLotController {
  constructor(private readonly service: HayLotService) {}

  @Endpoint(api.listHayLots)
  list(@Received() { tenant, input }: CallOf<typeof api.listHayLots>): Promise<AnswerOf<typeof api.listHayLots>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getHayLot)
  get(@Received() { tenant, input }: CallOf<typeof api.getHayLot>): Promise<AnswerOf<typeof api.getHayLot>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.changeHayLot)
  change(@Received() { tenant, input }: CallOf<typeof api.changeHayLot>): Promise<AnswerOf<typeof api.changeHayLot>> {
    return this.service.change(tenant, input);
  }

  @Endpoint(api.listMovements)
  movements(
    @Received() { tenant, input }: CallOf<typeof api.listMovements>,
  ): Promise<AnswerOf<typeof api.listMovements>> {
    return this.service.movements(tenant, input);
  }
}
