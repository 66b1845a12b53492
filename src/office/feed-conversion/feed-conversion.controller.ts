import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './feed-conversion.schema.js';
import { FeedConversionService } from './feed-conversion.service.js';

@Controller()
export class FeedConversionController {
  constructor(private readonly service: FeedConversionService) {}

  @Endpoint(api.getFeedConversion)
  report(
    @Received() { tenant, input }: CallOf<typeof api.getFeedConversion>,
  ): Promise<AnswerOf<typeof api.getFeedConversion>> {
    return this.service.report(tenant, input);
  }
}
