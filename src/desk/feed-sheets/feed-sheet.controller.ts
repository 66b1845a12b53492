import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import { FeedSheetConfirmationService } from './feed-sheet-confirmation.service.js';
import * as api from './feed-sheet.schema.js';
import { FeedSheetService } from './feed-sheet.service.js';

@Controller()
export class FeedSheetController {
  constructor(
    private readonly sheets: FeedSheetService,
    private readonly confirmations: FeedSheetConfirmationService,
  ) {}

  @Endpoint(api.feedSheetFor)
  get(@Received() { tenant, input }: CallOf<typeof api.feedSheetFor>): Promise<AnswerOf<typeof api.feedSheetFor>> {
    return this.sheets.get(tenant, input);
  }

  @Endpoint(api.confirmFeedSheet)
  confirm(
    @Received() { tenant, input }: CallOf<typeof api.confirmFeedSheet>,
  ): Promise<AnswerOf<typeof api.confirmFeedSheet>> {
    return this.confirmations.confirm(tenant, input);
  }

  @Endpoint(api.listFeedSheetConfirmations)
  listConfirmations(
    @Received() { tenant, input }: CallOf<typeof api.listFeedSheetConfirmations>,
  ): Promise<AnswerOf<typeof api.listFeedSheetConfirmations>> {
    return this.confirmations.list(tenant, input);
  }

  @Endpoint(api.getFeedSheetConfirmation)
  getConfirmation(
    @Received() { tenant, input }: CallOf<typeof api.getFeedSheetConfirmation>,
  ): Promise<AnswerOf<typeof api.getFeedSheetConfirmation>> {
    return this.confirmations.get(tenant, input);
  }
}
