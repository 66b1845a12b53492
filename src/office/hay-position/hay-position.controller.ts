import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './hay-position.schema.js';
import { HayPositionService } from './hay-position.service.js';

@Controller()
export class HayPositionController {
  constructor(private readonly service: HayPositionService) {}

  @Endpoint(api.getHayPosition)
  report(
    @Received() { tenant, input }: CallOf<typeof api.getHayPosition>,
  ): Promise<AnswerOf<typeof api.getHayPosition>> {
    return this.service.report(tenant, input);
  }
}
