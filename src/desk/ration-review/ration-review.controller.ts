import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './ration-review.schema.js';
import { RationReviewService } from './ration-review.service.js';

@Controller()
export class RationReviewController {
  constructor(private readonly service: RationReviewService) {}

  @Endpoint(api.listRationReviews)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listRationReviews>,
  ): Promise<AnswerOf<typeof api.listRationReviews>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getRationReview)
  get(
    @Received() { tenant, input }: CallOf<typeof api.getRationReview>,
  ): Promise<AnswerOf<typeof api.getRationReview>> {
    return this.service.get(tenant, input);
  }
}
