import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './roll-forward.schema.js';
import { RollForwardService } from './roll-forward.service.js';
import { YearEndInventoryService } from './year-end-inventory.service.js';

@Controller()
export class RollForwardController {
  constructor(
    private readonly service: RollForwardService,
    private readonly inventories: YearEndInventoryService,
  ) {}

  @Endpoint(api.getRollForward)
  report(
    @Received() { tenant, input }: CallOf<typeof api.getRollForward>,
  ): Promise<AnswerOf<typeof api.getRollForward>> {
    return this.service.report(tenant, input);
  }

  @Endpoint(api.getYearEndInventory)
  inventory(
    @Received() { tenant, input }: CallOf<typeof api.getYearEndInventory>,
  ): Promise<AnswerOf<typeof api.getYearEndInventory>> {
    return this.inventories.report(tenant, input);
  }
}
