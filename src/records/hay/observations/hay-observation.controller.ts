import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './hay-observation.schema.js';
import { HayObservationService } from './hay-observation.service.js';

@Controller()
export class HayObservationController {
  constructor(private readonly service: HayObservationService) {}

  @Endpoint(api.listHayObservations)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listHayObservations>,
  ): Promise<AnswerOf<typeof api.listHayObservations>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.reverseHayObservation)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseHayObservation>,
  ): Promise<AnswerOf<typeof api.reverseHayObservation>> {
    return this.service.reverse(tenant, input);
  }
}
