import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './closing-page.schema.js';
import { ClosingPageService } from './closing-page.service.js';

@Controller()
export class ClosingPageController {
  constructor(private readonly service: ClosingPageService) {}

  @Endpoint(api.closingsPage)
  page(@Received() { tenant, input }: CallOf<typeof api.closingsPage>): Promise<AnswerOf<typeof api.closingsPage>> {
    return this.service.page(tenant, input);
  }

  @Endpoint(api.closeBooksByForm)
  close(
    @Received() { tenant, input }: CallOf<typeof api.closeBooksByForm>,
  ): Promise<AnswerOf<typeof api.closeBooksByForm>> {
    return this.service.close(tenant, input);
  }
}
